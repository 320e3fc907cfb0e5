package circuit

import (
	"math"

	"farhail/hf/iono"
	"farhail/unit"
)

// A longPath is the method of P.533-14 §5.3 for one path and day.
type longPath struct {
	p90      float64 // p′ with equal hops at 300 km
	E0, Gap  float64
	fLN      float64
	root     [24]float64 // of fL's formula, at whole UT hours
	cross    [2 * maxN0]point
	nCross   int
	fLFactor float64 // 5.3 I, and the parts of the square root that stay
	fLInner  float64
	Aw       float64
	W, X, Y  float64
	ends     [maxN0 + 1]longEnds // by lowest order, as Path.pair
}

// longEnds is what the two reflection points give over the day.
type longEnds struct {
	fH           float64 // mean gyrofrequency at 300 km
	noonP, noonQ float64 // F2(4000)MUF at local mean noon
	minP, minQ   float64 // and at the lowest of the 24 whole hours
}

// winterAnomaly is A_w at 60° latitude, north, by month.
// Source: P.533-14 §5.3.2, as in our notes (from memory, high).
var winterAnomaly = [12]float64{1.30, 1.15, 1.03, 1, 1, 1, 1, 1, 1, 1.03, 1.15, 1.30}

// longI is the factor I by the latitudes of the two ends and month.
var longI = map[[2]int][12]float64{ // zones: +1 ≥ 35° N, 0 between, −1 ≥ 35° S; the more northerly first
	{1, 1}:   {1.1, 1.05, 1, 1, 1, 1, 1, 1, 1, 1, 1.05, 1.1},
	{1, 0}:   {1.05, 1.02, 1, 1, 1, 1, 1, 1, 1, 1, 1.02, 1.05},
	{1, -1}:  {1.05, 1.02, 1, 1, 1.02, 1.05, 1.05, 1.02, 1, 1, 1.02, 1.05},
	{0, 0}:   {1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1},
	{0, -1}:  {1, 1, 1, 1, 1.02, 1.05, 1.05, 1.02, 1, 1, 1, 1},
	{-1, -1}: {1, 1, 1, 1, 1.05, 1.1, 1.1, 1.05, 1, 1, 1, 1},
}

func zone(latDeg float64) int {
	switch {
	case latDeg >= 35:
		return 1
	case latDeg <= -35:
		return -1
	}
	return 0
}

func (l *longPath) set(p *Path) {
	s, D := p.sky, p.DKm
	n := p.n0
	h := newHop(D, n)
	r := h.at(hLong)
	l.p90 = r.p
	l.E0 = 139.6 - 20*math.Log10(r.p)
	l.Gap = 15
	if x := math.Abs(math.Sin(D / r0Km)); x > 0 {
		l.Gap = min(10*math.Log10(D/(r0Km*x)), 15)
	}
	// fM: K by the path's direction at its centre
	az := math.Mod(p.Arc.AzimuthAt(unit.Length(D/2)*unit.Km).Deg(), 180)
	w := math.Abs(az-90) / 90 // 0 east–west, 1 north–south
	l.W, l.X, l.Y = 0.1+0.1*w, 1.2-1.0*w, 0.6-0.2*w
	for k := range p.pair {
		if P := &p.pair[k].p; P.fH300 > 0 {
			l.ends[k] = newLongEnds(s, P, &p.pair[k].q)
		}
	}

	// fL: the 2n crossings of 90 km
	cosΔ := r.cosΔ
	Δ := math.Atan(r.tanΔ)
	sin90 := r0Km * cosΔ / (r0Km + 90)
	i90 := math.Asin(sin90)
	reach := r0Km * (math.Pi/2 - Δ - i90)
	for k := range n {
		start := float64(k) * h.dKm
		l.cross[2*k].setSun(p, start+reach)
		l.cross[2*k+1].setSun(p, start+h.dKm-reach)
	}
	l.nCross = 2 * n
	month := s.Date.Month - 1
	za, zb := zone(p.From.Lat.Deg()), zone(p.To.Lat.Deg())
	l.fLFactor = 5.3 * longI[[2]int{max(za, zb), min(za, zb)}][month]
	l.fLInner = (1 + 0.009*s.R12) / (math.Cos(i90) * math.Log(9.5e6/r.p))
	l.Aw = anomaly(p.m.at.Lat.Deg(), month)
	l.fLN = math.Sqrt(D / 3000)
	for u := range l.root {
		l.root[u] = l.rootAt(s, float64(u))
	}
}

func newLongEnds(s *Sky, P, Q *point) longEnds {
	noon := func(p *point) float64 {
		u := 12 - p.lonDeg/15
		d := iono.AtUTC(u)
		return s.f4000(p, u, &d)
	}
	e := longEnds{fH: (P.fH300 + Q.fH300) / 2, noonP: noon(P), noonQ: noon(Q), minP: math.Inf(1), minQ: math.Inf(1)}
	for u := range 24 {
		d := iono.AtUTC(float64(u))
		e.minP, e.minQ = min(e.minP, s.f4000(P, float64(u), &d)), min(e.minQ, s.f4000(Q, float64(u), &d))
	}
	return e
}

// anomaly is A_w: 1 to 30° and at 90°, the table at 60°, linear between.
func anomaly(latDeg float64, month int) float64 {
	if latDeg < 0 {
		month = (month + 6) % 12
	}
	x := math.Abs(latDeg)
	if x <= 30 {
		return 1
	}
	return 1 + (winterAnomaly[month]-1)*(1-math.Abs(x-60)/30)
}

func (pt *point) setSun(p *Path, dKm float64) {
	pt.at = p.Arc.At(unit.Length(dKm) * unit.Km)
	pt.sinφ, pt.cosφ = math.Sincos(pt.at.Lat.Rad())
}

// f4000 is F2(4000)MUF = 1.1 foF2 M(3000)F2.
func (s *Sky) f4000(p *point, utcH float64, d *iono.Hour) float64 {
	return 1.1 * s.foF2(p, utcH, d) * p.place.M3000(d)
}

// rootAt is the square root in fL's formula, times 5.3 I.
//
//	fL = { 5.3 I [(1 + 0.009 R12) Σ cos^½ χ / (cos i90 ln(9.5e6/p′))]^½ − fH } A_w
//
// Source: P.533-14 §5.3.2, as in our notes (from memory, high).
func (l *longPath) rootAt(s *Sky, utcH float64) float64 {
	sum := 0.0
	for i := range l.cross[:l.nCross] {
		if c, _ := s.sunAt(&l.cross[i], utcH); c > 0 {
			sum += math.Sqrt(c)
		}
	}
	return l.fLFactor * math.Sqrt(l.fLInner*sum)
}

// lowest is fL with the rule for the night: the formula until it falls to 2 fLN, then
// 2 fLN e^(−0.23 t) for three hours, then fLN until the formula gives more. The moment
// of the fall is found on straight lines between whole hours.
func (l *longPath) lowest(s *Sky, utcH, fH float64) float64 {
	f := (l.rootAt(s, utcH) - fH) * l.Aw
	twice := 2 * l.fLN
	if f > twice {
		return f
	}
	if fell, ok := l.sinceFall(utcH, twice/l.Aw+fH); ok && fell <= 3 {
		return twice * math.Exp(-0.23*fell)
	}
	return max(f, l.fLN)
}

// sinceFall returns the hours since the root last fell through a level.
func (l *longPath) sinceFall(utcH, level float64) (float64, bool) {
	u := math.Mod(utcH, 24)
	if u < 0 {
		u += 24
	}
	k := int(u)
	for back := range 25 {
		i := (k - back + 48) % 24
		a, b := l.root[i], l.root[(i+1)%24]
		if a > level && b <= level {
			t := float64(k-back) + (a-level)/(a-b)
			if t <= u {
				return u - t, true
			}
		}
	}
	return 0, false
}

// at sets fM and fL of the hour.
//
//	K = 1.2 + W fg/fg,noon + X [(fg,noon/fg)^⅓ − 1] + Y (fg,min/fg,noon)²
//	fM = K fg, the lower of the two points
//
// Source: P.533-14 §5.3.1, as in our notes (from memory, high).
func (l *longPath) at(h *Hour, n0 int, utcH float64, d *iono.Hour) {
	p, e := h.p, &l.ends[n0]
	fM := func(pt *point, noon, least float64) float64 {
		fg := p.sky.f4000(pt, utcH, d)
		r := least / noon
		K := 1.2 + l.W*fg/noon + l.X*(math.Cbrt(noon/fg)-1) + l.Y*r*r
		return K * fg
	}
	h.fM = min(fM(&p.pair[n0].p, e.noonP, e.minP), fM(&p.pair[n0].q, e.noonQ, e.minQ))
	h.fL = l.lowest(p.sky, utcH, e.fH)
	h.fHLong = e.fH
}

// field returns E_tl less the transmit gain, dB(µV/m).
//
//	E_tl = E0 {1 − (fM+fH)²/[(fM+fH)² + (fL+fH)²] [(fL+fH)²/(f+fH)² + (f+fH)²/(fM+fH)²]}
//	       − 30.0 + Pt + Gtl + Gap − Ly
//
// Source: P.533-14 §5.3.3, as in our notes (structure from memory, high; −30.0 and
// Ly = −0.14 medium).
func (l *longPath) field(h *Hour, fMHz float64) float64 {
	const Ly = -0.14
	sq := func(x float64) float64 { return x * x }
	M, L, f := sq(h.fM+h.fHLong), sq(h.fL+h.fHLong), sq(fMHz+h.fHLong)
	bracket := 1 - M/(M+L)*(L/f+f/M)
	return l.E0*bracket - 30.0 + 10*math.Log10(h.p.Power.W()/1000) + l.Gap - Ly
}
