package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/forecast"
)

// A playing is a policy played through with everything that may happen in it, outcome by
// outcome with its chance. The same rules as Rehearse, but no dice.
type playing struct {
	p         *Problem
	s         *Policy
	k         int            // the day's sky
	there     map[int]being  // stations, once called
	fails     map[int][2]int // in a row, and slot of the last
	delivered [][]float64    // [item][slot]: chance to be through in that slot
	calls     float64
	energy    float64
}

// being is how a station was found, and when.
type being struct {
	there, busy bool
	at          int
}

// playAll is what Rehearse estimates, worked out.
func playAll(s *Policy) *playing {
	a := &playing{p: s.p, s: s, delivered: make([][]float64, len(s.p.Items))}
	for m := range a.delivered {
		a.delivered[m] = make([]float64, s.p.Slots)
	}
	for k, chance := range s.p.Prior {
		a.k, a.there, a.fails = k, map[int]being{}, map[int][2]int{}
		a.slot(0, 0, s.p.Battery.Now, s.p.Prior, chance)
	}
	for m := range a.delivered {
		for t := 1; t < s.p.Slots; t++ {
			a.delivered[m][t] += a.delivered[m][t-1]
		}
	}
	return a
}

func (a *playing) slot(t, i int, level float64, π [forecast.States]float64, chance float64) {
	if t == a.p.Slots || chance == 0 {
		return
	}
	late := func(m int) bool { return newTwin(a.p, rules{}).late(a.p.Items[m], t) }
	pass := func() {
		for n := range a.s.queues {
			for q := &a.s.queues[n]; q.along(i) < q.n && late(q.first+q.along(i)); {
				i += q.stride
			}
		}
	}
	pass()
	θ, share := between(a.s.mean, dayOf(π))
	act := a.s.best(t, i, level, θ, share)
	for act.ByBearer() || act.Call == leave {
		q := &a.s.queues[act.Fallback]
		if act.ByBearer() {
			a.delivered[q.first+q.along(i)][t] += chance
		}
		i += q.stride
		pass()
		act = a.s.best(t, i, level, θ, share)
	}
	var order []int
	for _, c := range []int32{act.Call, act.Fallback} {
		if c >= 0 {
			order = append(order, int(c))
		}
	}
	letBe := func(c int) bool {
		f := a.fails[a.p.Channels[c].Station]
		return f[0] >= 2 && t-f[1] < 8
	}
	if len(order) > 0 && letBe(order[0]) {
		order = order[1:]
		if len(order) > 0 && letBe(order[0]) {
			order = nil
		}
	}
	if len(order) == 0 {
		a.end(t, i, level, π, chance)
		return
	}
	longest := a.p.Minutes[len(a.p.Minutes)-1]
	a.call(t, i, level, π, chance, order, a.p.Minutes[act.Length], longest)
}

func (a *playing) end(t, i int, level float64, π [forecast.States]float64, chance float64) {
	level += a.p.Battery.Drift[t]
	a.slot(t+1, i, math.Min(math.Max(level, 0), a.p.Battery.Capacity), π, chance)
}

// call calls the first in order; the others follow if nobody answers.
func (a *playing) call(t, i int, level float64, π [forecast.States]float64, chance float64, order []int, limit, left float64) {
	if len(order) == 0 {
		a.end(t, i, level, π, chance)
		return
	}
	ch := &a.p.Channels[order[0]]
	if chance == 0 {
		return
	}
	was, known := a.there[ch.Station]
	if !known || was.at < t {
		// Anew, or as it was: there for six hours, busy for ten minutes, in the mean.
		busy := math.Min(0.1, 1-ch.Free)
		there := ch.Free / (1 - busy)
		for _, now := range []being{{false, false, t}, {false, true, t}, {true, false, t}, {true, true, t}} {
			share := func(yes, before bool, p, lasts float64) float64 {
				if !yes {
					p = 1 - p
				}
				if known {
					p *= 1 - lasts
					if yes == before {
						p += lasts
					}
				}
				return p
			}
			hours := float64(t-was.at) / 4
			a.there[ch.Station] = now
			a.call(t, i, level, π, chance*share(now.there, was.there, there, math.Exp(-hours/6))*share(now.busy, was.busy, busy, math.Exp(-hours*6)), order, limit, left)
		}
		if known {
			a.there[ch.Station] = was
		} else {
			delete(a.there, ch.Station)
		}
		return
	}
	there := was.there && !was.busy
	cell := &ch.Cells[t]
	a.calls += chance
	connects := 0.0
	if there {
		connects = cell.Connect[a.k]
	}
	failed := a.fails[ch.Station]

	var pass, miss [forecast.States]float64
	for k := range pass {
		pass[k] = π[k] * cell.Connect[k]
		miss[k] = π[k] * (1 - ch.Free*cell.Connect[k])
	}
	if connects > 0 {
		a.fails[ch.Station] = [2]int{}
		for n, weight := range cell.Weight[a.k] {
			c := chance * connects * weight
			if c == 0 {
				continue
			}
			minutes := math.Min(limit, left)
			q := &a.s.queues[ch.Queue]
			j, sent := i, 0.0
			for bytes := cell.Rate[a.k][n] * (minutes - cell.Setup); q.along(j) < q.n; j += q.stride {
				m := q.first + q.along(j)
				if sent+a.p.Items[m].Bytes > bytes {
					break
				}
				sent += a.p.Items[m].Bytes
				a.delivered[m][t] += c
			}
			used := math.Max(minutes, cell.Setup)
			if q.along(j) == q.n {
				used = cell.Setup + sent/cell.Rate[a.k][n]
			}
			wh := a.p.Draw * used / 60
			a.energy += c * wh
			a.end(t, j, level-wh, normal(pass), c)
		}
	}
	wh := a.p.Draw * cell.GiveUp / 60
	a.energy += chance * (1 - connects) * wh
	a.fails[ch.Station] = [2]int{failed[0] + 1, t}
	a.call(t, i, level-wh, normal(miss), chance*(1-connects), order[1:], left-cell.GiveUp, left-cell.GiveUp)
	a.fails[ch.Station] = failed
}

// The chances of a rehearsal are those of every outcome counted: within three standard
// errors, save where so many comparisons must exceed it (a normal estimate does once in
// 370), and never beyond five.
func TestRehearseAgainstEveryOutcome(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	const runs = 4000
	compared, beyond := 0, 0
	for n := range 400 {
		p := tiny(rng)
		if n%2 == 1 {
			// Longer, and eager to call: stations fail, answer and are given up.
			p = tinyOf(rng, 6)
			p.Battery.Capacity, p.Battery.Price = 0, 0
			clear(p.Wake)
			for i := range p.Items {
				p.Items[i].Bearer = 0
			}
		}
		s := Solve(p, DefaultGrid)
		got, want := s.Rehearse(runs, rng), playAll(s)
		for m := range p.Items {
			for slot, chance := range want.delivered[m] {
				chance = math.Min(chance, 1)
				se := math.Sqrt(chance * (1 - chance) / runs)
				off := math.Abs(got.Delivered[m][slot] - chance)
				if se == 0 {
					if off > 1e-9 {
						t.Fatalf("problem %d: message %d by slot %d: %.9g, want %g for sure\n%+v", n, m, slot, got.Delivered[m][slot], chance, *p)
					}
					continue
				}
				compared++
				if off > 3*se+1e-9 {
					beyond++
				}
				if off > 5*se+1/float64(runs) {
					t.Fatalf("problem %d: message %d by slot %d: %.4f of %d runs, want %.4f ± %.4f\n%+v", n, m, slot, got.Delivered[m][slot], runs, chance, se, *p)
				}
			}
		}
		// Calls and energy: at most 2 a slot and 2 slots' worth; a bound on the spread.
		if tol := 5*float64(p.Slots)/math.Sqrt(runs) + 1e-9; math.Abs(got.Calls-want.calls) > tol {
			t.Errorf("problem %d: %.3f calls, want %.3f, tolerance %.3f\n%+v", n, got.Calls, want.calls, tol, *p)
		}
		most := p.Draw / 60 * float64(p.Slots) * (p.Minutes[len(p.Minutes)-1] + 4)
		if tol := 2.5*most/math.Sqrt(runs) + 1e-9; math.Abs(got.Energy-want.energy) > tol {
			t.Errorf("problem %d: %.3f Wh, want %.3f, tolerance %.3f\n%+v", n, got.Energy, want.energy, tol, *p)
		}
	}
	t.Logf("%d chances compared, %d beyond three standard errors", compared, beyond)
	if compared < 200 || float64(beyond) > 0.02*float64(compared) {
		t.Errorf("%d chances compared, %d beyond three standard errors; want 200 and 2 %% at most", compared, beyond)
	}
}
