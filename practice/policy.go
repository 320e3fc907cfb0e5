package practice

import (
	"math"

	"farhail/forecast"
)

// A Policy is somebody who decides the calls of one day. It is made anew for every day
// and sees nothing but situations.
type Policy interface{ Next(*Situation) Order }

// A Situation is what the operator knows at the beginning of a quarter of an hour.
type Situation struct {
	Set     *Setting
	Slot    int
	Waiting []int   // items not delivered yet, in the order of the setting
	Level   float64 // of the battery, Wh
	Left    float64 // minutes of the quarter
	Log     []Attempt
}

// An Attempt is a call as the log has it.
type Attempt struct {
	Slot    int
	Channel int
	Result
	Items []int // delivered
}

// An Order is what to do now.
type Order struct {
	Calls   []int   // channels in turn, the next if the one before does not answer; none: rest
	Limit   float64 // minutes at most of the first; those after it have the quarter's rest
	Queue   []int   // items in the order to send; nil: as they wait
	Resting int     // with no calls: do not ask again before this quarter
}

// A Score is what a policy made of a day.
type Score struct {
	Worth     float64 // earned
	Sleep     float64 // price of waking somebody
	Delivered []int   // by item: quarter in which it was through; −1 not
	Bytes     float64 // of the messages delivered
	Calls     int     // attempts
	Connected int
	Minutes   float64 // on the air
	Energy    float64 // Wh, of calls
	Log       []Attempt
}

// Play lets a policy play the day. In each quarter it is asked until it rests or the
// minutes are spent. Nobody calls when nobody is at the radio, on a channel that is shut
// or not permitted or was called in this quarter already, to a station that answered in
// it, or from the battery's reserve. tell hears every turn of every call; nil: nobody listens.
func (d *Day) Play(p Policy, tell func(Transmission)) Score {
	set := d.set
	sc := Score{Delivered: make([]int, len(set.Items))}
	s := &Situation{Set: set, Level: set.Battery.Now}
	for i := range set.Items {
		sc.Delivered[i] = -1
		s.Waiting = append(s.Waiting, i)
	}
	needs := need(set)
	rest := 0
	for t := range set.Prospect.Slots {
		s.Slot, s.Left = t, slotMin
		if !math.IsInf(set.Wake[t], 1) {
			for called := true; called && t >= rest && len(s.Waiting) > 0; {
				o := p.Next(s)
				if rest = 0; len(o.Calls) == 0 {
					rest = o.Resting
				}
				called = d.carryOut(s, &o, needs[t], &sc, tell)
			}
		}
		if set.Battery.Capacity > 0 {
			s.Level = min(max(s.Level+set.Battery.Drift[t], 0), set.Battery.Capacity)
		}
	}
	sc.Log = s.Log
	return sc
}

// carryOut does what an order says. It tells whether anything was called.
func (d *Day) carryOut(s *Situation, o *Order, need float64, sc *Score, tell func(Transmission)) (called bool) {
	set, t := d.set, s.Slot
	queue := o.Queue
	if queue == nil {
		queue = s.Waiting
	}
	for n, c := range o.Calls {
		limit := s.Left
		if n == 0 && o.Limit > 0 {
			limit = min(o.Limit, limit)
		}
		if !s.MayCall(c) || set.Battery.Capacity > 0 && s.Level-set.Draw*limit/60 < need || limit < set.Prospect.Channels[c].Cells[t].GiveUp {
			continue
		}
		var items []int
		bytes := 0.0
		for _, i := range queue {
			if sc.Delivered[i] < 0 && set.takesOf(c, i) {
				items = append(items, i)
				bytes += set.Items[i].Bytes
			}
		}
		if len(items) == 0 {
			continue
		}
		if called = true; !s.called(func(*Attempt) bool { return true }) {
			sc.Sleep += set.Wake[t]
		}
		a := Attempt{Slot: t, Channel: c, Result: d.call(c, t, bytes, limit, tell)}
		through := a.Bytes
		for _, i := range items {
			if through += 1e-6; through < set.Items[i].Bytes {
				break
			}
			through -= set.Items[i].Bytes
			a.Items = append(a.Items, i)
		}
		d.book(s, &a, sc)
		if a.Answer >= Connected {
			break
		}
	}
	return called
}

// MayCall says whether a channel may be called now.
func (s *Situation) MayCall(c int) bool {
	if c < 0 || c >= len(s.Set.of) || !s.Set.usable(c, s.Slot) {
		return false
	}
	return !s.called(func(a *Attempt) bool {
		return a.Channel == c || a.Answer >= Connected && s.Set.of[a.Channel] == s.Set.of[c]
	})
}

// called finds an attempt of this quarter.
func (s *Situation) called(which func(*Attempt) bool) bool {
	for i := len(s.Log) - 1; i >= 0 && s.Log[i].Slot == s.Slot; i-- {
		if which(&s.Log[i]) {
			return true
		}
	}
	return false
}

// book enters an attempt.
func (d *Day) book(s *Situation, a *Attempt, sc *Score) {
	set := d.set
	for _, i := range a.Items {
		sc.Delivered[i] = a.Slot
		sc.Worth += set.Items[i].Worth[a.Slot]
		sc.Bytes += set.Items[i].Bytes
	}
	if len(a.Items) > 0 {
		var w []int
		for _, i := range s.Waiting {
			if sc.Delivered[i] < 0 {
				w = append(w, i)
			}
		}
		s.Waiting = w
	}
	s.Left -= a.Minutes
	sc.Calls++
	if a.Answer >= Connected {
		sc.Connected++
	}
	sc.Minutes += a.Minutes
	sc.Energy += a.Energy
	if set.Battery.Capacity > 0 {
		s.Level = max(s.Level-a.Energy, 0)
	}
	s.Log = append(s.Log, *a)
}

// need is, per quarter, the level a call must leave so that the drift alone never takes
// the battery under its reserve later: the rule the planner keeps too.
func need(set *Setting) []float64 {
	n := make([]float64, set.Prospect.Slots+1)
	n[set.Prospect.Slots] = set.Battery.Reserve
	for t := set.Prospect.Slots - 1; t >= 0; t-- {
		n[t] = max(set.Battery.Reserve, n[t+1]-set.Battery.Drift[t])
	}
	return n
}

// expected is what a channel is believed to carry in the rest of the quarter.
func (s *Situation) expected(c int) float64 {
	if !s.MayCall(c) {
		return 0
	}
	waiting := 0.0
	for _, i := range s.Waiting {
		if s.Set.takesOf(c, i) {
			waiting += s.Set.Items[i].Bytes
		}
	}
	cell := &s.Set.Prospect.Channels[c].Cells[s.Slot]
	sum := 0.0
	for k, w := range forecast.StatePrior {
		for n := range forecast.Nodes {
			sum += w * cell.Connect[k] * cell.Weight[k][n] * min(waiting, cell.Rate[k][n]*max(0, s.Left-cell.Setup))
		}
	}
	return sum
}
