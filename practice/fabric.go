package practice

import (
	"math"
	"math/rand/v2"

	"farhail/hf/earth"
)

// A fabric is a Gaussian pattern over the sphere, alike over a length L: a sum of plane
// waves through space, of which the sphere takes its cut.
//
//	g(r) = M^−½ Σ_m [A_m cos(k_m·r) + B_m sin(k_m·r)],  A, B standard normal
//	E g(r) g(s) → exp(−|r − s|/L)  as M grows, with k = z/(L |w|), z normal in 3 D, w normal
//
// Source:   spectral representation of a Gaussian field; the spectrum of the
// exponential law in three dimensions is Student's with one degree of freedom.
// Accuracy: for the M waves drawn, the law is met to ±1/√(2M) at any pair of places;
// it holds exactly in the mean. Distances are chords, 1 % short at 3,000 km.
type fabric struct{ k [waves][3]float64 }

// waves of a fabric: its law of distance errs by 0.09.
const waves = 64

// A spot is the fabric's waves at one place.
type spot [2 * waves]float64

// A thread is one pattern woven on a fabric.
type thread [2 * waves]float64

func newFabric(km float64, rng *rand.Rand) *fabric {
	f := new(fabric)
	for m := range f.k {
		w := max(math.Abs(rng.NormFloat64()), 1e-6)
		for i := range 3 {
			f.k[m][i] = rng.NormFloat64() / (km * w)
		}
	}
	return f
}

// position is a place in km from the earth's centre.
func position(p earth.Point) (r [3]float64) {
	sinφ, cosφ := math.Sincos(p.Lat.Rad())
	sinλ, cosλ := math.Sincos(p.Lon.Rad())
	return [3]float64{earth.R0Km * cosφ * cosλ, earth.R0Km * cosφ * sinλ, earth.R0Km * sinφ}
}

func (f *fabric) spot(r [3]float64) (s spot) {
	norm := 1 / math.Sqrt(waves)
	for m, k := range f.k {
		sin, cos := math.Sincos(k[0]*r[0] + k[1]*r[1] + k[2]*r[2])
		s[2*m], s[2*m+1] = cos*norm, sin*norm
	}
	return s
}

func newThread(rng *rand.Rand) *thread {
	t := new(thread)
	for i := range t {
		t[i] = rng.NormFloat64()
	}
	return t
}

// at is the pattern's value at a place: standard normal.
func (t *thread) at(s *spot) float64 {
	var a, b float64
	for i := 0; i < len(t); i += 2 {
		a += t[i] * s[i]
		b += t[i+1] * s[i+1]
	}
	return a + b
}
