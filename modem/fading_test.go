package modem

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/unit"
)

// rayleigh returns |g|² of one Rayleigh path with a Gaussian Doppler spectrum of
// two-sided spread B, n samples of dt apart: a sum of many turning phasors with
// frequencies drawn from the spectrum (σ = B/2), an independent road to fading.
func rayleigh(rng *rand.Rand, B, dt float64, n int) []float64 {
	const rays = 24
	g := make([]float64, n)
	re, im := make([]float64, n), make([]float64, n)
	for range rays {
		ω := 2 * math.Pi * rng.NormFloat64() * B / 2
		a, b := rng.NormFloat64(), rng.NormFloat64()
		for i := range n {
			s, c := math.Sincos(ω * dt * float64(i))
			re[i] += a*c - b*s
			im[i] += a*s + b*c
		}
	}
	for i := range n {
		g[i] = (re[i]*re[i] + im[i]*im[i]) / (2 * rays)
	}
	return g
}

// The rule "Neff fades, each for its share of the symbols" against a path that fades
// continuously: success of the block given the path, averaged over many paths.
// Without Doppler floor: that part of the model is exact in the mean by construction.
func TestBlockOnPoorAgainstSimulatedPath(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation")
	}
	rng := rand.New(rand.NewPCG(3, 1))
	two := func(γs float64) float64 { return fskError(2, γs) }
	eight := func(γs float64) float64 { return fskError(8, γs) }
	worst := 0.0
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
		SNRs := []float64{6, 10, 14, 18, 22, 26}
		mean := make([]float64, len(SNRs))
		const paths = 1500
		for range paths {
			g := rayleigh(rng, poorSpreadHz, 1/c.k.baud, c.n)
			for i, dB := range SNRs {
				ln := 0.0
				for _, gi := range g {
					ln += math.Log1p(-c.k.fails(math.Pow(10, dB/10) * gi))
				}
				mean[i] += math.Exp(ln) / paths
			}
		}
		for i, dB := range SNRs {
			d := poor.At(unit.DB(dB)) - mean[i]
			worst = max(worst, math.Abs(d))
			t.Logf("%s at γs %g dB: model %.3f, simulated %.3f", c.name, dB, poor.At(unit.DB(dB)), mean[i])
			// Sampling ± 0.025 (2σ of 1500 paths); the rest is the model.
			if math.Abs(d) > 0.06 {
				t.Errorf("%s at γs %g dB: model %.3f, simulated path %.3f, tolerance 0.06", c.name, dB, poor.At(unit.DB(dB)), mean[i])
			}
		}
	}
	t.Logf("worst difference %.3f", worst)
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
