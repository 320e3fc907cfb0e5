package modem

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/unit"
)

// Flat Rayleigh fading and a sharp threshold: one reception serves with e^{−1/γ}, and
// adding them up takes 1 + 1/γ receptions (our notes on links §6), x = 1/γ.
func TestCombiningOnRayleigh(t *testing.T) {
	var p []float64
	for dB := -14.0; dB <= 50; dB += 0.1 {
		p = append(p, math.Exp(-math.Pow(10, -dB/10)))
	}
	c, err := Tabulated(-14, 0.1, p)
	if err != nil {
		t.Fatal(err)
	}
	summed := combined(c, 16) // 16 is as good as no limit here
	for _, x := range []float64{0.5, 1, 2} {
		near(t, "receptions", 1/summed.at(-10*math.Log10(x)), 1+x, 0.03)
		near(t, "without memory", 1/c.at(-10*math.Log10(x)), math.Exp(x), 0.03)
	}
}

// The model of a logistic level, reception by reception: effective SNRs drawn so that
// one serves with c(x), added up, K kept.
func TestCombiningByMonteCarlo(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for _, width := range []unit.DB{widthAWGN, widthPoor} {
		c := Logistic(10, width)
		for _, K := range []int{2, 4} {
			summed := combined(c, K)
			for _, p := range []float64{0.02, 0.2, 0.6, 0.95} { // of one reception
				x := float64(c.Need(p))
				const blocks = 20000
				n := 0
				for range blocks {
					for sum, kept := 0.0, 0; sum < 1; n++ {
						if kept == K {
							sum, kept = 0, 0
						}
						sum += math.Pow(10, (x-float64(c.Need(1-rng.Float64())))/10)
						kept++
					}
				}
				// Sampling: 2 % at three deviations of 20,000 blocks.
				t.Logf("width %g dB, %d kept, chance %g of one: computed over simulated receptions %.4f", float64(width), K, p, float64(blocks)/(float64(n)*summed.at(x)))
				near(t, "receptions over simulated", float64(blocks)/(float64(n)*summed.at(x)), 1, 0.03)
			}
		}
	}
}

// More memory never needs more receptions; one is no memory at all.
func TestCombiningNeverWorse(t *testing.T) {
	c := Logistic(0, widthPoor)
	for x := -15.0; x < 20; x++ {
		before := c.at(x)
		for _, K := range []int{1, 2, 3, 5, 8} {
			p := combined(c, K).at(x)
			if p < before*(1-2e-3) {
				t.Errorf("at %g dB memory for %d receptions serves with %g after %g", x, K, p, before)
			}
			before = p
		}
	}
}
