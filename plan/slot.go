package plan

import (
	"cmp"
	"math"
	"slices"

	"farhail/forecast"
)

// tie is how much better an action must be to take another's place: of two that are
// worth the same, resting stands, then the channel weighed first (see pass.order), the
// shorter call, no fallback.
const tie = 1e-9

// A pass is the memory one slot's work needs, reused from slot to slot.
type pass struct {
	*Policy
	every bool                            // no call is passed over
	seen  func(θ, i, b, c int, v float64) // told the worth of each call weighed; nil: nobody asks, and the policy takes it

	t     int
	drift float64     // charge a full battery would have lost, Wh
	price []float64   // of a Wh, by level
	worth [][]float64 // by queue: earned by its first i items if delivered in this slot

	order   []int       // channels that listen, the best by themselves first
	alone   []float64   // what each earns by itself, by channel
	options [][]option  // by place in order and tilt
	giveUps []float64   // the different times after which a first call is given up
	giveUp  []int       // by place in order: which of them
	floor   int         // the lowest level that allows a call
	lefts   []span      // by give-up time: what it leaves of the slot for a second call; where there are several, all together last
	soonest int         // the last of lefts: as much as any failure leaves, for the price of the least
	onward  []int       // by give-up time: the lowest level that allows a second call after it
	first   [][]reach   // by place in order and length, at the place in the queue looked at
	again   [][]reach   // by place in order and give-up time: a second call in what is left of the slot
	second  [][]another // by place in order, and give-up time · tilts + tilt
	known   [][2]uint32 // by place in order: bits of first and again that are measured

	bound bound

	won  [][]float64 // by length and level: worth of the first call looked at if it connects
	from []int       // by length: the lowest level that allows it

	sum, emptied, after, waiting, mixed, together []float64 // by level, scratch
	choice                                        []int32
}

// A span is a length of call: the longest it lasts for what it carries, the shortest for
// what it costs.
type span struct{ most, least float64 }

// another is a call without a fallback, under one belief, by level: its worth if it
// connects, if it does not, and in the mean; −Inf where it may not be made.
type another struct {
	known             bool
	won, failed, both []float64
}

func (s *Policy) newPass() *pass {
	nb := len(s.axis.level)
	w := &pass{Policy: s, alone: make([]float64, len(s.p.Channels)), choice: make([]int32, nb)}
	for _, x := range []*[]float64{&w.price, &w.sum, &w.emptied, &w.after, &w.waiting, &w.mixed, &w.together} {
		*x = make([]float64, nb)
	}
	for range s.p.Minutes {
		w.won, w.from = append(w.won, make([]float64, nb)), append(w.from, 0)
	}
	for _, q := range s.queues {
		w.worth = append(w.worth, make([]float64, q.n+1))
	}
	w.bound = newBound(s)
	return w
}

// slot fills the value and action of one slot from those of the next.
func (w *pass) slot(t int) {
	p, next, value, action := w.p, w.value[t+1], w.value[t], w.action[t]
	if w.seen != nil { // the policy stays as it is
		value, action = make([]float64, len(value)), make([]Action, len(action))
	}
	w.t, w.drift = t, w.lost(t)
	for b, l := range w.axis.level {
		w.price[b] = p.Battery.price(max(w.course[t]+l, p.Battery.Reserve))
	}
	nθ := len(w.mean)
	for θ := range nθ {
		for i := range w.places {
			from, to := w.row(next, i, θ), w.row(value, i, θ)
			for b := range to {
				to[b] = w.axis.read(from, b, w.drift)
			}
		}
	}
	for k := range action {
		action[k] = Rest
	}
	if math.IsInf(p.Wake[t], 1) || len(p.Items) == 0 {
		return
	}
	if w.floor = w.lowest(p.Minutes[0]); w.floor == len(w.axis.level) {
		return
	}
	for n, q := range w.queues {
		for i, m := range p.Items[q.first : q.first+q.n] {
			w.worth[n][i+1] = w.worth[n][i] + m.Worth[t]
		}
	}
	w.listen()
	if len(w.order) == 0 {
		return
	}
	if !w.every {
		w.bound.slot(w, value)
	}
	for i := range w.places {
		if !w.earns(i) || w.beyond(t, i) != i {
			continue
		}
		for x := range w.order {
			w.known[x] = [2]uint32{}
			for y := range w.second[x] {
				w.second[x][y].known = false
			}
		}
		if !w.every {
			w.bound.place(w, i)
		}
		for θ := range nθ {
			at := w.at(i, 0, θ)
			w.state(i, θ, w.row(value, i, θ), action[at:at+len(w.axis.level)])
		}
	}
}

// earns says whether anything left at a place is worth something.
func (w *pass) earns(place int) bool {
	for n := range w.queues {
		if q := &w.queues[n]; w.worth[n][q.along(place)] < w.worth[n][q.n] {
			return true
		}
	}
	return false
}

// lowest is the lowest level of the battery that allows a call of so many minutes at
// most; beyond the last, none does.
func (w *pass) lowest(minutes float64) int {
	if w.p.Battery.Capacity == 0 {
		return 0
	}
	need := w.p.Draw * minutes / 60
	for b, level := range w.axis.level {
		if w.course[w.t]+level-need >= w.need[w.t] {
			return b
		}
	}
	return len(w.axis.level)
}

// listen puts the channels that may be called in order, the best by themselves first.
func (w *pass) listen() {
	p := w.p
	w.order, w.giveUps, w.giveUp, w.onward = w.order[:0], w.giveUps[:0], w.giveUp[:0], w.onward[:0]
	w.lefts = w.lefts[:0]
	longest := p.Minutes[len(p.Minutes)-1]
	for c := range p.Channels {
		cell := &p.Channels[c].Cells[w.t]
		if !cell.Open {
			continue
		}
		w.alone[c] = 0
		for k, prior := range p.Prior {
			for j := range forecast.Nodes {
				w.alone[c] += prior * cell.Connect[k] * cell.Weight[k][j] * math.Sqrt(cell.Rate[k][j])
			}
		}
		if w.alone[c] *= p.Channels[c].free(w.t); w.alone[c] > 0 {
			w.order = append(w.order, c)
		}
	}
	slices.SortStableFunc(w.order, func(a, b int) int { return cmp.Compare(w.alone[b], w.alone[a]) })
	for _, c := range w.order {
		g := p.Channels[c].Cells[w.t].GiveUp
		k := slices.Index(w.giveUps, g)
		if k < 0 {
			k = len(w.giveUps)
			w.giveUps, w.lefts = append(w.giveUps, g), append(w.lefts, span{longest - g, longest - g})
			// A failure costs part of a level, so that the level under it must allow it too.
			b := w.lowest(longest - g)
			if b > 0 && p.Draw*g > 0 {
				b++
			}
			w.onward = append(w.onward, b)
		}
		w.giveUp = append(w.giveUp, k)
	}
	if len(w.order) == 0 {
		return
	}
	if w.soonest = 0; len(w.giveUps) > 1 {
		w.soonest = len(w.lefts)
		w.lefts = append(w.lefts, span{longest - slices.Min(w.giveUps), max(longest-slices.Max(w.giveUps), 0)})
	}
	nθ := len(w.mean)
	for x, c := range w.order {
		if x == len(w.options) {
			w.options, w.known = append(w.options, make([]option, nθ)), append(w.known, [2]uint32{})
			w.first, w.again, w.second = append(w.first, make([]reach, len(p.Minutes))), append(w.again, nil), append(w.second, nil)
		}
		for len(w.again[x]) < len(w.lefts) {
			w.again[x] = append(w.again[x], reach{})
			for range nθ {
				rows := make([]float64, 3*len(w.axis.level))
				n := len(w.axis.level)
				w.second[x] = append(w.second[x], another{won: rows[:n:n], failed: rows[n : 2*n : 2*n], both: rows[2*n:]})
			}
		}
		for θ, π := range w.belief {
			w.option(&w.options[x][θ], &p.Channels[c], w.t, π, p.Channels[c].free(w.t))
		}
	}
}

// state fills value and action at one place in the queue under one belief, at every
// level. value holds what resting is worth.
func (w *pass) state(i, θ int, value []float64, action []Action) {
	if !w.every {
		w.bound.firsts(w, i, θ, value, action)
		return
	}
	for x := range w.order {
		w.call(x, i, θ, value, action)
	}
}

// call weighs calling a channel first. value is what is in hand.
func (w *pass) call(x, i, θ int, value []float64, action []Action) {
	p, c, o := w.p, w.order[x], &w.options[x][θ]
	cell := &p.Channels[c].Cells[w.t]
	var g gain
	var last *reach
	worth := false
	for l, minutes := range p.Minutes {
		r := &w.first[x][l]
		if w.known[x][0]&(1<<l) == 0 {
			w.known[x][0] |= 1 << l
			r.measure(&w.queues[p.Channels[c].Queue], cell, w.worth[p.Channels[c].Queue], i, minutes)
		}
		w.from[l] = len(value)
		if !r.any || minutes <= cell.Setup || last != nil && r.used == last.used && r.worth == last.worth {
			continue // the shorter call stands
		}
		last = r
		o.weigh(&g, r)
		w.from[l] = w.lowest(max(minutes, cell.GiveUp))
		es, most := p.Draw*g.minutes/60, p.Draw*minutes/60
		w.blend(o, r, &g)
		won := w.won[l]
		for b := w.from[l]; b < len(won); b++ {
			won[b] = g.worth - w.price[b]*es + w.axis.read(w.sum, b, w.drift-most) + w.emptied[b]
		}
		worth = worth || w.every || w.bound.stands(w, x, i, θ, won, value, w.from[l])
	}
	if !worth {
		return
	}
	w.afterFailure(x, i, θ)
	ef := p.Draw * cell.GiveUp / 60
	for l, won := range w.won {
		for b := w.from[l]; b < len(value); b++ {
			v := o.p*won[b] + (1-o.p)*(w.after[b]-w.price[b]*ef) - p.Wake[w.t]
			if w.seen != nil {
				w.seen(θ, i, b, c, v)
			}
			if v > value[b]+tie {
				value[b], action[b] = v, Action{int32(c), int8(l), w.choice[b]}
			}
		}
	}
}

// blend is the mean of the next slot's values over where a call gets, under the belief it
// leaves: sum of the cases that take their full time, which is yet to be taken out of the
// battery; emptied of those that empty the queue before.
func (w *pass) blend(o *option, r *reach, g *gain) {
	next := w.value[w.t+1]
	clear(w.sum)
	clear(w.emptied)
	for y := range g.n {
		if y != r.whole && g.w[y] > 0 {
			w.add(next, g.to[y], o.yes, o.yesW, g.w[y], w.sum)
		}
	}
	if r.whole < 0 || g.to[r.whole] == w.places-1 {
		return // nothing is left to be worth anything
	}
	clear(w.mixed)
	w.add(next, g.to[r.whole], o.yes, o.yesW, 1, w.mixed)
	for k, weight := range o.weight {
		if weight > 0 && int(r.group[k]) == r.whole {
			for b := range w.emptied {
				w.emptied[b] += weight * w.axis.read(w.mixed, b, w.drift-w.p.Draw*r.used[k]/60)
			}
		}
	}
}

// add adds a table's row under a belief between two tilts, times share.
func (w *pass) add(table []float64, i, θ int, θw, share float64, sum []float64) {
	row := w.row(table, i, θ)
	if θw == 0 {
		for b := range sum {
			sum[b] += share * row[b]
		}
		return
	}
	upper := w.row(table, i, θ+1)
	lo, hi := share*(1-θw), share*θw
	for b := range sum {
		sum[b] += lo*row[b] + hi*upper[b]
	}
}

// anotherCall is channel y called in what give-up time k leaves of the slot.
func (w *pass) anotherCall(y, k, i, θ int) *another {
	a := &w.second[y][k*len(w.mean)+θ]
	if a.known {
		return a
	}
	a.known = true
	p, c, o := w.p, w.order[y], &w.options[y][θ]
	cell := &p.Channels[c].Cells[w.t]
	left := w.lefts[k]
	r := &w.again[y][k]
	if w.known[y][1]&(1<<k) == 0 {
		w.known[y][1] |= 1 << k
		r.measure(&w.queues[p.Channels[c].Queue], cell, w.worth[p.Channels[c].Queue], i, left.most)
		for n := range r.used {
			r.used[n] = min(r.used[n], left.least)
		}
	}
	lowest := w.lowest(max(left.least, cell.GiveUp))
	if !r.any || left.most <= cell.Setup {
		lowest = len(a.won)
	}
	for b := range lowest {
		a.won[b], a.failed[b], a.both[b] = math.Inf(-1), math.Inf(-1), math.Inf(-1)
	}
	if lowest == len(a.won) {
		return a
	}
	var g gain
	o.weigh(&g, r)
	ef, es, most := p.Draw*cell.GiveUp/60, p.Draw*g.minutes/60, p.Draw*left.least/60
	w.blend(o, r, &g)
	clear(w.mixed)
	w.add(w.value[w.t+1], i, o.no, o.noW, 1, w.mixed)
	for b := lowest; b < len(a.won); b++ {
		a.won[b] = g.worth - w.price[b]*es + w.axis.read(w.sum, b, w.drift-most) + w.emptied[b]
		a.failed[b] = w.axis.read(w.mixed, b, w.drift-ef) - w.price[b]*ef
		a.both[b] = o.p*a.won[b] + (1-o.p)*a.failed[b]
	}
	return a
}

// afterFailure fills, for every level, the best that is left when a first call got no
// answer: to wait for the next slot, or to call another channel. A channel of the same
// station has only the presence the failure left it.
func (w *pass) afterFailure(x, i, θ int) {
	o := &w.options[x][θ]
	ef := w.p.Draw * w.p.Channels[w.order[x]].Cells[w.t].GiveUp / 60
	clear(w.mixed)
	w.add(w.value[w.t+1], i, o.no, o.noW, 1, w.mixed)
	for b := range w.after {
		w.after[b], w.choice[b] = w.axis.read(w.mixed, b, w.drift-ef), -1
	}
	if !w.every {
		w.bound.followers(w, x, i, θ, ef)
		return
	}
	for y := range w.order {
		if y != x {
			w.follow(x, y, i, θ, ef)
		}
	}
}

// follow weighs a second call after a failure of the first.
func (w *pass) follow(x, y, i, θ int, ef float64) {
	p, o := w.p, &w.options[x][θ]
	c2 := w.order[y]
	same := p.Channels[c2].Station == p.Channels[w.order[x]].Station
	clear(w.together)
	for d, share := range [2]float64{1 - o.noW, o.noW} {
		if share == 0 {
			continue
		}
		a := w.anotherCall(y, w.giveUp[x], i, o.no+d)
		if !same {
			for b, v := range a.both {
				w.together[b] += share * v
			}
			continue
		}
		p2 := w.options[y][o.no+d].p / p.Channels[c2].free(w.t) * o.freeOnFail
		for b := range a.won {
			w.together[b] += share * (p2*a.won[b] + (1-p2)*a.failed[b])
		}
	}
	for b := range w.after {
		if v := w.axis.read(w.together, b, -ef); v > w.after[b]+tie {
			w.after[b], w.choice[b] = v, int32(c2)
		}
	}
}
