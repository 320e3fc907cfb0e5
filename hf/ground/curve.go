package ground

import (
	"math"
	"math/cmplx"

	"farhail/hf/earth"
	"farhail/unit"
)

// Where a Curve holds. Nearer than NearKm the near field, which is left out, shows
// (see the package's comment); beyond FarKm the value only keeps falling.
const (
	NearKm = 1.0
	FarKm  = 2000.0
)

const (
	cMs     = 299_792_458.0
	radiusM = 6_371_000.0
	radKm   = radiusM / 1000
	// 1/(2π ε0 10⁶), exact to the digits given; the trade's 18 000 moves E by up to 0.014 dB.
	lossPerSmMHz = 17975.1036
	// κ, the effective earth radius over the true one. Solving the exponential
	// atmosphere for the first mode gives 1.31 (1.6 MHz, sea) to 1.36 (30 MHz): §7.
	stdAir = 4.0 / 3

	leastKm   = 1e-6            // nearer is taken as this: the field has no limit at 0
	mostKm    = math.Pi * radKm // the antipode; farther is taken as this
	contourTo = 0.4             // x up to which W is the contour's, beyond it the residues'
)

// Curve is the field against distance over one kind of ground at one frequency. It
// is immutable and safe to share.
type Curve struct {
	Δ, Q    complex128
	ν       float64
	xPerKm  float64
	roots   [terms]complex128 // z_s
	weights [terms]complex128 // 1/(z_s − Q²)
	contour *contour
}

// NewCurve does once what a frequency and a kind of ground settle: the constants
// and the 80 roots of the residue series.
//
// Domain: f 1.6–30 MHz, σ ≥ 0, ε_r ≥ 1, both finite; else every field is NaN.
func NewCurve(f unit.Freq, g earth.Ground) *Curve { return newCurve(f, g, stdAir) }

func newCurve(f unit.Freq, g earth.Ground, κ float64) *Curve {
	fMHz := f.MHz()
	if !(fMHz > 0 && g.SigmaSm >= 0 && g.EpsR >= 1) || math.IsInf(fMHz+g.SigmaSm+g.EpsR, 1) {
		return &Curve{xPerKm: math.NaN()}
	}
	k := 2 * math.Pi * fMHz * 1e6 / cMs
	ε := complex(g.EpsR, -lossPerSmMHz*g.SigmaSm/fMHz)
	Δ := cmplx.Sqrt(ε-1) / ε
	a := κ * radiusM
	ν := math.Cbrt(k * a / 2)
	c := &Curve{Δ: Δ, Q: complex(ν, 0) * Δ * e30, ν: ν, xPerKm: ν * 1000 / a, contour: theContour()}
	c.findRoots()
	return c
}

// FieldDBuVm returns the field at the surface, dB above 1 µV/m, for 1 kW from a
// short lossless vertical monopole (1 kW e.m.r.p., gain 4.77 dBi at the horizon).
//
//	E = 20 log₁₀(3·10⁵/d) + 20 log₁₀|W| + 10 log₁₀(θ/sin θ),  θ = d/6371
//
// It is the total field, the ground's factor of 2 included, and the radiation field
// only.
//
// Source:   notes §1 (reference and convention from memory, high), W by §4 and §5.
// Domain:   0 < d ≤ 2000 km. Total: nearer than 1 mm is 1 mm; beyond 2000 km θ/sin θ
// (0.07 dB) stays as it is there, so that E falls on to the antipode.
// Accuracy: of the model's 315 check values within 0.0005 dB, as far as they are
// printed; contour and residues meet at x = 0.4 within 5·10⁻⁶ dB.
// Departs:  κ = 4/3 for the exponential atmosphere of P.368: per 1000 km of sea 0.6 dB
// too strong at 1.6 MHz, 2.4 dB too weak at 30 MHz (§7).
func (c *Curve) FieldDBuVm(dKm float64) float64 {
	dKm = min(max(dKm, leastKm), mostKm)
	θ := min(dKm, FarKm) / radKm
	return 20*math.Log10(3e5/dKm) + c.attenuationDB(dKm*c.xPerKm) + 10*math.Log10(θ/math.Sin(θ))
}

// attenuationDB returns 20 log₁₀|W| at the reduced distance x.
func (c *Curve) attenuationDB(x float64) float64 {
	if math.IsNaN(x) {
		return x
	}
	if x <= contourTo {
		return 20 * math.Log10(cmplx.Abs(c.near(x)))
	}
	W, exponent := c.far(x)
	return 20*math.Log10(cmplx.Abs(W)) + 20*math.Log10E*exponent
}

var (
	e30 = cmplx.Rect(1, math.Pi/6)  // e^{j30°}
	e15 = cmplx.Rect(1, math.Pi/12) // to the power 1/2
	e45 = cmplx.Rect(1, math.Pi/4)  // to the power 3/2
	rtπ = complex(math.Sqrt(math.Pi), 0)
)
