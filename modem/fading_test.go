package modem

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"farhail/unit"
)

// rayleigh returns the complex gain of one Rayleigh path with a Gaussian Doppler
// spectrum of two-sided spread B, n samples of dt apart: a sum of many turning phasors
// with frequencies drawn from the spectrum (σ = B/2), an independent road to fading.
func rayleigh(rng *rand.Rand, B, dt float64, n int) []complex128 {
	const rays = 24
	g := make([]complex128, n)
	for range rays {
		turn := cmplx.Rect(1, 2*math.Pi*rng.NormFloat64()*B/2*dt)
		ray := complex(rng.NormFloat64(), rng.NormFloat64()) / complex(math.Sqrt(2*rays), 0)
		for i := range g {
			g[i] += ray
			ray *= turn
		}
	}
	return g
}

// The rule of the deepest fade against a path that fades continuously: success of the
// block given the path, averaged over many paths.
func TestBlockOnPoorAgainstSimulatedPath(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation")
	}
	rng := rand.New(rand.NewPCG(3, 1))
	two := func(γs float64) float64 { return fskError(2, γs) }
	eight := func(γs float64) float64 { return fskError(8, γs) }
	for _, c := range []struct {
		name string
		k    keying
		n    int
	}{
		{"direct-printing block", keying{baud: 100, bits: 1, fails: two}, 21},
		{"binary, 1.6 s", keying{baud: 100, bits: 1, fails: two}, 160},
		{"eight tones, 2.1 s", keying{baud: 25, bits: 3, fails: eight}, 53},
	} {
		_, poor := c.k.block(float64(c.n), c.k.baud, 0) // SNR in the symbol rate: γs
		const paths = 1500
		var mean [6]float64
		for range paths {
			g := rayleigh(rng, poorSpreadHz, 1/c.k.baud, c.n)
			for i := range mean {
				ln := 0.0
				for _, gi := range g {
					ln += math.Log1p(-c.k.fails(math.Pow(10, 0.6+0.4*float64(i)) * (real(gi)*real(gi) + imag(gi)*imag(gi))))
				}
				mean[i] += math.Exp(ln) / paths
			}
		}
		comparePoor(t, c.name, poor, mean[:])
	}
}

// Differential keying symbol by symbol, noise and turning path included: the phase of
// each symbol against that of the one before.
func TestDifferentialOnPoorAgainstSimulatedPath(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation")
	}
	rng := rand.New(rand.NewPCG(3, 2))
	for _, c := range []struct {
		name  string
		k     keying
		n     int
		limit float64 // of the phase error
	}{
		{"two phases, 1.6 s", keying{baud: 100, bits: 1, fails: dbpskError, doppler: true}, 160, math.Pi / 2},
		{"four phases, 0.8 s", keying{baud: 100, bits: 2, fails: dqpskError, doppler: true}, 80, math.Pi / 4},
	} {
		_, poor := c.k.block(float64(c.n), c.k.baud, 0)
		const paths = 1500
		var mean [6]float64
		for range paths {
			g := rayleigh(rng, poorSpreadHz, 1/c.k.baud, c.n+1)
			for i := range mean {
				σ := complex(math.Sqrt(0.5/math.Pow(10, 0.6+0.4*float64(i))), 0)
				good, before := 1.0/paths, complex128(0)
				for s, gi := range g {
					r := gi + σ*complex(rng.NormFloat64(), rng.NormFloat64())
					if s > 0 && math.Abs(cmplx.Phase(r*cmplx.Conj(before))) > c.limit {
						good = 0
						break
					}
					before = r
				}
				mean[i] += good
			}
		}
		comparePoor(t, c.name, poor, mean[:])
	}
}

// comparePoor compares at γs = 6, 10, … 26 dB. Sampling takes up to 0.025 of the
// tolerance (2σ of 1500 paths), the model the rest.
func comparePoor(t *testing.T, name string, poor Curve, simulated []float64) {
	t.Helper()
	for i, want := range simulated {
		dB := 6 + 4*float64(i)
		got := poor.At(unit.DB(dB))
		t.Logf("%s at γs %g dB: model %.3f, simulated %.3f", name, dB, got, want)
		if math.Abs(got-want) > 0.06 {
			t.Errorf("%s at γs %g dB: model %.3f, simulated path %.3f, tolerance 0.06", name, dB, got, want)
		}
	}
}

// A steady block is right when all its symbols are.
func TestBlockSteadyIsProduct(t *testing.T) {
	k := keying{baud: 100, bits: 1, fails: dbpskError}
	steady, _ := k.block(160, 200, 0)
	for dB := -5.0; dB < 12; dB++ {
		γ := math.Pow(10, dB/10) * 2
		near(t, "block success", steady.At(unit.DB(dB)), math.Pow(1-dbpskError(γ), 160), 1e-9)
	}
}

// The formula of block on Poor, taken literally and summed finely, against the grid.
func TestPoorCurveAgainstItsFormula(t *testing.T) {
	k, n, B := keying{baud: 100, bits: 1, fails: func(γs float64) float64 { return fskError(2, γs) }}, 160.0, poorSpreadHz
	_, poor := k.block(n, k.baud, 0)
	a := 0.5 // Ps = ½ e^{−γs/2}
	var worst float64
	for dB := -3.1; dB < 45; dB += 1.7 {
		γs := math.Pow(10, dB/10)
		m := 1 / (1/n + math.Pi*B*math.Sqrt(a*γs)/k.baud/2)
		F := func(x float64) float64 { return math.Exp(-x - math.Sqrt(math.Pi*x)*B*n/k.baud) }
		var want float64
		for y := -80.0; y < 15; y += 0.02 { // depth, dB
			x, up := math.Pow(10, y/10), math.Pow(10, (y+0.02)/10)
			want += (F(x) - F(up)) * math.Pow(1-k.fails(γs*(x+up)/2), m)
		}
		worst = max(worst, math.Abs(poor.at(dB)-want))
	}
	t.Logf("worst difference %.1g", worst)
	near(t, "grid against formula", worst, 0, 2e-3)
}
