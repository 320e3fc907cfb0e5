package practice

import (
	"cmp"
	"math"
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
	slices.SortStableFunc(all, func(a, b hope) int { return cmp.Compare(b.b, a.b) })
	var o Order
	for _, h := range all {
		o.Calls = append(o.Calls, h.c)
	}
	return o
}

// Notebook is what people do: a remembered frequency by day and another by night; every
// two hours on watch a round of the stations that take what waits, the nearest first.
// Traffic goes in its fixed order. It wakes nobody.
type Notebook struct {
	page  [2][]int // [day, night][station]: channel, −1 none
	order []int    // stations by distance
	begun int      // quarter the round was begun in
}

// NewNotebook opens a notebook with one frequency by day and one by night: those at
// which, each station called on its channel nearest to it, most would answer in the
// setting's own days and nights. It is as good as such a notebook can be from the
// planner's own knowledge.
func NewNotebook(set *Setting) *Notebook {
	n := newNotebook(set)
	for i, night := range [2]bool{false, true} {
		best := -1.0
		for c := range set.of {
			page := make([]int, len(set.stations))
			sum := 0.0
			for k := range page {
				if page[k] = set.nearest(k, set.Prospect.Channels[c].MHz); page[k] >= 0 {
					sum += set.answers(page[k], night)
				}
			}
			if sum > best {
				n.page[i], best = page, sum
			}
		}
	}
	return n
}

// NewFullNotebook opens one with the best frequency by day and by night for each station
// of its own.
func NewFullNotebook(set *Setting) *Notebook {
	n := newNotebook(set)
	for i, night := range [2]bool{false, true} {
		n.page[i] = make([]int, len(set.stations))
		for k := range set.stations {
			best := 0.0
			n.page[i][k] = -1
			for c := range set.of {
				if x := set.answers(c, night); set.of[c] == k && x > best {
					n.page[i][k], best = c, x
				}
			}
		}
	}
	return n
}

func newNotebook(set *Setting) *Notebook {
	n := &Notebook{begun: -1}
	near := make([]float64, len(set.stations))
	for k := range near {
		n.order = append(n.order, k)
		near[k] = earth.Between(set.Request.Home.Position, set.stations[k].Position).D.Km()
	}
	slices.SortStableFunc(n.order, func(a, b int) int { return cmp.Compare(near[a], near[b]) })
	return n
}

// answers is how often a channel is believed to connect, summed over the quarters of
// day or night.
func (s *Setting) answers(c int, night bool) (sum float64) {
	for t := range s.Prospect.Slots {
		if s.usable(c, t) && s.dark[t] == night {
			sum += s.Prospect.Channels[c].Cells[t].Likely(forecast.StatePrior)
		}
	}
	return sum
}

// nearest is the usable channel of a station nearest in frequency; −1 none.
func (s *Setting) nearest(k int, fMHz float64) int {
	best, off := -1, math.Inf(1)
	for c := range s.of {
		ch := &s.Prospect.Channels[c]
		if d := math.Abs(math.Log(ch.MHz / fMHz)); s.of[c] == k && ch.Excluded == "" && len(ch.Links) > 0 && d < off {
			best, off = c, d
		}
	}
	return best
}

// Next turns to the page.
func (n *Notebook) Next(s *Situation) Order {
	set := s.Set
	if set.Wake[s.Slot] > 0 {
		return Order{}
	}
	at := set.at(s.Slot)
	if at.Hour()%2 == 0 && at.Minute() < 15 || n.begun < 0 {
		n.begun = s.Slot
	}
	night := 0
	if set.dark[s.Slot] {
		night = 1
	}
	var o Order
	minutes := 0.0
	for _, k := range n.order {
		c := n.page[night][k]
		if tried(s, n.begun, k) {
			continue
		}
		if c < 0 || !set.usable(c, s.Slot) || !slices.ContainsFunc(s.Waiting, func(i int) bool { return set.takesOf(c, i) }) {
			continue
		}
		if giveUp := set.Prospect.Channels[c].Cells[s.Slot].GiveUp; minutes+giveUp < s.Left {
			o.Calls = append(o.Calls, c)
			minutes += giveUp
		}
	}
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
