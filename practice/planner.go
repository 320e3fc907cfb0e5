package practice

import (
	"math"
	"slices"
	"strings"

	"farhail/forecast"
	"farhail/plan"
)

// A Planner follows a plan that is made again after every call, and every hour of rest:
// what the log taught fades, and the operator looks at the desk now and then.
type Planner struct {
	Plan func(*Situation) Order
	next Order // its Calls are due at Resting
	made int   // attempts when it was made, plus one
	at   int   // quarter it was made in
}

// lookSlots is how long a plan is followed without asking again.
const lookSlots = 4

// Next follows the plan.
func (p *Planner) Next(s *Situation) Order {
	if p.made != len(s.Log)+1 || s.Slot >= p.at+lookSlots || s.Slot > p.next.Resting {
		p.next, p.made, p.at = p.Plan(s), len(s.Log)+1, s.Slot
	}
	if s.Slot < p.next.Resting {
		return Order{Resting: min(p.next.Resting, p.at+lookSlots)}
	}
	return p.next
}

// Farhail plans as the desk does: a queue for each group of stations, all in one problem
// while that is small, else one after another, the most urgent first; solved by backward
// induction from what the log leaves of the belief; the earliest call is the next. An
// Order's Calls are then due at Resting.
func Farhail(s *Situation) Order {
	b := beliefOf(s)
	wake := slices.Clone(s.Set.Wake[s.Slot:])
	if s.Left < leastMin {
		wake[0] = math.Inf(1)
	}
	battery := s.Set.Battery
	battery.Now, battery.Drift = s.Level, slices.Clone(battery.Drift[s.Slot:])
	best, at := Order{Resting: s.Set.Prospect.Slots}, math.MaxInt
	for _, q := range s.together(queues(s), b, wake, battery) {
		p, items, channels := s.problems(q, b, wake, battery)
		if len(p.Items) == 0 || len(p.Channels) == 0 {
			continue
		}
		steps, _ := plan.Solve(p, plan.DefaultGrid).Follow()
		for n, st := range steps {
			if n == 0 && st.Slot < at {
				at = st.Slot
				best = Order{Calls: []int{channels[st.Action.Call]}, Limit: st.Limit, Queue: items, Resting: s.Slot + st.Slot}
				if st.Action.Fallback >= 0 {
					best.Calls = append(best.Calls, channels[st.Action.Fallback])
				}
			}
			wake[st.Slot] = math.Inf(1) // one call a quarter
			battery.Drift[st.Slot] -= st.Energy
		}
	}
	return best
}

// together groups the queues into problems.
func (s *Situation) together(queues [][]int, b *forecast.Belief, wake []float64, battery plan.Battery) (groups [][][]int) {
	places := 1
	for _, q := range queues {
		p, _, channels := s.problem(q, b, wake, battery)
		if len(channels) > 0 && len(p.Items) > 0 {
			places *= len(p.Items) + 1
		}
		groups = append(groups, [][]int{q})
	}
	if len(queues) > 1 && places <= plan.Small {
		return [][][]int{queues}
	}
	return groups
}

// problems is the problem of some queues together.
func (s *Situation) problems(group [][]int, b *forecast.Belief, wake []float64, battery plan.Battery) (all *plan.Problem, items, channels []int) {
	for _, q := range group {
		p, of, by := s.problem(q, b, wake, battery)
		if len(p.Items) == 0 || len(p.Channels) == 0 {
			continue
		}
		items, channels = append(items, of...), append(channels, by...)
		if all == nil {
			all = p
		} else {
			all.Join(p)
		}
	}
	if all == nil {
		all = &plan.Problem{}
	}
	return all, items, channels
}

// leastMin is what must be left of a quarter for a call to be begun in it.
const leastMin = 2.0

// queues groups the waiting items by the stations that take them.
func queues(s *Situation) (out [][]int) {
	at := map[string]int{}
	for _, i := range s.Waiting {
		key := strings.Join(s.Set.Items[i].Stations, "\n")
		k, ok := at[key]
		if !ok {
			k = len(out)
			at[key] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

// problem is one queue's from now on.
func (s *Situation) problem(q []int, b *forecast.Belief, wake []float64, battery plan.Battery) (p *plan.Problem, items, channels []int) {
	set := s.Set
	slots := set.Prospect.Slots - s.Slot
	p = &plan.Problem{Slots: slots, Wake: slices.Clone(wake), Battery: battery, Draw: set.Draw, Prior: b.Sky(set.at(s.Slot)), Minutes: set.Minutes}
	p.Battery.Drift = slices.Clone(battery.Drift)
	most := 0.0
	for c := range set.of {
		ch := &set.Prospect.Channels[c]
		if ch.Excluded != "" || len(ch.Links) == 0 || !set.takesOf(c, q[0]) {
			continue
		}
		cells := ch.Cells[s.Slot:]
		if !s.MayCall(c) { // this quarter
			cells = slices.Clone(cells)
			cells[0].Open = false
		}
		at := set.at(s.Slot)
		p.Channels = append(p.Channels, plan.Channel{Station: set.of[c], Free: b.Free(ch.Station.Name, at), Later: b.FreeFrom(ch.Station.Name, at, slots), Cells: cells})
		channels = append(channels, c)
		for t := range cells {
			if cells[t].Open && !math.IsInf(set.Wake[s.Slot+t], 1) {
				for _, r := range cells[t].Rate[forecast.States-1] {
					most = max(most, r*set.Minutes[len(set.Minutes)-1])
				}
			}
		}
	}
	for _, i := range q {
		it := &set.Items[i]
		if it.Bytes > most {
			continue // it would stand in the way of everything behind it
		}
		p.Items = append(p.Items, plan.Item{Bytes: it.Bytes, Worth: it.Worth[s.Slot:]})
		items = append(items, i)
	}
	return p, items, channels
}

// beliefOf is what the log says of the sky and the stations, by the desk's own rules.
func beliefOf(s *Situation) *forecast.Belief {
	b := forecast.NewBelief()
	for i := range s.Log {
		a := &s.Log[i]
		ch := &s.Set.Prospect.Channels[a.Channel]
		what := forecast.Silence
		switch {
		case a.Answer >= Connected:
			what = forecast.Reached
		case a.Answer == Engaged:
			what = forecast.Engaged
		}
		b.Learn(ch.Station.Name, s.Set.at(a.Slot), ch.Cells[a.Slot].Connect, what)
	}
	return b
}
