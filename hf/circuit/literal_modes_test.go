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

// literalPath is what the path is at one hour, before any frequency is asked.
type literalPath struct {
	beyond bool // control points T+d0/2 and R−d0/2 in place of M
	n0     int  // lowest-order F2 mode
	d0     float64
	nE     int // lowest-order E mode, 0 beyond 4,000 km

	M        literalPoint
	tableA   []literalPoint // of Table 1a, F2
	tableC   []literalPoint
	tableDE  []literalPoint // of Table 1d, E modes
	tableDF2 []literalPoint

	foEMUF, foEScreen float64

	MUFE, MUFF2 float64 // basic, lowest order
	f2At        literalPoint
	basicMUF    float64
}

// path takes the control points of Table 1 and the basic MUF (p533 §1–3, choices 3,
// 10, 28).
func (r *literalRun) path(UT float64) (p literalPath) {
	D := r.D
	p.M = r.point(D/2, UT)
	dmaxM := p.M.f2().dmax()

	// Lowest-order F2 mode.
	limit := 4000.0
	if r.Strict {
		limit = dmaxM
	}
	r.at(D, limit)
	p.beyond = D > limit
	for n := 1; ; n++ {
		d := D / float64(n)
		r.at(d, limit)
		if d > limit {
			continue
		}
		if r.Strict {
			// open: beyond dmax the height is that of the point of Table 1c with the
			// lowest foF2, the points laid out for the n on trial (p533 §8); the
			// alternative takes M(3000)F2 at M throughout (p533 §3).
			h := literalHeight2(p.M.M3000)
			if p.beyond {
				h = literalHeight2(r.lowestFoF2([]literalPoint{
					r.point(d/2, UT), p.M, r.point(D-d/2, UT)}).M3000)
			}
			Δ := literalElevation(d, h)
			r.at(Δ, 0)
			if Δ < 0 {
				continue
			}
		}
		p.n0, p.d0 = n, d
		break
	}

	// Table 1a to 1d.
	r.at(D, 2000)
	r.at(D, 4000)
	if p.beyond {
		T, R := r.point(p.d0/2, UT), r.point(D-p.d0/2, UT)
		p.tableA = []literalPoint{T, R}
		p.tableC = []literalPoint{T, p.M, R}
	} else {
		p.tableA = []literalPoint{p.M}
		p.tableC = []literalPoint{p.M}
	}
	if D <= 2000 {
		p.tableDE = []literalPoint{p.M}
		p.foEMUF, p.foEScreen = p.M.foE, p.M.foE
	} else {
		T, R := r.point(1000, UT), r.point(D-1000, UT)
		p.tableDE = []literalPoint{T, p.M, R}
		p.foEMUF = math.Min(T.foE, R.foE)
		p.foEScreen = math.Max(T.foE, R.foE)
	}
	// open: where dmax lies below 4,000 km the strict reading takes the last row of
	// Table 1d from dmax on, as in a) and c); the alternative is the row "2000 < D ≤
	// 4000" to its end.
	p.tableDF2 = p.tableDE
	if p.beyond {
		p.tableDF2 = []literalPoint{p.tableDE[0], p.tableC[0], p.M, p.tableC[2], p.tableDE[2]}
	}

	// E basic MUF, lowest order: 1E to 2000 km, 2E to 4000 km.
	if D <= 4000 {
		p.nE = 1
		if D > 2000 {
			p.nE = 2
		}
		p.MUFE = literalEMUF(D/float64(p.nE), p.foEMUF)
	}

	// F2 basic MUF, lowest order.
	for i, at := range p.tableA {
		var muf float64
		switch {
		case !p.beyond:
			muf = at.f2().MUF(p.d0)
		case r.Strict: // F2(dmax)MUF
			muf = at.f2().MUF(at.f2().dmax())
		default: // F2(4000)MUF
			muf = at.f2().MUF(4000)
		}
		if i > 0 {
			r.at(muf, p.MUFF2)
		}
		if i == 0 || muf < p.MUFF2 {
			p.MUFF2, p.f2At = muf, at
		}
	}
	p.basicMUF = math.Max(p.MUFE, p.MUFF2)
	return p
}

func (w *literalWatch) lowestFoF2(points []literalPoint) literalPoint {
	low := points[0]
	for _, p := range points[1:] {
		w.at(p.foF2, low.foF2)
		if p.foF2 < low.foF2 {
			low = p
		}
	}
	return low
}

// f2ModeMUF is the basic MUF of the F2 mode of n hops (p533 §3, choices 22).
func (r *literalRun) f2ModeMUF(p literalPath, n int) float64 {
	if n == p.n0 {
		return p.MUFF2
	}
	d := r.D / float64(n)
	if !p.beyond {
		return p.M.f2().MUF(d)
	}
	// open: "product of the lower values" is read as the lower MUF times the lower of
	// the two ratios M_n/M_n0; the alternative is the quotient of the lower MUFs.
	ratio := math.Inf(1)
	for _, at := range p.tableA {
		ratio = math.Min(ratio, at.f2().MUF(d)/at.f2().MUF(p.d0))
	}
	return p.MUFF2 * ratio
}

// literalMode is one mode that arrives.
type literalMode struct {
	layer    string
	n        int
	MUF      float64
	Δ, slant float64
	E        float64 // field, dB(µV/m)
	delayMs  float64
}

// modes are the modes that carry f over D ≤ 9000 km, with their fields (p533 §8, §9).
func (r *literalRun) modes(p literalPath, f float64) (out []literalMode) {
	D := r.D
	if D <= 4000 {
		for n := p.nE; n < p.nE+3; n++ {
			d := D / float64(n)
			Δ := literalElevation(d, 110)
			m := literalMode{layer: "E", n: n, MUF: literalEMUF(d, p.foEMUF), Δ: Δ, slant: literalSlant(n, d, Δ)}
			r.field9(&m, p.tableDE, f)
			out = append(out, m)
		}
	}
	for n := p.n0; n < p.n0+6; n++ {
		d := D / float64(n)

		// E-layer screening: the elevation is that of the height of eq. (2).
		h := literalHeight2(p.M.M3000)
		if p.beyond {
			h = literalHeight2(r.lowestFoF2(p.tableC).M3000)
		}
		fs := literalScreening(p.foEScreen, literalElevation(d, h))
		r.at(fs, f)
		if fs >= f {
			continue
		}

		MUF := r.f2ModeMUF(p, n)
		// Above the MUF the geometry is that of the MUF (choices 12).
		fRay := math.Min(f, MUF)
		hr := 0.0
		for _, at := range p.tableC {
			one, _ := r.mirror(fRay, at.foF2, at.foE, at.M3000, r.SSN, d)
			hr += one
		}
		hr /= float64(len(p.tableC))
		Δ := literalElevation(d, hr)
		m := literalMode{layer: "F2", n: n, MUF: MUF, Δ: Δ, slant: literalSlant(n, d, Δ)}
		r.field9(&m, p.tableDF2, f)
		out = append(out, m)
	}
	return out
}
