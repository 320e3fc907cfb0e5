package practice

import (
	"math"
	"slices"
	"strings"

	"farhail/forecast"
	"farhail/modem"
	"farhail/plan"
)

// A Planner follows a plan that is made again after every call. Plan makes it; nothing
// is learned while resting, so until the quarter it names nothing is asked.
type Planner struct {
	Plan func(*Situation) Order
	next Order
	due  int
	made int // attempts when it was made, plus one
}

// Next follows the plan.
func (p *Planner) Next(s *Situation) Order {
	if p.made != len(s.Log)+1 || s.Slot > p.due {
		p.next, p.made, p.due = p.Plan(s), len(s.Log)+1, s.Slot
		if len(p.next.Calls) > 0 && p.next.Resting > s.Slot {
			p.due = p.next.Resting
		}
	}
	if s.Slot < p.due {
		return Order{Resting: p.due}
	}
	return p.next
}

// Farhail plans as the desk does: a queue for each group of stations, the most urgent
// first; each solved by backward induction from what the log leaves of the belief; the
// earliest call of all the plans is the next. An Order's Calls are then due at Resting.
func Farhail(s *Situation) Order {
	b := beliefOf(s)
	wake := slices.Clone(s.Set.Wake[s.Slot:])
	battery := s.Set.Battery
	battery.Now, battery.Drift = s.Level, slices.Clone(battery.Drift[s.Slot:])
	best, at := Order{Resting: s.Set.Prospect.Slots}, math.MaxInt
	for _, q := range queues(s) {
		p, items, channels := s.problem(q, &b, wake, battery)
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
func (s *Situation) problem(q []int, b *belief, wake []float64, battery plan.Battery) (p *plan.Problem, items, channels []int) {
	set := s.Set
	slots := set.Prospect.Slots - s.Slot
	p = &plan.Problem{Slots: slots, Wake: slices.Clone(wake), Battery: battery, Draw: set.Draw, Prior: b.sky, Minutes: set.Minutes}
	p.Battery.Drift = slices.Clone(battery.Drift)
	most := 0.0
	for c := range set.of {
		ch := &set.Prospect.Channels[c]
		if ch.Excluded != "" || len(ch.Links) == 0 || !set.takesOf(c, q[0]) {
			continue
		}
		cells := ch.Cells[s.Slot:]
		p.Channels = append(p.Channels, plan.Channel{Station: set.of[c], Free: b.free[set.of[c]], Cells: cells})
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

// A belief is what the log of the last hours says of the sky and of each station, by the
// desk's rules: Bayes for each attempt, fading over a watch of six hours.
type belief struct {
	sky  [forecast.States]float64
	free []float64
}

const memorySlots = 24

func beliefOf(s *Situation) belief {
	b := belief{sky: forecast.StatePrior, free: make([]float64, len(s.Set.stations))}
	for k := range b.free {
		b.free[k] = modem.UsualPresence.Free()
	}
	for i := range s.Log {
		a := &s.Log[i]
		if age := s.Slot - a.Slot; age < memorySlots {
			b.learn(s.Set, a, 1-float64(age)/memorySlots)
		}
	}
	return b
}

func (b *belief) learn(set *Setting, a *Attempt, fresh float64) {
	connect := set.Prospect.Channels[a.Channel].Cells[a.Slot].Connect
	k := set.of[a.Channel]
	q, sum := 0.0, 0.0
	var post [forecast.States]float64
	for i, w := range b.sky {
		q += w * connect[i]
		if post[i] = w * connect[i]; a.Answer == Silence {
			post[i] = w * (1 - b.free[k]*connect[i])
		}
		sum += post[i]
	}
	if sum > 0 {
		for i := range post {
			b.sky[i] += fresh * (post[i]/sum - b.sky[i])
		}
	}
	now := b.free[k]
	switch {
	case a.Answer >= Connected:
		now = 0.95 * (1 - modem.UsualPresence.Busy)
	case a.Answer == Engaged:
		now = 0.5
	default:
		now = now * (1 - q) / (1 - now*q)
	}
	b.free[k] += fresh * (now - b.free[k])
}
