package plan

import (
	"math"
	"slices"
	"sort"

	"farhail/forecast"
)

// A twin works a problem out literally: from every state it tries every action, follows
// every outcome, and takes the best mean. It shares no code with Solve and knows the
// problem by its types alone. What it is asked to be coarse in stands in its rules; with
// none it is exact.
type twin struct {
	p    *Problem
	r    rules
	need []float64 // per slot: the least that must be left after its calls
	memo map[place]float64
	acts int // actions weighed

	follow *Policy // what to do in every state; nil: the best
}

// rules are the ways in which the planner's model is coarser than the problem. Each may
// be set alone, to see what it costs.
type rules struct {
	levels [][]float64                // per slot: the battery is drawn to these; nil: exact
	belief [][forecast.States]float64 // belief drawn to these, ascending by mean; nil: Bayes' rule as it is

	apart bool // after a failure the station's presence and the sky are taken as independent, and the battery and belief drawn to the grid before the second call
	idle  bool // calls that deliver nothing of worth are left out, and the bearer below its price
}

type place struct {
	t     int
	done  [2]int // of each queue
	level float64
	π     [forecast.States]float64
}

func newTwin(p *Problem, r rules) *twin {
	w := &twin{p: p, r: r, need: make([]float64, p.Slots+1), memo: map[place]float64{}}
	w.need[p.Slots] = p.Battery.Reserve
	for t := p.Slots - 1; t >= 0; t-- {
		w.need[t] = math.Max(p.Battery.Reserve, w.need[t+1]-p.Battery.Drift[t])
	}
	return w
}

// modelled are the rules of the planner's own model on a grid.
func modelled(p *Problem, g Grid) rules {
	r := rules{apart: true, idle: true}
	if p.Battery.Capacity > 0 {
		course := p.Battery.Now
		for t := range p.Slots + 1 {
			r.levels = append(r.levels, squares(course, p.Battery.Capacity-p.Battery.Reserve, g.Levels))
			if t < p.Slots {
				course = math.Max(math.Min(course+p.Battery.Drift[t], p.Battery.Capacity), 0)
			}
		}
	}
	for _, θ := range g.Tilts {
		var π [forecast.States]float64
		for k := range π {
			π[k] = p.Prior[k] * math.Exp(θ*forecast.StateZ[k])
		}
		r.belief = append(r.belief, normal(π))
	}
	return r
}

func evenly(lo, hi float64, n int) (x []float64) {
	for k := range n {
		x = append(x, lo+(hi-lo)*float64(k)/float64(n-1))
	}
	return x
}

// squares are levels of which the k-th from the top lies k² steps under it.
func squares(top, span float64, n int) (x []float64) {
	for k := n - 1; k >= 0; k-- {
		x = append(x, top-span*math.Pow(float64(k)/float64(n-1), 2))
	}
	return x
}

func normal(w [forecast.States]float64) [forecast.States]float64 {
	sum := w[0] + w[1] + w[2]
	if sum <= 0 {
		return w
	}
	for k := range w {
		w[k] /= sum
	}
	return w
}

func (w *twin) Value() float64 {
	return w.from(0, [2]int{}, w.p.Battery.Now, w.p.Prior)
}

// from is the mean value of a state that need not lie on the grid.
func (w *twin) from(t int, done [2]int, level float64, π [forecast.States]float64) (v float64) {
	if t == w.p.Slots {
		return 0
	}
	for _, s := range w.spread(t, done, level, π) {
		v += s.share * w.value(s.place)
	}
	return v
}

type shared struct {
	place
	share float64
}

// spread draws battery and belief to the grid so that their means are kept.
func (w *twin) spread(t int, done [2]int, level float64, π [forecast.States]float64) (out []shared) {
	type part struct{ x, share float64 }
	levels := []part{{math.Min(math.Max(level, 0), w.p.Battery.Capacity), 1}}
	if w.p.Battery.Capacity > 0 && w.r.levels != nil {
		levels = nil
		lo, hi, share := bracket(w.r.levels[t], level)
		levels = append(levels, part{w.r.levels[t][lo], 1 - share}, part{w.r.levels[t][hi], share})
	}
	beliefs, shares := [][forecast.States]float64{π}, []float64{1}
	if w.r.belief != nil {
		var axis []float64
		for _, π := range w.r.belief {
			axis = append(axis, dayOf(π))
		}
		lo, hi, share := bracket(axis, dayOf(π))
		beliefs, shares = [][forecast.States]float64{w.r.belief[lo], w.r.belief[hi]}, []float64{1 - share, share}
	}
	for _, l := range levels {
		for k, π := range beliefs {
			if l.share*shares[k] > 0 {
				out = append(out, shared{place{t, done, l.x, π}, l.share * shares[k]})
			}
		}
	}
	return out
}

func dayOf(π [forecast.States]float64) (z float64) {
	for k := range π {
		z += π[k] * forecast.StateZ[k]
	}
	return z
}

// bracket is the two neighbours of x on an axis and the share of the upper.
func bracket(axis []float64, x float64) (lo, hi int, share float64) {
	last := len(axis) - 1
	if x <= axis[0] {
		return 0, 0, 0
	}
	if x >= axis[last] {
		return last, last, 0
	}
	hi = sort.Search(last, func(k int) bool { return axis[k] >= x })
	lo = hi - 1
	return lo, hi, (x - axis[lo]) / (axis[hi] - axis[lo])
}

// value tries everything from a state.
func (w *twin) value(s place) float64 {
	for n := range s.done { // what is past its deadline is not sent once it heads its queue
		for items := w.queue(n); s.done[n] < len(items) && w.late(items[s.done[n]], s.t); {
			s.done[n]++
		}
	}
	if v, known := w.memo[s]; known {
		return v
	}
	p := w.p
	if w.follow != nil {
		w.memo[s] = w.told(s)
		return w.memo[s]
	}
	best := w.from(s.t+1, s.done, s.level+p.Battery.Drift[s.t], s.π)
	try := func(v float64) {
		w.acts++
		best = math.Max(best, v)
	}
	for n := range s.done {
		items := w.queue(n)
		if s.done[n] == len(items) {
			continue
		}
		m := items[s.done[n]]
		left := s
		left.done[n]++
		try(w.value(left))
		if m.Bearer > 0 && p.Wake[s.t] == 0 && !(w.r.idle && m.Worth[s.t] <= m.Bearer) {
			next := s
			next.done[n]++
			try(m.Worth[s.t] - m.Bearer + w.value(next))
		}
	}
	if s.done[0]+s.done[1] < len(p.Items) && !math.IsInf(p.Wake[s.t], 1) {
		for c := range p.Channels {
			for _, minutes := range p.Minutes {
				for f := -1; f < len(p.Channels); f++ {
					if v, ok := w.call(s, c, minutes, f); ok {
						try(v)
					}
				}
			}
		}
	}
	w.memo[s] = best
	return best
}

// told is the worth of doing what the policy says.
func (w *twin) told(s place) float64 {
	θ, share := between(w.follow.mean, dayOf(s.π))
	at := s.done[0]
	if len(w.follow.queues) > 1 {
		at += s.done[1] * w.follow.queues[1].stride
	}
	switch a := w.follow.best(s.t, at, s.level, θ, share); {
	case a.Call >= 0:
		v, _ := w.call(s, int(a.Call), w.p.Minutes[a.Length], int(a.Fallback))
		return v
	case a.Call == leave:
		next := s
		next.done[a.Fallback]++
		return w.value(next)
	case a.ByBearer():
		m := w.queue(int(a.Fallback))[s.done[a.Fallback]]
		next := s
		next.done[a.Fallback]++
		return m.Worth[s.t] - m.Bearer + w.value(next)
	}
	return w.from(s.t+1, s.done, s.level+w.p.Battery.Drift[s.t], s.π)
}

// call is the worth of calling c for at most so many minutes and, if nobody answers, f
// (−1: nobody) for what is left of the slot.
func (w *twin) call(s place, c int, minutes float64, f int) (float64, bool) {
	p := w.p
	first := &p.Channels[c].Cells[s.t]
	free := p.Channels[c].Free
	longest := p.Minutes[len(p.Minutes)-1]
	if !first.Open || minutes <= first.Setup {
		return 0, false
	}
	if !w.allowed(s.t, s.level, math.Max(minutes, first.GiveUp)) {
		return 0, false
	}

	var pass, miss [forecast.States]float64 // joint with the state
	for k := range pass {
		pass[k] = s.π[k] * free * first.Connect[k]
		miss[k] = s.π[k] * (1 - free*first.Connect[k])
	}
	connects := pass[0] + pass[1] + pass[2]
	got, delivers := w.connected(s, p.Channels[c].Queue, first, normal(pass), minutes)
	if w.r.idle && !delivers {
		return 0, false
	}
	v := -p.Wake[s.t]
	if connects > 0 {
		v += connects * got
	}
	if connects >= 1 {
		return v, f < 0
	}

	spent := p.Draw * first.GiveUp / 60
	level := s.level - spent
	v -= (1 - connects) * w.price(s.level) * spent
	if f < 0 {
		return v + (1-connects)*w.from(s.t+1, s.done, level+p.Battery.Drift[s.t], normal(miss)), true
	}
	second := &p.Channels[f].Cells[s.t]
	left := longest - first.GiveUp
	if f == c || !second.Open || left <= second.Setup {
		return 0, false
	}

	// What is known of the state and of the second station being free, after the failure.
	free2 := p.Channels[f].Free
	same := p.Channels[f].Station == p.Channels[c].Station
	if !w.r.apart {
		var there, gone [forecast.States]float64
		for k := range there {
			there[k], gone[k] = miss[k]*free2, miss[k]*(1-free2)
			if same {
				there[k], gone[k] = s.π[k]*free*(1-first.Connect[k]), s.π[k]*(1-free)
			}
			there[k], gone[k] = there[k]/(1-connects), gone[k]/(1-connects)
		}
		u, ok := w.again(place{s.t, s.done, level, s.π}, f, left, there, gone)
		return v + (1-connects)*u, ok
	}
	if same {
		answers := 0.0
		for k := range s.π {
			answers += s.π[k] * first.Connect[k]
		}
		free2 = free * (1 - answers) / (1 - connects)
	}
	for _, d := range w.spread(s.t, s.done, level, normal(miss)) {
		var there, gone [forecast.States]float64
		for k := range there {
			there[k], gone[k] = d.π[k]*free2, d.π[k]*(1-free2)
		}
		u, ok := w.again(d.place, f, left, there, gone)
		if !ok {
			return 0, false
		}
		v += (1 - connects) * d.share * u
	}
	return v, true
}

// again is the worth of a second call. there and gone are the joint chances of the state
// with the station being free, and not.
func (w *twin) again(s place, f int, left float64, there, gone [forecast.States]float64) (float64, bool) {
	p := w.p
	cell := &p.Channels[f].Cells[s.t]
	if !w.allowed(s.t, s.level, math.Max(left, cell.GiveUp)) {
		return 0, false
	}
	var pass, miss [forecast.States]float64
	connects := 0.0
	for k := range pass {
		pass[k] = there[k] * cell.Connect[k]
		miss[k] = there[k]*(1-cell.Connect[k]) + gone[k]
		connects += pass[k]
	}
	if w.r.apart {
		// The belief moves as after a first call on that channel.
		usual := p.Channels[f].Free
		for k := range miss {
			miss[k] = s.π[k] * (1 - usual*cell.Connect[k])
		}
		for k := range pass {
			pass[k] = s.π[k] * cell.Connect[k]
		}
	}
	v, delivers := w.connected(s, p.Channels[f].Queue, cell, normal(pass), left)
	if w.r.idle && !delivers {
		return 0, false
	}
	if connects > 0 {
		v *= connects
	} else {
		v = 0
	}
	if connects < 1 {
		spent := p.Draw * cell.GiveUp / 60
		v += (1 - connects) * (w.from(s.t+1, s.done, s.level-spent+p.Battery.Drift[s.t], normal(miss)) - w.price(s.level)*spent)
	}
	return v, true
}

// connected is the mean worth of a call that got through, the future in it, and whether
// anything may be delivered. π is the belief it leaves.
func (w *twin) connected(s place, q int, cell *forecast.Cell, π [forecast.States]float64, minutes float64) (value float64, delivers bool) {
	p, items := w.p, w.queue(q)
	type arrival struct {
		i              int
		minutes, worth float64
	}
	var memory [forecast.States * forecast.Nodes]arrival
	var share [len(memory)]float64
	all := memory[:0] // nodes that end alike are one outcome
	for k := range forecast.States {
		for n := range forecast.Nodes {
			weight := π[k] * cell.Weight[k][n]
			if weight == 0 {
				continue
			}
			a := arrival{i: s.done[q], minutes: minutes}
			bytes := cell.Rate[k][n] * (minutes - cell.Setup)
			sent := 0.0
			for a.i < len(items) && sent+items[a.i].Bytes <= bytes {
				sent += items[a.i].Bytes
				delivers = delivers || items[a.i].Worth[s.t] > 0
				a.worth += items[a.i].Worth[s.t]
				a.i++
			}
			if a.i == len(items) {
				a.minutes = cell.Setup + sent/cell.Rate[k][n]
			}
			x := slices.Index(all, a)
			if x < 0 {
				x = len(all)
				all = append(all, a)
			}
			share[x] += weight
		}
	}
	for x, a := range all {
		spent := p.Draw * a.minutes / 60
		done := s.done
		done[q] = a.i
		value += share[x] * (a.worth - w.price(s.level)*spent + w.from(s.t+1, done, s.level-spent+p.Battery.Drift[s.t], π))
	}
	return value, delivers
}

// late says whether an item earns nothing any more.
func (w *twin) late(m Item, t int) bool {
	for ; t < w.p.Slots; t++ {
		if m.Worth[t] > 0 {
			return false
		}
	}
	return true
}

// queue is the items of one queue.
func (w *twin) queue(n int) (items []Item) {
	for _, m := range w.p.Items {
		if m.Queue == n {
			items = append(items, m)
		}
	}
	return items
}

func (w *twin) allowed(t int, level, minutes float64) bool {
	return w.p.Battery.Capacity == 0 || w.follow != nil || level-w.p.Draw*minutes/60 >= w.need[t]
}

// price of a Wh: doubles with every so much of the capacity that is gone.
func (w *twin) price(level float64) float64 {
	b := &w.p.Battery
	if b.Capacity == 0 {
		return b.Price
	}
	return b.Price * math.Pow(2, (b.Capacity-level)/(b.Doubling*b.Capacity))
}
