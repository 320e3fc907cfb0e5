package plan

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Halving the steps of battery or belief moves the value of a watch by under 1 %, with
// batteries from a rucksack's to a yacht's.
func TestHalvingTheSteps(t *testing.T) {
	for _, c := range []struct {
		wh, limit float64 // %
	}{{0, 1e-9}, {4800, 1}, {1200, 1}, {600, 1}} {
		rng := rand.New(rand.NewPCG(3, 1))
		battery, belief := 0.0, 0.0
		const problems = 3
		for n := range problems {
			p := aWatch(rng, 96, 7, 4, 14, c.wh)
			v := Solve(p, DefaultGrid).Value()
			finer := 100 * math.Abs(Solve(p, Grid{2*DefaultGrid.Levels - 1, DefaultGrid.Tilts}).Value()/v-1)
			more := 100 * math.Abs(Solve(p, Grid{DefaultGrid.Levels, evenly(DefaultGrid.Tilts[0], -DefaultGrid.Tilts[0], 2*len(DefaultGrid.Tilts)-1)}).Value()/v-1)
			battery, belief = math.Max(battery, finer), math.Max(belief, more)
			if finer > c.limit || more > 0.3 {
				t.Errorf("watch %d with %g Wh: value %.6g moves by %.3f %% with twice the levels, %.3f %% with twice the tilts; want %g and 0.3 at most", n, c.wh, v, finer, more, c.limit)
			}
		}
		t.Logf("%5g Wh: at most %.3f %% with twice the levels, %.4f %% with twice the tilts, of %d watches", c.wh, battery, belief, problems)
	}
}

// What the bound on channels weighed costs: the twin weighs all of ten. It can only cost.
func TestCandidatesSuffice(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	grid := Grid{Levels: 5, Tilts: []float64{-1.6, 0, 1.6}}
	worst := 0.0
	const problems = 3
	for n := range problems {
		p := aWatch(rng, 8, 5, 2, 5, 1200)
		got, all := Solve(p, grid).Value(), newTwin(p, modelled(p, grid)).Value()
		lost := 100 * (1 - got/all)
		worst = math.Max(worst, lost)
		if lost < -1e-9 || lost > 0.1 {
			t.Errorf("watch %d: of %d channels, value %.9g, all of them %.9g: %.4f %% lost, want 0 … 0.1", n, len(p.Channels), got, all, lost)
		}
	}
	t.Logf("at most %.4f %% lost, of %d watches", worst, problems)
}
