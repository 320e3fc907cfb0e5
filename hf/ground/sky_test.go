package ground

import (
	"fmt"
	"math"
	"testing"
)

// riceExceeded integrates Rice's density of the power y (mean 1) up to a level:
//
//	p(y) = (1+K) e^{−K−(1+K)y} I_0(2√(K(1+K)y))
//
// by Simpson's rule in r = √y, and returns the share of time above it.
func riceExceeded(levelDB, K float64) float64 {
	density := func(r float64) float64 {
		arg := 2 * r * math.Sqrt(K*(1+K))
		return 2 * r * (1 + K) * math.Exp(-math.Pow(math.Sqrt(K)-r*math.Sqrt(1+K), 2)) * scaledI0(arg)
	}
	const n = 600
	top := math.Pow(10, levelDB/20)
	sum := density(0) + density(top)
	for i := 1; i < n; i++ {
		sum += density(top*float64(i)/n) * float64(2+2*(i%2))
	}
	return 1 - sum*top/n/3
}

// scaledI0 is e^{−x} I_0(x) = (1/π) ∫_0^π e^{x(cos t − 1)} dt, by a sum that converges
// faster than any power; for large x by its asymptotic series.
func scaledI0(x float64) float64 {
	if x > 50 {
		return (1 + 1/(8*x) + 9/(128*x*x)) / math.Sqrt(2*math.Pi*x)
	}
	const n = 100
	sum := 0.0
	for i := range n {
		sum += math.Exp(x * (math.Cos(2*math.Pi*float64(i)/n) - 1))
	}
	return sum / n
}

var percents = [3]float64{0.50, 0.90, 0.99}

// Each entry of the table is Rice's level to its last digit.
func TestRiceTable(t *testing.T) {
	for i, row := range riceTable {
		K := math.Pow(10, float64(riceFrom+i)/10)
		for n, level := range row {
			below, above := riceExceeded(level-0.0006, K), riceExceeded(level+0.0006, K)
			if !(below > percents[n] && above < percents[n]) {
				t.Errorf("K = %d dB: %.3f dB is exceeded in %.5f…%.5f of the time, want %g", riceFrom+i, level, above, below, percents[n])
			}
		}
	}
}

// Between the entries and beyond them, as riceLevels promises.
func TestRiceBetween(t *testing.T) {
	for K := -30.5; K < 40; K += 1.5 {
		for n, level := range riceLevels(K) {
			ratio := math.Pow(10, K/10)
			below, above := riceExceeded(level-0.04, ratio), riceExceeded(level+0.04, ratio)
			if !(below > percents[n] && above < percents[n]) {
				t.Errorf("K = %g dB: %.3f dB is exceeded in %.5f…%.5f of the time, want %g", K, level, above, below, percents[n])
			}
		}
	}
}

// The table of notes §10, printed to 0.1 dB.
func TestRiceOfTheNotes(t *testing.T) {
	for K, want := range map[float64][3]float64{
		-10: {-1.6, -9.8, -20.0}, -3: {-1.4, -9.4, -19.6}, 0: {-1.1, -8.6, -18.7}, 3: {-0.8, -7.0, -16.3},
		6: {-0.5, -5.0, -11.6}, 10: {-0.2, -3.0, -6.2}, 15: {-0.1, -1.6, -3.0}, 20: {0, -0.8, -1.6},
	} {
		for n, got := range riceLevels(K) {
			// Half a unit, and a hair: −11.546 is printed −11.6.
			near(t, fmt.Sprintf("K %g dB, %g", K, percents[n]), got, want[n], 0.0551)
		}
	}
}

// Means add: −100 dBW of ground and −100 dBW of sky by its median, −98.4083 by its mean, are
// −96.1213. Total and K worked by hand.
func TestRegions(t *testing.T) {
	inf := math.Inf(1)
	for _, r := range []struct {
		ground, sky float64
		mean, k     float64
		fading      FadingRegion
	}{
		{-100, -100, -96.1213, -1.5917, SevereFading},
		{-100, -101.5917, -96.9897, 0, SevereFading},
		{-100, -108, -99.1057, 6.4083, Fading},
		{-100, -112, -99.6216, 10.4083, GroundAlone},
		{-110, -100, -98.1172, -11.5917, SkyAlone},
		{-108, -100, -97.9556, -9.5917, Fading},
		{-100, -inf, -100, inf, GroundAlone},
		{-inf, -100, -98.4083, -inf, SkyAlone},
		{-inf, -inf, -inf, -inf, SkyAlone},
		{-400, -100, -98.4083, -301.5917, SkyAlone},
	} {
		m := Mixture(r.ground, r.sky)
		ok := func(a, b float64) bool { return a == b || math.Abs(a-b) < 6e-5 }
		if !ok(m.MeanDBW, r.mean) || !ok(m.KDB, r.k) || m.Region != r.fading {
			t.Errorf("ground %g, sky %g dBW: %.4f, K %.4f, %v; want %.4f, %.4f, %v", r.ground, r.sky, m.MeanDBW, m.KDB, m.Region, r.mean, r.k, r.fading)
		}
	}
}

// The sum of medians is near the median of the sum and never far from it: adding medians
// is the independent road.
func TestSumOfMedians(t *testing.T) {
	var worst float64
	for sky := -130.0; sky < -70; sky += 0.5 {
		m := Mixture(-100, sky)
		off := powerSum(-100, sky) - m.At50DBW
		if !(off > -0.03 && off < 0.42) {
			t.Errorf("K = %.1f dB: sum of medians %.3f dB above the median", m.KDB, off)
		}
		worst = max(worst, off)
	}
	t.Logf("largest difference %.2f dB", worst)
}

// More of either wave never lowers what there is half of the time; all levels lie in order.
func TestMixture(t *testing.T) {
	for sky := -140.0; sky < -60; sky += 0.25 {
		m, more := Mixture(-100, sky), Mixture(-100, sky+0.25)
		if !(m.At99DBW <= m.At90DBW && m.At90DBW <= m.At50DBW && m.At50DBW <= m.MeanDBW) {
			t.Errorf("sky %g: levels out of order: %+v", sky, m)
		}
		if !(more.At50DBW >= m.At50DBW-1e-9 && more.MeanDBW >= m.MeanDBW) {
			t.Errorf("sky %g: %+v, 0.25 dB more sky: %+v", sky, m, more)
		}
	}
	inf := math.Inf(1)
	if m := Mixture(-100, -inf); m != (Mix{-100, -100, -100, -100, inf, GroundAlone}) || m.Share() != 0 {
		t.Errorf("ground alone: %+v, want −100 dBW throughout", m)
	}
	if m := Mixture(-inf, -inf); !math.IsInf(m.MeanDBW, -1) || !math.IsInf(m.At99DBW, -1) {
		t.Errorf("nothing: %+v, want −Inf", m)
	}
	// Rayleigh: the median of the sky alone is the median put in.
	alone := Mixture(-inf, -100)
	near(t, "sky alone, median", alone.At50DBW, -100, 1e-9)
	near(t, "sky alone, 99 %", alone.At99DBW, -100+10*math.Log10(math.Log(0.99)/math.Log(0.5)), 1e-9)
	near(t, "sky alone, share of its fading", alone.Share(), 1, 1e-9)
	// Nothing steps where the table ends, and a ground wave that grows steadies the sum.
	for _, K := range []float64{-10, 30} {
		a, b := Mixture(K-1e-9-rayleigh[0]-100, -100), Mixture(K+1e-9-rayleigh[0]-100, -100)
		near(t, fmt.Sprintf("99 %% about K = %g dB", K), a.At99DBW-a.MeanDBW, b.At99DBW-b.MeanDBW, 1e-8)
	}
	for K := -60.0; K < 60; K += 0.5 {
		if a, b := Mixture(K-100, -100).Share(), Mixture(K-99.5, -100).Share(); !(b <= a && b >= 0 && a <= 1) {
			t.Errorf("share of fading %g at K = %g dB, %g half a dB up", a, K, b)
		}
	}
}

// 1.7 ms at 100 km from a mirror 300 km up (notes §10; flat geometry).
func TestDelay(t *testing.T) {
	near(t, "delay", DelayMs(2*math.Hypot(300, 50), 100), 1.7, 0.05)
}
