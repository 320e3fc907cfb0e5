package practice

import (
	"slices"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
)

// Greedy calls, in every quarter somebody is on watch, the channel from which most bytes
// are expected now; if nobody answers, the next. It wakes nobody.
type Greedy struct{}

// Next is the order of expected bytes.
func (Greedy) Next(s *Situation) Order {
	if s.Set.Wake[s.Slot] > 0 {
		return Order{}
	}
	type hope struct {
		c int
		b float64
	}
	least := s.Set.Items[s.Waiting[0]].Bytes
	for _, i := range s.Waiting {
		least = min(least, s.Set.Items[i].Bytes)
	}
	var all []hope
	for c := range s.Set.of {
		// Not worth the battery: fewer bytes than a tenth of the smallest message.
		if b := s.expected(c); b >= least/10 {
			all = append(all, hope{c, b})
		}
	}
	slices.SortStableFunc(all, func(a, b hope) int {
		switch {
		case a.b > b.b:
			return -1
		case a.b < b.b:
			return 1
		}
		return a.c - b.c
	})
	var o Order
	for _, h := range all {
		o.Calls = append(o.Calls, h.c)
	}
	return o
}

// Notebook is what people do: for each station one remembered frequency by day and one
// by night; every two hours on watch a round of the stations that take what waits, the
// nearest first, until one of a kind has answered. Traffic goes in its fixed order.
//
// The remembered frequencies are good ones: those that connect best on average over the
// setting's own days and nights, as an operator would know after a month.
type Notebook struct {
	page  [2][]int // [day, night][station]: channel, −1 none
	order []int    // stations by distance
	round []int    // still to be tried
	begun int      // quarter the round was begun in
}

// NewNotebook opens the notebook of a setting.
func NewNotebook(set *Setting) *Notebook {
	n := &Notebook{begun: -1}
	for i := range n.page {
		n.page[i] = make([]int, len(set.stations))
	}
	dark := make([]bool, set.Prospect.Slots)
	for t := range dark {
		dark[t] = !sunUp(set.where(t), set.at(t))
	}
	for k := range set.stations {
		n.order = append(n.order, k)
		for i, night := range [2]bool{false, true} {
			n.page[i][k] = -1
			best := 0.0
			for c := range set.of {
				if set.of[c] != k {
					continue
				}
				sum := 0.0
				for t := range dark {
					if dark[t] == night && set.usable(c, t) {
						sum += set.Prospect.Channels[c].Cells[t].Likely(forecast.StatePrior)
					}
				}
				if sum > best {
					n.page[i][k], best = c, sum
				}
			}
		}
	}
	near := func(k int) float64 {
		return earth.Between(set.Request.Home.Position, set.stations[k].Position).D.Km()
	}
	slices.SortStableFunc(n.order, func(a, b int) int {
		switch x, y := near(a), near(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return n
}

// Next turns to the page.
func (n *Notebook) Next(s *Situation) Order {
	set := s.Set
	if set.Wake[s.Slot] > 0 {
		return Order{}
	}
	at := set.at(s.Slot)
	if at.Hour()%2 == 0 && at.Minute() < 15 || n.begun < 0 {
		n.round, n.begun = slices.Clone(n.order), s.Slot
	}
	night := 0
	if !sunUp(set.where(s.Slot), at) {
		night = 1
	}
	var o Order
	var left []int
	minutes := 0.0
	for _, k := range n.round {
		c := n.page[night][k]
		if tried(s, n.begun, k) {
			continue
		}
		if c < 0 || !set.usable(c, s.Slot) || !slices.ContainsFunc(s.Waiting, func(i int) bool { return set.takesOf(c, i) }) {
			continue
		}
		left = append(left, k)
		if giveUp := set.Prospect.Channels[c].Cells[s.Slot].GiveUp; minutes+giveUp < slotMin {
			o.Calls = append(o.Calls, c)
			minutes += giveUp
		}
	}
	n.round = left
	return o
}

// tried says whether a station was called since the round began.
func tried(s *Situation, since, station int) bool {
	return slices.ContainsFunc(s.Log, func(a Attempt) bool { return a.Slot >= since && s.Set.of[a.Channel] == station })
}

func (s *Setting) where(t int) earth.Point {
	if s.Request.Where != nil {
		return s.Request.Where(s.at(t))
	}
	return s.Request.Home.Position
}

func sunUp(at earth.Point, t time.Time) bool {
	return earth.SunOn(t.Year(), int(t.Month()), t.Day()).CosZenith(at, float64(t.Hour())+float64(t.Minute())/60) > 0
}
