package desk

import (
	"context"
	"slices"
	"testing"
	"time"

	"farhail/plan"
)

// A few messages for gateways and one for a peer are one problem, worth no more than each
// queue alone, for they share slots and battery.
func TestSmallQueuesArePlannedTogether(t *testing.T) {
	d := demoDesk(t, "saltmarsh")
	w, err := d.begin(context.Background(), d.Now(), 24*time.Hour)
	if err != nil {
		t.Fatal(err)
	}
	w.letters = slices.DeleteFunc(w.letters, func(l Letter) bool {
		return l.Precedence == "routine" && l.ID[:6] != "fa05e0" || l.BytesOnAir > 1_000_000
	})
	if err := w.ready(); err != nil {
		t.Fatal(err)
	}
	queues := w.queues()
	joint := w.together(queues)
	if len(joint) != 1 || len(joint[0].parts) != 2 {
		t.Fatalf("%d problems of %d queues, want one of two", len(joint), len(queues))
	}
	p, kept := w.problem(joint[0])
	value := plan.Solve(p, plan.DefaultGrid).Value()

	alone, greatest := 0.0, 0.0
	for _, q := range joint[0].parts {
		one, _ := w.problem(q)
		v := plan.Solve(one, plan.DefaultGrid).Value()
		alone, greatest = alone+v, max(greatest, v)
	}
	if tol := 1e-6 * value; value > alone+tol || value < greatest+0.5 {
		t.Errorf("together worth %.9g, each alone %.9g in all, the greater %.9g: want at most the first, and well over the second", value, alone, greatest)
	}
	t.Logf("%d messages: together %.6g, each alone %.6g", len(kept), value, alone)

	w.reset()
	a, err := w.plan()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range a.Messages {
		if m.Probability < 0.5 {
			t.Errorf("message %s: chance %g", m.ID, m.Probability)
		}
	}
	if len(w.solved) != 1 || a.ValueBound != round(value) {
		t.Errorf("%d problems solved, bound %g; want one of %g", len(w.solved), a.ValueBound, value)
	}
}
