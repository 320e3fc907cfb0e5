package desk

import (
	"slices"
	"time"

	"farhail/forecast"
	"farhail/unit"
)

// A net is the stations and when each two of them can talk.
type net struct {
	parties []party
	spans   map[[2]int][]netSpan // by the two stations, the lower number first
}

// netSpan is a window between two stations on one frequency, slot by slot.
type netSpan struct {
	mhz   float64
	to    time.Time
	slots []netSlot
}

// netSlot is a quarter of an hour of a window.
type netSlot struct {
	from     time.Time
	takes    [2]time.Duration // to hand over, from the lower number to the higher and back
	connect  float64
	byState  [forecast.States]float64
	waveform string
}

// add takes the windows of a channel between two stations, a < b.
func (n *net) add(a, b int, c *forecast.Channel, start time.Time, size unit.Bytes) []WindowAnswer {
	windows := windowsOf(c, start, 0, len(c.Cells))
	for _, w := range windows {
		s := netSpan{mhz: c.MHz, to: w.Shuts}
		for t := w.Opens; t.Before(w.Shuts); t = t.Add(forecast.Slot) {
			cell := &c.Cells[int(t.Sub(start)/forecast.Slot)]
			there, back := takes(cell, size, cell.MeanRate(forecast.StatePrior)), takes(cell, size, backRate(cell))
			s.slots = append(s.slots, netSlot{t, [2]time.Duration{there, back}, cell.Likely(forecast.StatePrior), cell.Connect, c.Links[cell.Link].Waveform})
		}
		n.spans[[2]int{a, b}] = append(n.spans[[2]int{a, b}], s)
	}
	return windows
}

// takes is how long it is from calling until a message is across, at the mean rate; longer
// than any window when nothing crosses.
func takes(c *forecast.Cell, size unit.Bytes, rate float64) time.Duration {
	minutes := c.Setup + float64(size)/rate
	if !(minutes < relayHorizon.Minutes()) {
		return 2 * relayHorizon
	}
	return time.Duration(minutes * float64(time.Minute))
}

// first returns the hand-over from one station to another, begun at a moment or later, that
// is done in the earliest quarter of an hour; of those in one quarter the surest, then the
// one that ends first, then the lower frequency. done is the end of the quarter, when the
// message can go on; ok is false when there is none.
func (n *net) first(from, to int, at time.Time) (best HandOver, done time.Time, ok bool) {
	way := 0
	if from > to {
		way = 1
	}
	var ends time.Time
	for _, s := range n.spans[[2]int{min(from, to), max(from, to)}] {
		for k := range s.slots {
			q := &s.slots[k]
			if !q.from.Add(forecast.Slot).After(at) {
				continue // the slot is past
			}
			start := q.from
			if start.Before(at) {
				start = at
			}
			end := start.Add(q.takes[way])
			quarter := end.Add(forecast.Slot - 1).Truncate(forecast.Slot)
			if end.After(s.to) || ok && quarter.After(done) {
				continue
			}
			if ok && quarter.Equal(done) && (q.connect < best.Connect || q.connect == best.Connect && (end.After(ends) || end.Equal(ends) && s.mhz >= best.MHz)) {
				continue
			}
			best = HandOver{From: n.parties[from].name, To: n.parties[to].name, MHz: s.mhz, Waveform: q.waveform, Start: start, Minutes: minutesOf(q.takes[way]), Shuts: s.to, Connect: q.connect, byState: q.byState}
			done, ends, ok = quarter, end, true
		}
	}
	return best, done, ok
}

// reached is how a station has the message.
type reached struct {
	at   time.Time
	by   HandOver
	from int // who handed it over; −1: it has it from the start
	ok   bool
}

// chain returns the hand-overs that bring a message from one station to another first, by
// way of stations that pass it on; of chains that arrive in the same quarter of an hour the
// one with the fewest. done is the end of that quarter.
//
// By rounds: rounds[h][v] is how v has the message first after at most h hand-overs. That
// follows from rounds[h−1] alone, because a hand-over begun later is never done sooner.
func (n *net) chain(from, to int, at time.Time, passes func(station int) bool) (chain []HandOver, done time.Time) {
	rounds := [][]reached{make([]reached, len(n.parties))}
	rounds[0][from] = reached{at: at, from: -1, ok: true}
	for more := true; more; {
		last := rounds[len(rounds)-1]
		next := slices.Clone(last)
		more = false
		for u := range last {
			for v := range last {
				if !last[u].ok || u == v || u != from && !passes(u) {
					continue
				}
				if by, done, ok := n.first(u, v, last[u].at); ok && (!next[v].ok || done.Before(next[v].at)) {
					next[v], more = reached{done, by, u, true}, true
				}
			}
		}
		rounds = append(rounds, next)
	}
	h := len(rounds) - 1
	if !rounds[h][to].ok {
		return nil, time.Time{}
	}
	done = rounds[h][to].at
	for h > 0 && rounds[h-1][to].ok && rounds[h-1][to].at.Equal(rounds[h][to].at) {
		h--
	}
	for v := to; v != from; h-- {
		chain = append(chain, rounds[h][v].by)
		v = rounds[h][v].from
	}
	slices.Reverse(chain)
	return chain, done
}
