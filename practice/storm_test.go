package practice

import (
	"math"
	"testing"

	"farhail/hf/earth"
)

// The first day of the series as the source file prints it, its highest value, and its
// means by year: a check of the re-expression by other figures than its own.
func TestApAgainstTheSource(t *testing.T) {
	s := apSeries()
	for i, want := range []float64{80, 94, 56, 27, 18, 22, 56, 27} {
		if got := apClass[s[i]]; got != want {
			t.Errorf("1958-01-01, value %d: ap %g, want %g", i+1, got, want)
		}
	}
	// 13 March 1989, the great storm: daily Ap 246 (GFZ list, from memory, high).
	day := 0
	for y := 1958; y < 1989; y++ {
		day += 365
		if y%4 == 0 {
			day++
		}
	}
	day += 31 + 28 + 12
	sum := 0.0
	for _, v := range s[day*8 : day*8+8] {
		sum += apClass[v] / 8
	}
	if math.Abs(sum-246) > 1 {
		t.Errorf("1989-03-13: Ap %.1f, want 246", sum)
	}
}

// A step of ap from 5 to 45 for a day: positive at low latitude, negative at high and
// middle; forgotten with 60 and 24 h; never beyond ±0.6. Slopes as in the notes' table.
func TestStormResponse(t *testing.T) {
	step := func(height float64) *disturbance {
		d := newDisturbance(0, 240)
		d.month = 5
		for i := range d.ap {
			d.ap[i] = 5
			if h := float64(i-apHistory) * apStep; h >= 24 && h < 48 {
				d.ap[i] = height
			}
		}
		d.mean6, d.mean24, d.m60 = d.fading(6), d.fading(24), d.fading(60)
		return d
	}
	d := step(45)
	low, mid, high := newStormLaw(12, 4, false), newStormLaw(42, 4, false), newStormLaw(65, 4, false)
	at := func(s stormLaw, d *disturbance, h float64) float64 { return s.response(d, h, 9) }
	// After a day at +40 the means stand at 40 (1 − e^−1) and 40 (1 − e^−0.4).
	for _, c := range []struct {
		name string
		got  float64
		want float64
	}{
		{"low", at(low, d, 48), 0.037 * 4 * (1 - math.Exp(-0.4))},
		{"middle", at(mid, d, 48), -0.075 * 4 * (1 - math.Exp(-1))},
		{"high", at(high, d, 48), -0.087 * 4 * (1 - math.Exp(-1))},
		{"high, two days on", at(high, d, 96), -0.087 * 4 * (1 - math.Exp(-1)) * math.Exp(-2)},
	} {
		if math.Abs(c.got-c.want) > 0.15*math.Abs(c.want)+0.001 {
			t.Errorf("%s: ln foF2 moves by %.4f, want %.4f ± 15 %%", c.name, c.got, c.want)
		}
	}
	wild := step(400)
	for _, s := range []stormLaw{low, mid, high, newStormLaw(42, 12, false)} {
		for h := 0.0; h < 200; h++ {
			if x := s.response(wild, h, math.Mod(h, 24)); math.Abs(x) > 0.6 {
				t.Fatalf("%+v hour %g: %.3f, want at most 0.6", s, h, x)
			}
		}
	}
	if x := newStormLaw(42, 12, false); x.response(step(100), 27, 12) <= 0 {
		t.Errorf("winter noon at middle latitude, 3 h into a storm: %.3f, want positive", x.response(step(100), 27, 12))
	}
}

// Lost paths at high latitude by Ap24 as counted at one ionosonde (day_to_day §4: 0.10,
// 0.24, 0.56, 0.79), none elsewhere. By night; 40 runs of 10 days, correlated: ± 0.05.
func TestLostReadings(t *testing.T) {
	north, south := earth.At(69, 20), earth.At(40, 20)
	for _, c := range []struct{ Ap, want float64 }{{4, .10}, {11.5, .24}, {20, .56}, {32, .79}} {
		lost, n := 0.0, 0.0
		for seed := range uint64(60) {
			w := Usual(1)
			a := newAir(&w, 2015, 4, 10, 240, 60, north, seed)
			for i := range a.storm.ap {
				a.storm.ap[i] = c.Ap
			}
			p, q := a.place(north), a.place(south)
			for h := 0.0; h < 240; h += 0.5 {
				if a.isLost(p, h) {
					lost++
				}
				if n++; a.isLost(q, h) {
					t.Fatal("a path is lost at 40° N")
				}
			}
		}
		if got := lost / n; math.Abs(got-c.want) > 0.05 {
			t.Errorf("Ap24 %g: %.3f of hours lost, want %.2f ± 0.05", c.Ap, got, c.want)
		}
	}
}
