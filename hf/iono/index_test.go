package iono

import (
	"math"
	"testing"
)

// Values of the index file (our notes, indices): cycle 25's peak and the last
// observed month; the first of 1958.
func TestIndexObserved(t *testing.T) {
	for _, c := range []struct {
		y, m   int
		ig, r  float64
		within float64
	}{{1958, 1, 164.8, 199.0, 0.051}, {2024, 10, 129.0, 112.6, 0.051}, {2025, 10, 90.9, 75.8, 0.051}} {
		x := IndexOf(c.y, c.m)
		if math.Abs(x.IG12-c.ig) > c.within || math.Abs(x.R12-c.r) > c.within || x.AgeMonths != 0 {
			t.Errorf("%d-%02d: %+v, want IG12 %g R12 %g observed", c.y, c.m, x, c.ig, c.r)
		}
	}
	if y, m := LastObserved(); y != 2025 || m != 10 {
		t.Errorf("last observed %d-%02d", y, m)
	}
}

// The continuation starts where the observations end, falls towards the minimum, and
// says how old it is; outside the table the nearest end stands in and says so.
func TestIndexContinuation(t *testing.T) {
	last := IndexOf(2025, 10)
	for i := 1; i <= 62; i++ {
		m := 9 + i
		x := IndexOf(2025+m/12, m%12+1)
		if x.AgeMonths != i || x.Clamped {
			t.Fatalf("%d months on: %+v", i, x)
		}
		if math.Abs(x.IG12-last.IG12) > 6 || x.IG12 > last.IG12+3 || x.SD < last.SD {
			t.Errorf("%d months on: IG12 %.1f ± %.0f after %.1f ± %.0f", i, x.IG12, x.SD, last.IG12, last.SD)
		}
		last = x
	}
	for _, c := range []struct {
		months int
		sd     float64
	}{{1, 3}, {3, 8}, {6, 16}, {12, 31}, {40, 31}} {
		if sd := spreadAtAge(c.months); sd != c.sd {
			t.Errorf("spread at %d months %g, want %g", c.months, sd, c.sd)
		}
	}
	if x := IndexOf(2033, 1); !x.Clamped || x.IG12 != IndexOf(2030, 12).IG12 {
		t.Errorf("2033: %+v", x)
	}
}

// The fit from flux passes where the published relation of P.371-8 does, near enough:
// Φ12 of R12 50 is 102.3, of 100 is 145.4; IG12 of those 54.4 and 107.7.
func TestFromFlux(t *testing.T) {
	for _, c := range [][2]float64{{102.3, 54.4}, {145.4, 107.7}} {
		if x := FromFlux(c[0]); math.Abs(x.IG12-c[1]) > x.SD {
			t.Errorf("flux %g: IG12 %.1f, published relation %.1f", c[0], x.IG12, c[1])
		}
	}
	w := Weigh(Index{IG12: 70, R12: 60, SD: 31}, Index{IG12: 100, R12: 85, SD: 13.4})
	if w.SD >= 13.4 || w.IG12 < 94 || w.IG12 > 100 {
		t.Errorf("weighed: %+v", w)
	}
}

// Order the table must keep (our notes): winter nights at high latitude spread most,
// and the blocks begin at 22.
func TestDeciles(t *testing.T) {
	spread := func(m int, lat, lt float64) float64 {
		lo, up := FoF2Deciles(m, lat < 0, lat, 30, lt)
		if lo < 0.55 || lo > 0.95 || up < 1.05 || up > 1.55 {
			t.Fatalf("month %d lat %g LT %g: %g %g", m, lat, lt, lo, up)
		}
		return math.Log(up / lo)
	}
	if a, b := spread(1, 65, 0), spread(1, 50, 12); a <= b {
		t.Errorf("winter night at 65° %.2f, winter noon at 50° %.2f", a, b)
	}
	if spread(1, 40, 22.5) != spread(1, 40, 1.9) || spread(7, -40, 12) != spread(1, 40, 12) {
		t.Error("block 22–02 or the hemispheres do not fold")
	}
	for lt := -24.0; lt < 48; lt += 0.5 {
		for _, lat := range []float64{-90, -14.99, 15, 89} {
			spread(6, lat, lt)
		}
	}
}
