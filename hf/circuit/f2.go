package circuit

import "math"

// Numbers of the method that stand alone.
const (
	r0Km = 6371.0

	hE     = 110.0 // mirror height of E modes and of the screening and absorption angles, km
	hLong  = 300.0 // reflection height of the long-path method, km
	hopMax = 4000.0
	eMax   = 2000.0 // longest E hop, km

	// fieldConstant and powerConstant are the Recommendation's 136.6 and 107.2. The
	// physical constant for 1 kW is 137.2: the budget is 0.6 dB pessimistic end to end.
	fieldConstant = 136.6
	powerConstant = 107.2
	lossConstant  = 32.45

	// otherLosses is Lz, what the method as a whole leaves over.
	// Source: P.533-14 §5.2.2, as in our notes (from memory, medium).
	otherLosses = 8.72

	maxE, maxF2 = 3, 6 // modes considered
)

// An f2 holds what the F2 MUF formula takes at one point and hour.
type f2 struct {
	foF2, M3000 float64
	fH          float64
	B, dmax     float64
	C3000       float64
}

// newF2 prepares the formula of P.533-14 §3.5.1 (P.1240 §3.1; Lockwood 1983).
//
//	B    = M − 0.124 + (M² − 4) [0.0215 + 0.005 sin(7.854/x − 1.9635)]
//	dmax = 4780 + (12610 + 2140/x² − 49720/x⁴ + 688900/x⁶)(1/B − 0.303)   km
//	x    = foF2/foE or 2, whichever is larger
//
// Source: as in our notes (from memory, high). dmax is not capped: ray tracing of a
// quasi-parabolic layer agrees to 3 % so and is 5–14 % off with a cap.
func newF2(foF2, foE, M3000, fH float64) (m f2) {
	m.foF2, m.M3000, m.fH = foF2, M3000, fH
	x := max(foF2/foE, 2)
	m.B = M3000 - 0.124 + (M3000*M3000-4)*(0.0215+0.005*math.Sin(7.854/x-1.9635))
	x2 := 1 / (x * x)
	m.dmax = 4780 + (12610+x2*(2140+x2*(-49720+x2*688900)))*(1/m.B-0.303)
	m.C3000 = curve(1 - 2*3000/m.dmax)
	return m
}

// curve is C_d of Z = 1 − 2d/dmax.
func curve(Z float64) float64 {
	return 0.74 + Z*(-0.591+Z*(-0.424+Z*(-0.090+Z*(0.088+Z*(0.181+Z*0.096)))))
}

// muf returns the basic MUF of a hop of length d; beyond dmax the hop of dmax stands in.
//
//	nF2(d)MUF = [1 + (C_d/C_3000)(B − 1)] foF2 + (fH/2)(1 − d/dmax)
func (m *f2) muf(dKm float64) float64 {
	u := min(dKm/m.dmax, 1)
	Cd := curve(1 - 2*u)
	return (1+Cd/m.C3000*(m.B-1))*m.foF2 + m.fH/2*(1-u)
}

// screeningHeight is the mirror height of eq. (2): 1490/M(3000)F2 − 176 or 500 km.
func screeningHeight(M3000 float64) float64 { return min(1490/M3000-176, 500) }

// A mirror gives the reflection height of F2 modes at one point and hour.
//
// Source: P.533-14 §5.1.
type mirror struct {
	daytime bool    // x ≤ 3.33: branch (c), the same at every frequency
	foF2    float64 //
	H       float64 // km
	a, u    float64 // branch (c): h_r = a + u d
}

func newMirror(foF2, foE, M3000, R12 float64) (m mirror) {
	x := foF2 / foE
	y := max(x, 1.8)
	ΔM := 0.18/(y-1.4) + 0.096*(R12-25)/150
	m.foF2 = foF2
	m.H = 1490/(M3000+ΔM) - 316
	m.daytime = x <= 3.33
	if m.daytime {
		J := ((-0.7126*y+5.863)*y-16.13)*y + 16.07
		U := 8e-5*(m.H-80)*(1+11*math.Pow(y, -2.2)) + 1.2e-3*m.H*math.Pow(y, -3.6)
		m.a, m.u = 115+m.H*J, U
	}
	return m
}

// height returns h_r for a hop of length d at frequency f, km.
func (m *mirror) height(dKm, fMHz float64) float64 {
	if m.daytime {
		return min(m.a+m.u*dKm, 800)
	}
	xr := fMHz / m.foF2
	H := m.H
	var h float64
	if xr >= 1 {
		E1 := ((-0.09707*xr+0.6870)*xr-0.7506)*xr + 0.6
		F1 := 1.21 + 0.2*xr
		if xr <= 1.71 {
			F1 = (((-1.862*xr+12.95)*xr-32.03)*xr+33.50)*xr - 10.91
		}
		G := 19.25
		if xr <= 3.7 {
			G = (((-2.102*xr+19.50)*xr-63.15)*xr+90.47)*xr - 44.73
		}
		A1 := 140 + (H-47)*E1
		B1 := 150 + (H-17)*F1 - A1
		a := (dKm - (160 + (H+43)*G)) / (H + 140)
		h = A1 + B1
		if B1 >= 0 && a >= 0 {
			h = A1 + B1*math.Exp(-0.8754687373538999*a) // 2.4^(−a)
		}
	} else {
		Z := max(xr, 0.1)
		E2 := (0.1906*Z+0.00583)*Z + 0.1936
		F2 := (0.645*Z+0.883)*Z + 0.162
		A2 := 151 + (H-47)*E2
		B2 := 141 + (H-24)*F2 - A2
		h = A2 + B2
		if B2 >= 0 {
			df := min(0.115*dKm/(Z*(H+140)), 0.65)
			b := (((-7.535*df+15.75)*df-8.834)*df-0.378)*df + 1
			h = A2 + B2*b
		}
	}
	return min(h, 800)
}

// A hop is the fixed geometry of n equal hops: ψ = d/2R0.
type hop struct {
	n          int
	dKm        float64
	sinψ, cosψ float64
}

func newHop(DKm float64, n int) hop {
	h := hop{n: n, dKm: DKm / float64(n)}
	h.sinψ, h.cosψ = math.Sincos(h.dKm / (2 * r0Km))
	return h
}

// A ray is a mode's geometry at a mirror height.
type ray struct {
	tanΔ float64
	cosΔ float64
	p    float64 // virtual slant range of all hops, km
	sec  float64 // sec i at 110 km
}

// at returns the ray reflected at height h.
//
//	tan Δ = cot ψ − R0/(R0+h) cosec ψ
//	p′    = 2 n R0 sin ψ / cos(Δ + ψ)
//	sin i = R0 cos Δ/(R0 + 110)
//
// Source: P.533-14 §3.3 and §5.1, as in our notes (from memory, high).
func (h *hop) at(heightKm float64) (r ray) {
	r.tanΔ = (h.cosψ - r0Km/(r0Km+heightKm)) / h.sinψ
	r.cosΔ = 1 / math.Sqrt(1+r.tanΔ*r.tanΔ)
	r.p = 2 * float64(h.n) * r0Km * h.sinψ / (r.cosΔ * (h.cosψ - r.tanΔ*h.sinψ))
	s := r.cosΔ * (r0Km / (r0Km + hE))
	r.sec = 1 / math.Sqrt(1-s*s)
	return r
}

func (r *ray) elevationDeg() float64 { return math.Atan(r.tanΔ) * 180 / math.Pi }
