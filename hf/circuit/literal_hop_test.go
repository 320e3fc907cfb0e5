package circuit

import "math"

// literalElevation is Δ of p533 §2 in degrees for a hop of d km and a mirror at h km.
func literalElevation(d, h float64) float64 {
	half := d / (2 * literalR0)
	return math.Atan(1/math.Tan(half)-literalR0/(literalR0+h)/math.Sin(half)) / literalDeg
}

// literalIncidence is the angle of incidence at a height, degrees (p533 §2).
func literalIncidence(Δ, h float64) float64 {
	return math.Asin(literalR0*literalCos(Δ)/(literalR0+h)) / literalDeg
}

// literalSlant is the virtual slant range p′ of n hops of d km (p533 §2).
func literalSlant(n int, d, Δ float64) float64 {
	half := d / (2 * literalR0)
	sum := 0.0
	for range n {
		sum += math.Sin(half) / math.Cos(Δ*literalDeg+half)
	}
	return 2 * literalR0 * sum
}

// literalEMUF is nE(D)MUF = foE sec i110 (p533 §2).
func literalEMUF(d, foE float64) float64 {
	Δ := literalElevation(d, 110)
	return foE / literalCos(literalIncidence(Δ, 110))
}

// literalF2 is the ionosphere behind one F2 basic MUF (p533 §3), dmax not capped.
type literalF2 struct{ foF2, foE, M3000, fH float64 }

func (p literalPoint) f2() literalF2 { return literalF2{p.foF2, p.foE, p.M3000, p.fH300} }

func (p literalF2) x() float64 { return math.Max(p.foF2/p.foE, 2) }

func (p literalF2) B() float64 {
	M := p.M3000
	return M - 0.124 + (M*M-4)*(0.0215+0.005*math.Sin(7.854/p.x()-1.9635))
}

func (p literalF2) dmax() float64 {
	x := p.x()
	return 4780 + (12610+2140/(x*x)-49720/math.Pow(x, 4)+688900/math.Pow(x, 6))*(1/p.B()-0.303)
}

func literalCd(Z float64) float64 {
	return 0.74 - 0.591*Z - 0.424*Z*Z - 0.090*math.Pow(Z, 3) + 0.088*math.Pow(Z, 4) +
		0.181*math.Pow(Z, 5) + 0.096*math.Pow(Z, 6)
}

// MUF is nF2(D)MUF for a hop of d km.
//
// open: a hop longer than the point's own dmax takes dmax (C_d = 1, no term in fH).
// The alternative is to let Z fall below −1.
func (p literalF2) MUF(d float64) float64 {
	dmax := p.dmax()
	d = math.Min(d, dmax)
	Cd := literalCd(1 - 2*d/dmax)
	C3000 := literalCd(1 - 2*3000/dmax)
	return (1+Cd/C3000*(p.B()-1))*p.foF2 + p.fH/2*(1-d/dmax)
}

// literalHeight2 is h_r of eq. (2) in p533 §3.
func literalHeight2(M3000 float64) float64 { return math.Min(1490/M3000-176, 500) }

// mirror is the F2 mirror-reflection height h_r of p533 §7, and H.
func (w *literalWatch) mirror(f, foF2, foE, M3000, R12, d float64) (hr, H float64) {
	x := foF2 / foE
	y := math.Max(x, 1.8)
	xr := f / foF2
	ΔM := 0.18/(y-1.4) + 0.096*(R12-25)/150
	H = 1490/(M3000+ΔM) - 316

	w.at(x, 3.33)
	var h float64
	switch {
	case x > 3.33 && xr >= 1:
		w.at(xr, 1)
		E1 := -0.09707*math.Pow(xr, 3) + 0.6870*xr*xr - 0.7506*xr + 0.6
		w.at(xr, 1.71)
		F1 := 1.21 + 0.2*xr
		if xr <= 1.71 {
			F1 = -1.862*math.Pow(xr, 4) + 12.95*math.Pow(xr, 3) - 32.03*xr*xr + 33.50*xr - 10.91
		}
		w.at(xr, 3.7)
		G := 19.25
		if xr <= 3.7 {
			G = -2.102*math.Pow(xr, 4) + 19.50*math.Pow(xr, 3) - 63.15*xr*xr + 90.47*xr - 44.73
		}
		A1 := 140 + (H-47)*E1
		B1 := 150 + (H-17)*F1 - A1
		ds := 160 + (H+43)*G
		a := (d - ds) / (H + 140)
		if B1 >= 0 && a >= 0 {
			h = A1 + B1*math.Pow(2.4, -a)
		} else {
			h = A1 + B1
		}
	case x > 3.33:
		w.at(xr, 1)
		Z := math.Max(xr, 0.1)
		E2 := 0.1906*Z*Z + 0.00583*Z + 0.1936
		F2 := 0.645*Z*Z + 0.883*Z + 0.162
		A2 := 151 + (H-47)*E2
		B2 := 141 + (H-24)*F2 - A2
		df := math.Min(0.115*d/(Z*(H+140)), 0.65)
		b := -7.535*math.Pow(df, 4) + 15.75*math.Pow(df, 3) - 8.834*df*df - 0.378*df + 1
		if B2 >= 0 {
			h = A2 + B2*b
		} else {
			h = A2 + B2
		}
	default:
		J := -0.7126*math.Pow(y, 3) + 5.863*y*y - 16.13*y + 16.07
		U := 8e-5*(H-80)*(1+11*math.Pow(y, -2.2)) + 1.2e-3*H*math.Pow(y, -3.6)
		h = 115 + H*J + U*d
	}
	return math.Min(h, 800), H
}

// literalScreening is fs of p533 §6; ΔF is the elevation of the F2 mode.
func literalScreening(foE, ΔF float64) float64 {
	i := literalIncidence(ΔF, 110)
	return 1.05 * foE / literalCos(i)
}
