package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/forecast"
)

// tiny is a random problem small enough to try everything: 2–4 slots, 1–3 channels of at
// most two stations, up to 3 messages. Invented; every feature of a problem occurs.
func tiny(rng *rand.Rand) *Problem { return tinyOf(rng, 2+rng.IntN(3)) }

func tinyOf(rng *rand.Rand, slots int) *Problem {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	p := &Problem{Slots: slots, Draw: between(60, 200), Prior: forecast.StatePrior, Minutes: [][]float64{{15}, {5, 15}, {4, 9, 14}}[rng.IntN(3)]}
	if rng.IntN(3) == 0 {
		p.Prior = normal([forecast.States]float64{between(0.05, 1), between(0.05, 1), between(0.05, 1)})
	}
	p.Battery = Battery{Price: between(0, 0.02), Doubling: between(0.05, 0.2)}
	if rng.IntN(4) > 0 {
		p.Battery.Capacity = between(60, 300)
		p.Battery.Reserve = between(0.2, 0.4) * p.Battery.Capacity
		p.Battery.Now = between(p.Battery.Reserve, p.Battery.Capacity)
	}
	for range p.Slots {
		p.Battery.Drift = append(p.Battery.Drift, between(-8, 8))
		p.Wake = append(p.Wake, []float64{0, 0, 0, 2, math.Inf(1)}[rng.IntN(5)])
	}
	for range rng.IntN(4) {
		weight := []float64{1, 4, 16, 64}[rng.IntN(4)]
		m := Item{Bytes: between(200, 6000), Worth: make([]float64, p.Slots)}
		due := p.Slots + 4
		if rng.IntN(3) == 0 {
			due = rng.IntN(p.Slots + 1)
		}
		for t := range min(due, p.Slots) {
			m.Worth[t] = weight * (1 - 0.5*float64(t+1)/float64(due+1))
		}
		if rng.IntN(4) == 0 {
			m.Bearer = between(0.1, 6)
		}
		p.Items = append(p.Items, m)
	}
	if rng.IntN(3) == 0 { // two queues
		for n := range p.Items {
			p.Items[n].Queue = min(n, 1)
		}
	}
	free := [2]float64{between(0.3, 1), between(0.3, 1)}
	for range 1 + rng.IntN(3) {
		c := Channel{Station: rng.IntN(2)}
		c.Free = free[c.Station]
		if len(p.Items) > 0 {
			c.Queue = p.Items[rng.IntN(len(p.Items))].Queue
		}
		for range p.Slots {
			c.Cells = append(c.Cells, tinyCell(rng))
		}
		p.Channels = append(p.Channels, c)
	}
	return p
}

// join adds a channel of random cells; a station it shares has one presence.
func join(p *Problem, c Channel, rng *rand.Rand) {
	for _, old := range p.Channels {
		if old.Station == c.Station {
			c.Free = old.Free
		}
	}
	for range p.Slots {
		c.Cells = append(c.Cells, tinyCell(rng))
	}
	p.Channels = append(p.Channels, c)
}

// tinyCell is better under a better sky, as real ones mostly are.
func tinyCell(rng *rand.Rand) (c forecast.Cell) {
	c.Open = rng.IntN(5) > 0
	c.Setup, c.GiveUp = 0.2+2*rng.Float64(), 0.3+3*rng.Float64()
	last := 0.0
	for k := range c.Connect {
		last += (1 - last) * rng.Float64() * rng.Float64()
		c.Connect[k] = last
		sum := 0.0
		for n := range c.Rate[k] {
			c.Rate[k][n] = 1200 * rng.Float64() * float64(1+k)
			c.Weight[k][n] = rng.Float64() * float64(rng.IntN(2))
			sum += c.Weight[k][n]
		}
		if sum == 0 {
			c.Weight[k][0], sum = 1, 1
		}
		for n := range c.Weight[k] {
			c.Weight[k][n] /= sum
		}
	}
	return c
}

var coarse = Grid{Levels: 4, Tilts: []float64{-1.5, 0, 1.5}}

// The backward induction is the best policy of its own model: the literal twin on the
// same grid finds the same value, on every problem.
func TestBestOfItsModel(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	worth, acts := 0, 0
	for n := range 2000 {
		p := tiny(rng)
		g := coarse
		if n%3 == 0 {
			g = DefaultGrid
		}
		twin := newTwin(p, modelled(p, g))
		got, want := Solve(p, g).Value(), twin.Value()
		if tol := 1e-9 * math.Max(1, want); math.Abs(got-want) > tol {
			t.Fatalf("problem %d, %d slots, %d channels, %d messages: value %.12g, by brute force %.12g, tolerance %.1g", n, p.Slots, len(p.Channels), len(p.Items), got, want, tol)
		}
		acts += twin.acts
		if want > 0 {
			worth++
		}
	}
	t.Logf("2000 problems, %d of some worth, %d actions weighed", worth, acts)
	if worth < 1000 || acts < 90_000 {
		t.Errorf("the problems are too easy: %d of 2000 of some worth, %d actions weighed; want 1000 and 90,000", worth, acts)
	}
}

// ample gives a tiny problem a battery of the size a station has: calls take a twentieth
// of what they took of it.
func ample(p *Problem) *Problem {
	for _, wh := range []*float64{&p.Battery.Capacity, &p.Battery.Reserve, &p.Battery.Now} {
		*wh *= 20
	}
	return p
}

// What the planner's model costs against the exact problem: exact battery, Bayes' rule
// as it is, every action. Each of its coarsenesses alone, all together, and the policy
// played in the exact problem. A restriction of the actions never
// raises the value, and no policy beats the best; the rest are bounds a half above what was measured.
func TestWhatTheModelCosts(t *testing.T) {
	type row struct {
		name        string
		value       func(p *Problem) float64
		never       bool    // above the exact value
		small, real float64 // mean size, %, with a small battery and with a real one
	}
	alone := func(set func(r *rules, m rules)) func(*Problem) float64 {
		return func(p *Problem) float64 {
			var r rules
			set(&r, modelled(p, DefaultGrid))
			return newTwin(p, r).Value()
		}
	}
	rows := []row{
		{"the whole model", func(p *Problem) float64 { return Solve(p, DefaultGrid).Value() }, false, 2.0, 1.0},
		{"the policy, played", func(p *Problem) float64 {
			w := newTwin(p, rules{})
			w.follow = Solve(p, DefaultGrid)
			return w.Value()
		}, true, 1.1, 0.15},
		{"battery on a grid", alone(func(r *rules, m rules) { r.levels = m.levels }), false, 0.2, 0.01},
		{"belief on a grid", alone(func(r *rules, m rules) { r.belief = m.belief }), false, 0.4, 0.4},
		{"presence apart from sky", alone(func(r *rules, m rules) { r.apart = true }), false, 0.4, 0.4},
		{"nothing that earns nothing", alone(func(r *rules, m rules) { r.idle = true }), true, 0.5, 0.5},
	}
	for s, size := range []string{"small battery", "real battery"} {
		rng := rand.New(rand.NewPCG(2, 2))
		n := 0
		sum, abs := make([]float64, len(rows)), make([]float64, len(rows))
		lo, hi := make([]float64, len(rows)), make([]float64, len(rows))
		for range 200 {
			p := tiny(rng)
			p.Slots = min(p.Slots, 3)
			if s == 1 {
				p = ample(p)
			}
			bound := 0.0
			for _, m := range p.Items {
				bound += m.Worth[0]
			}
			exact := newTwin(p, rules{}).Value()
			if exact <= 0.01*bound {
				continue
			}
			n++
			for x, r := range rows {
				v := r.value(p)
				if tol := 1e-9 * exact; r.never && v > exact+tol {
					t.Errorf("%s: %s: value %.12g above the best, %.12g, tolerance %.1g\n%+v", size, r.name, v, exact, tol, *p)
				}
				d := 100 * (v/exact - 1)
				sum[x] += d
				abs[x] += math.Abs(d)
				lo[x], hi[x] = math.Min(lo[x], d), math.Max(hi[x], d)
			}
		}
		if n < 80 {
			t.Errorf("%s: %d problems of worth, want 80 at least", size, n)
		}
		for x, r := range rows {
			limit := []float64{r.small, r.real}[s]
			t.Logf("%-13s  %-27s %3d problems: mean %+7.3f %%, mean size %6.3f %%, %+.2f … %+.2f %%", size, r.name, n, sum[x]/float64(n), abs[x]/float64(n), lo[x], hi[x])
			if abs[x]/float64(n) > limit {
				t.Errorf("%s: %s: off by %.3f %% in the mean, want %.3g %% at most", size, r.name, abs[x]/float64(n), limit)
			}
		}
	}
}
