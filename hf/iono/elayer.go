package iono

import (
	"math"

	"farhail/hf/earth"
)

// Flux12 returns the 12-month mean 10.7 cm flux that goes with R12.
//
//	Φ12 = 63.7 + 0.728 R12 + 8.9e-4 R12²
//
// Source: ITU-R P.371-8, as in our notes (cross-checked).
func Flux12(R12 float64) float64 { return 63.7 + R12*(0.728+8.9e-4*R12) }

// ELayer is foE at one latitude on one day.
//
//	foE⁴ = A · B · C · D
//
// Source: ITU-R P.1239-3 §4, as in our notes (A, B, C, p cross-checked; the twilight
// and night terms from memory, high). Departs: no.
type ELayer struct {
	abc   float64 // A·B·C
	p     float64 // exponent of cos χ
	night float64 // 0.072^p
	set   float64 // hour angle of sunset, radians; 0 in polar night, π in polar day
	floor float64 // foE⁴ never less
}

// NewELayer prepares the layer for a latitude (radians), the Sun of the day and R12.
func NewELayer(φ float64, sun earth.Sun, R12 float64) (e ELayer) {
	const deg = math.Pi / 180
	Φ := Flux12(R12)
	δ := sun.Declination.Rad()
	A := 1 + 0.0094*(Φ-66)
	N := min(math.Abs(φ-δ), 80*deg)
	cosφ := math.Cos(φ)
	m, C := 0.11-0.49*cosφ, 92+35*cosφ
	if math.Abs(φ) < 32*deg {
		m, C = -1.93+1.92*cosφ, 23+116*cosφ
	}
	e.p = 1.20
	if math.Abs(φ) <= 12*deg {
		e.p = 1.31
	}
	e.abc = A * math.Pow(math.Cos(N), m) * C
	e.night = math.Pow(0.072, e.p)
	f := 1 + 0.021*Φ
	e.floor = 0.004 * f * f
	e.set = math.Acos(min(max(-math.Tan(φ)*math.Tan(δ), -1), 1))
	return e
}

// FoE returns the critical frequency in MHz for the zenith angle's cosine and the
// Sun's hour angle (radians, −π…π).
//
//	χ ≤ 73°        D = cos^p χ
//	73° < χ < 90°  D = cos^p (χ − δχ),  δχ = 6.27e-13 (χ − 50)^8 degrees
//	χ ≥ 90°        D = larger of 0.072^p exp(−1.4 h) and 0.072^p exp(25.2 − 0.28 χ)
//
// h hours after sunset; in polar winter the second expression alone.
func (e *ELayer) FoE(cosχ, hourAngle float64) float64 {
	const cos73 = 0.29237170472273677
	var D float64
	switch {
	case cosχ >= cos73:
		D = math.Pow(cosχ, e.p)
	case cosχ > 0:
		χ := math.Acos(cosχ) * 180 / math.Pi
		x := χ - 50
		x *= x
		x *= x
		D = math.Pow(math.Cos((χ-6.27e-13*x*x)*math.Pi/180), e.p)
	default:
		χ := math.Acos(cosχ) * 180 / math.Pi
		D = e.night * math.Exp(25.2-0.28*χ)
		if e.set > 0 {
			h := hourAngle - e.set
			if h < 0 {
				h += 2 * math.Pi
			}
			D = max(D, e.night*math.Exp(-1.4*h*12/math.Pi))
		}
	}
	return math.Sqrt(math.Sqrt(max(e.abc*D, e.floor)))
}

// FoF1 returns the F1 layer's critical frequency in MHz; ok is false when the layer
// is absent. ψ is the size of the geomagnetic latitude, χ the zenith angle, degrees.
//
// Source: ITU-R P.1239-3 §5; DuCharme et al. (1971, 1973), as in our notes (cross-checked).
func FoF1(ψDeg, χDeg, R12 float64) (fMHz float64, ok bool) {
	ψ := math.Abs(ψDeg)
	f0 := 4.35 + ψ*(0.0058-1.20e-4*ψ)
	f100 := 5.348 + ψ*(0.0110-2.30e-4*ψ)
	n := 0.093 + ψ*(0.00461-5.40e-5*ψ) + 3.10e-4*R12
	χ0, χ100 := 50.0+0.348*ψ, 38.7+0.509*ψ
	if χDeg > χ0+0.01*(χ100-χ0)*R12 || χDeg >= 90 {
		return 0, false
	}
	return (f0 + 0.01*(f100-f0)*R12) * math.Pow(math.Cos(χDeg*math.Pi/180), n), true
}

// HmF2Km returns the height of the F2 peak.
//
//	hmF2 = 1490/(M(3000)F2 + ΔM) − 176
//	ΔM = f1 (1 − (R12/150) e^(−ψ²/1600)) / (x − f2) + f3 ,  x = foF2/foE, not below 1.7
//
// Source: Bilitza et al. (1979), as in our notes (cross-checked); P.1239-3 §7. The
// latitude is the dipole's.
func HmF2Km(foF2, foE, M3000, ψDeg, R12 float64) float64 {
	x := max(foF2/foE, 1.7)
	f1 := 0.00232*R12 + 0.222
	f2 := 1.2 - 0.0116*math.Exp(0.0239*R12)
	f3 := 0.096 * (R12 - 25) / 150
	ΔM := f1*(1-R12/150*math.Exp(-ψDeg*ψDeg/1600))/(x-f2) + f3
	return 1490/(M3000+ΔM) - 176
}

// EsMaps are the numerical maps of foEs: the values exceeded on 90, 50 and 10 per
// cent of the days. foEs here holds the normal E layer by day.
//
// Source: Leftin, Ostrow and Preston (1968); tables/ionomaps/SOURCE.md.
type EsMaps struct{ lower, median, upper []float64 }

// NewEsMaps combines the coefficients of a day. The index is R12.
func NewEsMaps(mix Mix) *EsMaps {
	one := func(s *series) []float64 {
		c := make([]float64, s.diurnal()*s.functions())
		s.mix(c, mix)
		return c
	}
	return &EsMaps{one(foEs90), one(foEs50), one(foEs10)}
}

// At returns foEs in MHz exceeded on 90, 50 and 10 per cent of days at a point of
// modified dip μ.
func (m *EsMaps) At(p earth.Point, μ float64, d *Hour) (lower, median, upper float64) {
	g := newGeometry(p, μ)
	var G [128]float64
	var s [13]float64
	one := func(of *series, c []float64) float64 {
		nk, nj := of.functions(), of.diurnal()
		g.fill(G[:nk], of.q)
		sums(s[:nj], c, G[:nk])
		v := 0.0
		for i, x := range s[:nj] {
			v += x * d[i]
		}
		return max(v, 0)
	}
	// The three maps were fitted apart and may cross, most at the poles: the median stands.
	median = one(foEs50, m.median)
	return min(one(foEs90, m.lower), median), median, max(one(foEs10, m.upper), median)
}
