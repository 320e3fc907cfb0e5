package practice

import (
	"math"
	"reflect"
	"testing"
	"time"
)

// Forty days of both demo worlds with an index half a year old: the figures are printed;
// what must hold of them does.
func TestFortyDays(t *testing.T) {
	began := time.Now()
	for _, world := range []string{"saltmarsh", "tamarind"} {
		set := shared(t, world)
		players, err := Yardsticks(set)
		if err != nil {
			t.Fatal(err)
		}
		w := Usual(6)
		r, err := Measure(set, &w, players, "notebook", 1, 40, 2)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: bound %.2f ± %.2f", world, r.Bound.Value, r.Bound.Half)
		for _, l := range r.Lines {
			t.Logf("%-13s worth %.2f ± %.2f, of the bound %.3f ± %.3f, over the notebook %.3f ± %.3f, %.1f min, %.1f calls, %.1f Wh, %.2f ± %.2f Wh/kB, in time %.3v",
				l.Name, l.Worth.Value, l.Worth.Half, l.OfBound.Value, l.OfBound.Half, l.Over.Value, l.Over.Half, l.Minutes.Value, l.Calls.Value, l.Energy.Value, l.WhPerKB.Value, l.WhPerKB.Half, l.InTime)
			if l.OfBound.Value > 1 || l.Worth.Value <= 0 {
				t.Errorf("%s: %s earns %.3f of the bound", world, l.Name, l.OfBound.Value)
			}
		}
		// A finding, not a rule of the game; it holds with room to spare.
		if p := r.Lines[0].OfBound.Value; p < 0.9 {
			t.Errorf("%s: the plan earns %.3f of the bound, want 0.9", world, p)
		}
	}
	t.Logf("%v", time.Since(began))
}

// The figures are the same on any number of cores.
func TestMeasureOnAnyCores(t *testing.T) {
	set := shared(t, "tamarind")
	players, err := Yardsticks(set)
	if err != nil {
		t.Fatal(err)
	}
	w := Usual(3)
	one, err := Measure(set, &w, players, "notebook", 50, 6, 1)
	if err != nil {
		t.Fatal(err)
	}
	many, err := Measure(set, &w, players, "notebook", 50, 6, 5)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(one, many) {
		t.Errorf("one core %+v\nfive %+v", one, many)
	}
}

// Means and ratios by hand: 1, 2, 3, 6 has mean 3 and deviation 2.160; x = 2 y is a ratio
// without error.
func TestStatistics(t *testing.T) {
	m := mean([]float64{1, 2, 3, 6})
	if math.Abs(m.Value-3) > 1e-12 || math.Abs(m.Half-1.959964*2.1602469/2) > 1e-6 {
		t.Errorf("mean %+v", m)
	}
	r := ratio([]float64{2, 4, 6}, []float64{1, 2, 3})
	if math.Abs(r.Value-2) > 1e-12 || r.Half > 1e-12 {
		t.Errorf("ratio %+v", r)
	}
}

func BenchmarkDay(b *testing.B) {
	set := shared(b, "saltmarsh")
	w := Usual(6)
	for n := range b.N {
		if _, err := NewDay(set, &w, uint64(n)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBound(b *testing.B) {
	set := shared(b, "saltmarsh")
	d := day(b, set, Usual(6), 1)
	for b.Loop() {
		d.Bound()
	}
}

func BenchmarkPlan(b *testing.B) {
	set := shared(b, "saltmarsh")
	d := day(b, set, Usual(6), 1)
	for b.Loop() {
		d.Play(&Planner{Plan: Farhail}, nil)
	}
}
