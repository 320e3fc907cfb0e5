package plan

import (
	"fmt"
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

// Passing channels over loses nothing: every state has the value it has with every call
// weighed, in watches of real size and in tiny problems of ten unlike channels, which are
// also worked out by brute force.
func TestNothingIsLost(t *testing.T) {
	same := func(name string, p *Problem, g Grid) {
		quick, slow := Solve(p, g), solve(p, g, true)
		worst, states := 0.0, 0
		for s := range p.Slots {
			for k, v := range slow.value[s] {
				worst = math.Max(worst, math.Abs(v-quick.value[s][k])/math.Max(1, v))
				states++
			}
		}
		if worst > 1e-7 {
			t.Errorf("%s: values of %d states differ by up to %.3g from those with every call weighed, want 1e-7 at most", name, states, worst)
		}
	}
	rng := rand.New(rand.NewPCG(11, 1))
	for _, wh := range []float64{0, 600, 4800} {
		same(fmt.Sprintf("a day with %g Wh", wh), aWatch(rng, 96, 7, 4, 14, wh), DefaultGrid)
	}
	// As many places as leave one, and two, over from whole blocks.
	for _, messages := range []int{1, block, block + 1, block + 2, 2*block + 1} {
		for range 4 {
			same(fmt.Sprintf("%d messages", messages), aWatch(rng, 40, 5, 4, messages, 1200), DefaultGrid)
		}
	}
	for n := range 150 {
		p := tinyOf(rng, 2)
		station := rng.Perm(4)
		p.Channels = p.Channels[:1]
		for len(p.Channels) < 10 {
			c := Channel{Station: station[rng.IntN(4)], Free: rng.Float64()}
			if len(p.Items) > 0 {
				c.Queue = p.Items[rng.IntN(len(p.Items))].Queue
			}
			join(p, c, rng)
		}
		same(fmt.Sprintf("ten channels, problem %d", n), p, DefaultGrid)
		if got, want := Solve(p, coarse).Value(), newTwin(p, modelled(p, coarse)).Value(); math.Abs(got-want) > 1e-8*math.Max(1, want) {
			t.Errorf("ten channels, problem %d: value %.12g, by brute force %.12g", n, got, want)
		}
	}
}

// Odd problems: nobody to call, nothing to send, sure and hopeless channels, calls longer
// than the slot, one belief, free energy. No value is NaN, none below nothing, and none
// differs from that with every call weighed.
func TestOddProblems(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	odd := func(v *float64, values ...float64) {
		if rng.IntN(3) == 0 {
			*v = values[rng.IntN(len(values))]
		}
	}
	worth := 0
	for n := range 20000 {
		p := tiny(rng)
		free := [2]float64{rng.Float64(), rng.Float64()}
		odd(&free[0], 0, 1)
		for c := range p.Channels {
			ch := &p.Channels[c]
			ch.Free = free[ch.Station]
			for s := range ch.Cells {
				cell := &ch.Cells[s]
				odd(&cell.Setup, 0, 20)
				odd(&cell.GiveUp, 0, 14, 20)
				for k := range cell.Connect {
					odd(&cell.Connect[k], 0, 1)
					for j := range cell.Rate[k] {
						odd(&cell.Rate[k][j], 0, 1e9)
					}
				}
			}
		}
		for m := range p.Items {
			odd(&p.Items[m].Bytes, 1, 1e12)
		}
		switch rng.IntN(6) {
		case 0:
			p.Channels = nil
		case 1:
			p.Items = nil
		case 2:
			p.Battery.Price, p.Draw = 0, 0
		}
		g := coarse
		if n%4 == 0 {
			g.Tilts = []float64{0}
		}
		quick, slow := Solve(p, g), solve(p, g, true)
		for s := range p.Slots {
			for k, v := range quick.value[s] {
				if !(v >= -1e-9) || math.Abs(v-slow.value[s][k]) > 1e-7*math.Max(1, v) {
					t.Fatalf("problem %d, slot %d, state %d: value %g, with every call weighed %g\n%+v", n, s, k, v, slow.value[s][k], *p)
				}
			}
		}
		if quick.Value() > 0 {
			worth++
		}
		quick.Follow()
		quick.Rehearse(3, rng)
	}
	if worth < 3000 {
		t.Errorf("%d of 20,000 problems of some worth", worth)
	}
}
