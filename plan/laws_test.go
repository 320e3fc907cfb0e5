package plan

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"farhail/forecast"
)

// copyOf shares nothing with the problem that the laws change.
func copyOf(p *Problem) *Problem {
	q := *p
	q.Wake, q.Battery.Drift = slices.Clone(p.Wake), slices.Clone(p.Battery.Drift)
	q.Channels = slices.Clone(p.Channels)
	q.Items = slices.Clone(p.Items)
	for i := range q.Items {
		q.Items[i].Worth = slices.Clone(p.Items[i].Worth)
	}
	return &q
}

// What can only help never lowers the value, on the same grid. Each change is given the
// problem to better and says whether it applies.
func TestMoreNeverHurts(t *testing.T) {
	laws := []struct {
		name   string
		better func(p *Problem, rng *rand.Rand) bool
	}{
		{"more in the battery", func(p *Problem, rng *rand.Rand) bool {
			b := &p.Battery
			b.Now += rng.Float64() * (b.Capacity - b.Now)
			return b.Capacity > 0
		}},
		{"more charging", func(p *Problem, rng *rand.Rand) bool {
			p.Battery.Drift[rng.IntN(p.Slots)] += 5 * rng.Float64()
			return p.Battery.Capacity > 0
		}},
		// The slots that are added hold charge: see TestDrainAheadForbidsCalls for those
		// that do not.
		{"a longer watch", func(p *Problem, rng *rand.Rand) bool {
			for range 1 + rng.IntN(2) {
				p.Slots++
				p.Wake = append(p.Wake, 0)
				p.Battery.Drift = append(p.Battery.Drift, 3*rng.Float64())
				for i := range p.Items {
					p.Items[i].Worth = append(p.Items[i].Worth, 0.9*p.Items[i].Worth[len(p.Items[i].Worth)-1])
				}
				for c := range p.Channels {
					p.Channels[c].Cells = append(slices.Clone(p.Channels[c].Cells), tinyCell(rng))
				}
			}
			return true
		}},
		{"somebody on watch", func(p *Problem, rng *rand.Rand) bool {
			t := rng.IntN(p.Slots)
			awake := p.Wake[t] == 0
			p.Wake[t] = 0
			return !awake
		}},
		{"another channel", func(p *Problem, rng *rand.Rand) bool {
			join(p, Channel{Station: rng.IntN(3), Free: rng.Float64()}, rng)
			return true
		}},
		{"a later deadline", func(p *Problem, rng *rand.Rand) bool {
			if len(p.Items) == 0 {
				return false
			}
			w := p.Items[rng.IntN(len(p.Items))].Worth
			for t := 1; t < len(w); t++ {
				w[t] = math.Max(w[t], 0.9*w[t-1])
			}
			return true
		}},
		{"dearer messages", func(p *Problem, rng *rand.Rand) bool {
			if len(p.Items) == 0 {
				return false
			}
			w := p.Items[rng.IntN(len(p.Items))].Worth
			for t := range w {
				w[t] *= 1.5
			}
			return true
		}},
		{"cheaper energy", func(p *Problem, rng *rand.Rand) bool {
			p.Battery.Price *= rng.Float64()
			return true
		}},
		{"a radio that draws less", func(p *Problem, rng *rand.Rand) bool {
			p.Draw *= rng.Float64()
			return p.Battery.Capacity == 0 // else the levels fall elsewhere on the grid
		}},
		{"a cheaper bearer", func(p *Problem, rng *rand.Rand) bool {
			if len(p.Items) == 0 {
				return false
			}
			m := &p.Items[rng.IntN(len(p.Items))]
			if m.Bearer == 0 {
				m.Bearer = 8
			}
			m.Bearer *= 0.01 + 0.99*rng.Float64()
			return true
		}},
		{"no drain at the end", func(p *Problem, rng *rand.Rand) bool {
			b := &p.Battery
			if b.Capacity == 0 || b.Drift[p.Slots-1] >= 0 {
				return false
			}
			b.Drift[p.Slots-1] = 0
			return true
		}},
	}
	for _, law := range laws {
		rng := rand.New(rand.NewPCG(4, 4))
		tried, gained := 0, 0
		for n := range 600 {
			p := tiny(rng)
			q := copyOf(p)
			if !law.better(q, rng) {
				continue
			}
			tried++
			before, after := Solve(p, DefaultGrid).Value(), Solve(q, DefaultGrid).Value()
			// An action is taken only when better by 1e-9, so each slot may lose as much.
			if tol := 1e-9 * math.Max(float64(q.Slots), before); after < before-tol {
				t.Errorf("%s: problem %d: value falls from %.12g to %.12g, tolerance %.1g\nfrom %+v\nto   %+v", law.name, n, before, after, tol, *p, *q)
				break
			}
			if after > before+1e-6 {
				gained++
			}
		}
		t.Logf("%-24s %3d problems, gains in %3d", law.name, tried, gained)
		if tried < 60 || gained == 0 {
			t.Errorf("%s: %d problems tried, %d gain; want 60 and one", law.name, tried, gained)
		}
	}
}

// Nothing earns more than every message delivered at its best moment.
func TestNoBetterThanAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for n := range 1000 {
		p := tiny(rng)
		if n%50 == 0 {
			p = aWatch(rng, 24, 3, 2, 6, 600)
		}
		all := 0.0
		for _, m := range p.Items {
			all += slices.Max(m.Worth)
		}
		s := Solve(p, DefaultGrid)
		for t0, values := range s.value {
			for at, v := range values {
				if !(v >= 0 && v <= all*(1+1e-12)) {
					t.Fatalf("problem %d, slot %d, state %d: value %g, want 0 … %g, the worth of all messages", n, t0, at, v, all)
				}
			}
		}
	}
}

// The likeliest path leaves the reserve alone whenever the battery could keep it
// without calls, and calls nobody when it could not.
func TestFollowKeepsTheReserve(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	short, called := 0, 0
	for n := range 5000 {
		p := tiny(rng)
		b := &p.Battery
		if b.Capacity == 0 {
			continue
		}
		b.Price = 0 // greedy for calls
		if n%2 == 0 {
			b.Now = b.Reserve + 0.5*(b.Now-b.Reserve)
		}
		s := Solve(p, DefaultGrid)
		steps, levels := s.Follow()
		calls := 0
		for _, st := range steps {
			if st.Action.Call >= 0 {
				calls++
			}
		}
		called += calls
		if b.Now < newTwin(p, rules{}).need[0] {
			short++
			// The load breaks the reserve by itself: nobody is called before.
			level := b.Now
			for u := 0; u < p.Slots && level >= b.Reserve; u++ {
				if slices.ContainsFunc(steps, func(st Step) bool { return st.Slot == u && st.Action.Call >= 0 }) {
					t.Fatalf("problem %d: a call planned in slot %d though %g Wh is too little to keep %g without any\n%+v", n, u, b.Now, b.Reserve, *p)
				}
				level = min(level+b.Drift[u], b.Capacity)
			}
			continue
		}
		if low := slices.Min(levels); low < b.Reserve-1e-9 {
			t.Fatalf("problem %d: the battery falls to %g Wh, reserve %g\n%+v", n, low, b.Reserve, *p)
		}
	}
	if short < 200 || called < 300 {
		t.Errorf("%d problems short of energy, %d calls; want 200 and 300", short, called)
	}
}

// Whatever happens, played call by call: energy for calls is what there was over the
// reserve at most. Nothing charges, so that the sum over the watch decides.
func TestRehearseKeepsTheReserve(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 10))
	tried, called := 0, 0.0
	for n := range 3000 {
		p := tiny(rng)
		b := &p.Battery
		if b.Capacity == 0 {
			continue
		}
		b.Price = 1e-4
		scale := []float64{1, 3, 10}[n%3]
		b.Capacity, b.Reserve = b.Capacity*scale, b.Reserve*scale
		b.Now = b.Reserve + rng.Float64()*(b.Capacity-b.Reserve)/4
		room := b.Now - b.Reserve
		for t := range b.Drift {
			b.Drift[t] = -math.Abs(b.Drift[t])
			room += b.Drift[t]
		}
		if room < 0 {
			continue
		}
		tried++
		s := Solve(p, DefaultGrid)
		for range 20 {
			r := s.Rehearse(1, rng)
			called += r.Calls
			if r.Energy > room+1e-9 {
				t.Fatalf("problem %d: %g Wh for calls, %g over the reserve\n%+v", n, r.Energy, room, *p)
			}
		}
	}
	if tried < 1000 || called < 5000 {
		t.Errorf("%d problems, %g calls; want 1000 and 5000", tried, called)
	}
}

// The same problem, the same policy: nothing depends on when or how often it is solved,
// and reading a policy leaves it as it was.
func TestSameProblemSamePolicy(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for n := range 200 {
		p := tiny(rng)
		if n%40 == 0 {
			p = aWatch(rng, 24, 3, 2, 6, 600)
		}
		a, b := Solve(p, DefaultGrid), Solve(p, DefaultGrid)
		b.Follow()
		b.Weigh(0, 0, p.Battery.Now, p.Prior)
		b.Rehearse(5, rand.New(rand.NewPCG(1, 1)))
		if !reflect.DeepEqual(a.value, b.value) || !reflect.DeepEqual(a.action, b.action) {
			t.Fatalf("problem %d: solved twice, two policies\n%+v", n, *p)
		}
	}
}

// Ties: resting goes before a call, the shorter call before the longer, no fallback
// before one, and of two channels alike the first.
func TestTies(t *testing.T) {
	sure := forecast.Cell{Open: true, Connect: [forecast.States]float64{1, 1, 1}, Setup: 0.5, GiveUp: 1}
	for k := range sure.Rate {
		sure.Rate[k], sure.Weight[k] = [forecast.Nodes]float64{1000}, [forecast.Nodes]float64{1}
	}
	p := &Problem{
		Slots: 1, Wake: []float64{0}, Prior: forecast.StatePrior, Minutes: []float64{5, 10, 15},
		Battery:  Battery{Drift: []float64{0}},
		Items:    []Item{{Bytes: 1000, Worth: []float64{1}}},
		Channels: []Channel{{Station: 0, Free: 1, Cells: []forecast.Cell{sure}}, {Station: 0, Free: 1, Cells: []forecast.Cell{sure}}},
	}
	first := func(p *Problem) Action { s := Solve(p, DefaultGrid); return s.best(0, 0, 0, len(s.mean)/2, 0) }
	if got, want := first(p), (Action{Call: 0, Length: 0, Fallback: -1}); got != want {
		t.Errorf("two sure channels alike: %+v, want %+v", got, want)
	}
	nothing := copyOf(p)
	nothing.Items[0].Worth[0] = 0
	if got := first(nothing); got != Rest {
		t.Errorf("a message worth nothing: %+v, want rest", got)
	}
	even := copyOf(p)
	even.Wake[0] = 1
	if got := first(even); got != Rest {
		t.Errorf("a call that costs what it earns: %+v, want rest", got)
	}
	even.Wake[0] = 0
	even.Items[0].Bearer = 1e-9
	if got := first(even); got.Call != 0 {
		t.Errorf("a call as good as the bearer: %+v, want the call", got)
	}
}

// Energy that goes without any call counts against calls to the watch's last slot, so a
// longer watch may forbid a call. By hand: 75 Wh less 5 minutes at 120 W are 65 Wh;
// enough for a reserve of 60, not with 10 Wh of drain still to come.
func TestDrainAheadForbidsCalls(t *testing.T) {
	p := aWatch(rand.New(rand.NewPCG(8, 8)), 8, 1, 1, 1, 0)
	p.Draw = 120
	p.Battery = Battery{Capacity: 200, Reserve: 60, Now: 75, Price: 0.001, Doubling: 0.1, Drift: make([]float64, 8)}
	p.Channels[0].Cells = slices.Repeat([]forecast.Cell{watchCell(500, 6, 8, 0)}, 8)
	if got := Solve(p, DefaultGrid).Value(); got <= 0 {
		t.Errorf("15 Wh over the reserve and nothing to drain it: value %g, want a call", got)
	}
	p.Battery.Drift[7] = -10
	if got := Solve(p, DefaultGrid).Value(); got != 0 {
		t.Errorf("10 Wh of drain in the last slot: value %g, want 0, no call allowed", got)
	}
}
