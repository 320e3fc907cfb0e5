package desk

import (
	"context"
	"math"
	"slices"
	"testing"
	"time"

	"farhail/plan"
)

// Halving the steps of battery or belief moves the value of no queue of the demo worlds
// by as much as 1 %.
func TestHalvingTheStepsInEveryQueue(t *testing.T) {
	for _, world := range []string{"saltmarsh", "tamarind"} {
		d := demoDesk(t, world)
		w, err := d.begin(context.Background(), d.Now(), 24*time.Hour)
		if err != nil {
			t.Fatal(err)
		}
		if w.pr, err = prospectOf(w.home, w.directory, w.where, w.index, w.at, w.span); err != nil {
			t.Fatal(err)
		}
		w.energy()
		queues := 0
		for _, q := range w.queues() {
			p, _ := w.problem(q)
			if len(p.Items) == 0 {
				continue
			}
			queues++
			g := plan.DefaultGrid
			v := plan.Solve(p, g).Value()
			g.Levels = 2*g.Levels - 1
			finer := 100 * (plan.Solve(p, g).Value()/v - 1)
			g = plan.DefaultGrid
			for k := len(g.Tilts) - 1; k > 0; k-- {
				g.Tilts = slices.Insert(slices.Clone(g.Tilts), k, (g.Tilts[k-1]+g.Tilts[k])/2)
			}
			more := 100 * (plan.Solve(p, g).Value()/v - 1)
			t.Logf("%s %v: value %.5g, %+.4f %% with twice the levels, %+.4f %% with twice the tilts", world, q.names, v, finer, more)
			if math.Abs(finer) >= 1 || math.Abs(more) >= 1 {
				t.Errorf("%s %v: value %.6g moves by %.3f and %.3f %%, want under 1", world, q.names, v, finer, more)
			}
		}
		if queues == 0 {
			t.Errorf("%s: no queue", world)
		}
	}
}
