package noise

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Our notes on P.372-17 §6, both rows.
func TestCombineTable(t *testing.T) {
	for _, c := range []struct {
		parts       []Source
		Fam, Du, Dl float64
	}{
		{[]Source{{50, 8.5, 6.9}, {46, 9.2, 4.6}, {39.5, 2, 2}}, 52.79756, 7.62244, 5.99091},
		{[]Source{{60, 13, 8}, {49.1, 10.6, 5.3}, {32.6, 2, 2}}, 60.34670, 1.282 * 10.05143, 7.84726},
	} {
		got := Combine(false, c.parts...)
		if math.Abs(got.Fam-c.Fam) > 6e-6 || math.Abs(got.Du-c.Du) > 7e-6 || math.Abs(got.Dl-c.Dl) > 6e-6 {
			t.Errorf("%v: %.6f, want %.5f %.5f %.5f within 6e-6", c.parts, got, c.Fam, c.Du, c.Dl)
		}
	}
	// The second row without the limit: 60.27874, σ 10.08075.
	free := Combine(false, Source{60, 12, 8}, Source{49.1, 10.6, 5.3}, Source{32.6, 2, 2})
	if free.Fam == 60.34670 || free.Du > 12 {
		t.Errorf("at 12 dB sharp the limit must not act: %v", free)
	}
}

// At the limit the median is the plain sum of powers, whatever the parts.
func TestLimitIsPowerSum(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 0))
	acted := 0
	for range 2000 {
		parts := randomParts(rng)
		parts[0].Du = 12.001 + 6*rng.Float64()
		power := 0.0
		for _, p := range parts {
			power += math.Pow(10, p.Fam/10)
		}
		power = 10 * math.Log10(power)
		got := Combine(false, parts...).Fam
		if got < power-1e-9 {
			t.Fatalf("%v: median %.12g below the sum of powers %.12g: the limit did not act", parts, got, power)
		}
		if got < power+1e-9 {
			acted++
		}
	}
	if acted < 100 {
		t.Errorf("the limit acted %d times in 2000: too few to prove anything", acted)
	}
}

func randomParts(rng *rand.Rand) []Source {
	parts := make([]Source, 1+rng.IntN(3))
	for i := range parts {
		parts[i] = Source{80*rng.Float64() - 10, 1 + 14*rng.Float64(), 1 + 10*rng.Float64()}
	}
	return parts
}

func TestCombineLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	near := func(a, b Source) bool {
		return math.Abs(a.Fam-b.Fam) < 1e-9 && math.Abs(a.Du-b.Du) < 1e-9 && math.Abs(a.Dl-b.Dl) < 1e-9
	}
	for range 5000 {
		parts := randomParts(rng)
		for _, field := range []bool{false, true} {
			got := Combine(field, parts...)
			if math.IsNaN(got.Fam+got.Du+got.Dl) || got.Du < 0 || got.Dl < 0 {
				t.Fatalf("%v: %v", parts, got)
			}
			shuffled := append([]Source(nil), parts...)
			rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
			if again := Combine(field, shuffled...); !near(got, again) {
				t.Fatalf("%v: %v, in another order %v", parts, got, again)
			}
			if len(parts) == 1 && !near(got, parts[0]) {
				t.Fatalf("one part %v comes back as %v", parts[0], got)
			}
			if again := Combine(field, append(parts, Source{math.Inf(-1), 2, 2})...); !near(got, again) {
				t.Fatalf("%v: %v, with an absent part %v", parts, got, again)
			}
			// all parts 10 dB up: the sum too
			up := append([]Source(nil), parts...)
			for i := range up {
				up[i].Fam += 10
			}
			if again := Combine(field, up...); !near(again, Source{got.Fam + 10, got.Du, got.Dl}) {
				t.Fatalf("%v: %v, 10 dB up %v", parts, got, again)
			}
		}
		field := Combine(true, parts...)
		for _, p := range parts {
			if field.Fam < p.Fam {
				t.Fatalf("%v: the sum's median %g lies below a part's", parts, field.Fam)
			}
		}
	}
	if got := Combine(true); !math.IsInf(got.Fam, -1) {
		t.Errorf("the sum of nothing is %v", got)
	}
}

// An independent road: the sum's mean power and its variance are what random draws
// of log-normal parts give (a log-normal with these two moments is the method's idea).
func TestCombineAgainstDraws(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	parts := []Source{{50, 5, 5}, {47, 4, 4}, {44, 2, 2}}
	got := Combine(false, parts...)
	const n = 400_000
	var mean, square float64
	for range n {
		x := 0.0
		for _, p := range parts {
			x += math.Pow(10, (p.Fam+p.Du/1.282*rng.NormFloat64())/10)
		}
		mean += x / n
		square += x * x / n
	}
	σ := got.Du / 1.282 / neper
	wantMean := math.Exp(got.Fam/neper + σ*σ/2)
	wantSquare := wantMean * wantMean * math.Exp(σ*σ)
	// at these deciles 400,000 draws know the mean to 0.2 %, the square to 3 %
	if math.Abs(mean/wantMean-1) > 0.01 || math.Abs(square/wantSquare-1) > 0.1 {
		t.Errorf("draws give mean %.4g and square %.4g, the sum %.4g and %.4g", mean, square, wantMean, wantSquare)
	}
}

func FuzzCombine(f *testing.F) {
	f.Add(50.0, 8.5, 6.9, 46.0, 9.2, 4.6, 39.5, 2.0, 2.0, true)
	f.Add(-300.0, 0.0, 0.0, 200.0, 40.0, 40.0, 12.0, 12.1, 0.0, false)
	f.Fuzz(func(t *testing.T, a, au, al, b, bu, bl, c, cu, cl float64, field bool) {
		parts := []Source{{a, au, al}, {b, bu, bl}, {c, cu, cl}}
		for _, p := range parts {
			if !(math.Abs(p.Fam) <= 1000 && p.Du >= 0 && p.Du <= 40 && p.Dl >= 0 && p.Dl <= 40) {
				t.Skip()
			}
		}
		got := Combine(field, parts...)
		for _, x := range []float64{got.Fam, got.Du, got.Dl} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%v: %v", parts, got)
			}
		}
	})
}
