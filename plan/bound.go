package plan

import (
	"math"
	"slices"

	"farhail/forecast"
)

// A bound says, without working a call out, the most it can be worth. A channel is passed
// over only where that is no more than what is in hand, so that nothing is lost.
//
// Notation: V the next slot's value with nobody called, by place i, level b and tilt θ;
// w_i earned by the first i messages. A connected case of rate r carries the traffic from
// i to some j ≤ J in a call of at most l minutes; it takes the energy e_l, or less where it
// empties the queue. It is worth above resting at most
//
//	F(r, b) = max over l of ( max over j ≤ J_l(r) of (w_j + V(j, b − e_l)) − w_i − V(i, b) − price(b) e_l ) ,
//
// a table for each place and tilt, rates rounded up to a sixth of an octave. A call
// without a fallback is worth above resting at most
//
//	p Σ_r weight(r) F(r, b) + I(b) − (1 − p) price(b) e_fail ,
//
// I(b) = p V(yes) + (1 − p) V(no) − V(θ) being what the news is worth. A fallback adds at
// most (1 − p) G(b), G the most a second call is worth above waiting.
//
// The sum is taken first with the greatest F of all places and of a zone of levels, then
// of a block of places, then of the place, then level by level: most channels fall early.
type bound struct {
	rest   []float64   // V, by at(i, b, θ)
	most   [][]float64 // by length: the greatest w_j + V(j, b − e) of the j up to one, by at(j, b, θ)
	zone   []int       // of each level
	price  [zones]float64
	rates  []float64 // in use in the slot, a minute's bytes
	number []int16   // of a rate in sixths of an octave, from the least; −1: not in use
	calls  []span    // the lengths a call may have; the last is that of a second call
	setup  float64   // the shortest
	sides  [][]side  // by place in order and tilt
	upTo   []int     // by tilt: the highest that a failure leads to

	// F of a first and of a second call, by tilt, by (i · rates + rate) · levels + b. What
	// is by zone serves for both.
	tables [2][][]float64
	ways   []carried // scratch: where a rate gets in each length

	everywhere, nearby, here extremes // of all places, of the block, of the place looked at

	rows   [][]float64 // by tilt: bounds by level, by (place in order · 2 + which) · levels + b
	filled [][][2]bool // by tilt and place in order: rows has them
	best   [][]float64 // by tilt: G, by level
	bestIn [][]float64 // by tilt: its least and most in each zone, by 2 z
	tried  [][]bool    // by tilt and place in order: a second call worked out to find it
}

// zones cut the levels for a first look, block the places.
const zones, block = 3, 8

// extremes are what a bound by zone rests on, and what comes of it.
type extremes struct {
	i      int
	peak   [][]float64      // by tilt: the greatest F of a zone, by rate · zones + z
	gap    [][]float64      // by d: least and most of V under tilt d+1 above that under d, by 2 z
	live   [][]int          // by tilt: places in order of channels with a bound above 0 in some zone
	lives  [][]bool         // the same by tilt and place in order
	idle   [][zones]float64 // by tilt: the greatest first of those that are not
	first  [][]float64      // by tilt: bound of a call without fallback, by place in order · zones + z
	second [][]float64      // the same of a second call, at the same station too
}

// A side is a channel under a belief.
type side struct {
	rate   [cases]int16
	weight [cases]float64 // of each rate, times p
	n      int
	turn   []float64 // by d: shift of the belief's weight across the gap between tilts d and d+1
	lose   []float64 // the same of a failure alone
	cost   float64   // Wh of giving up, times 1 − p
	giveUp float64   // Wh of giving up
}

// A span is a length of call: the longest it lasts for what it carries, the shortest for
// what it costs.
type span struct{ most, least float64 }

// carried is where a rate gets in a span, and the least energy.
type carried struct {
	j  int
	wh float64
}

// Rates from 2^−8 bytes a minute to 2^32, six to the octave.
const perOctave, lowestRate, rateSteps = 6, -8 * perOctave, 40*perOctave + 1

func newBound(s *Policy) bound {
	nθ, nb := len(s.mean), len(s.axis.level)
	q := bound{rest: make([]float64, s.states()), zone: make([]int, nb), number: make([]int16, rateSteps),
		upTo: make([]int, nθ), tables: [2][][]float64{make([][]float64, nθ), make([][]float64, nθ)},
		rows: make([][]float64, nθ), filled: make([][][2]bool, nθ), tried: make([][]bool, nθ)}
	for b := range q.zone {
		q.zone[b] = b * zones / nb
	}
	for range len(s.p.Minutes) + 1 {
		q.most = append(q.most, make([]float64, s.states()))
	}
	for range nθ {
		q.best, q.bestIn = append(q.best, make([]float64, nb)), append(q.bestIn, make([]float64, 2*zones))
	}
	for _, x := range []*extremes{&q.everywhere, &q.nearby, &q.here} {
		x.peak, x.first, x.second, x.idle = make([][]float64, nθ), make([][]float64, nθ), make([][]float64, nθ), make([][zones]float64, nθ)
		x.live, x.lives = make([][]int, nθ), make([][]bool, nθ)
		for range nθ - 1 {
			x.gap = append(x.gap, make([]float64, 2*zones))
		}
	}
	return q
}

// slot prepares what holds in the whole slot. value holds what resting is worth.
func (q *bound) slot(w *pass, value []float64) {
	copy(q.rest, value)
	p, nθ, ni := w.p, len(w.mean), len(w.p.Items)
	q.price = [zones]float64{}
	for b, z := range q.zone {
		q.price[z] = w.price[b] // falls with the level
	}
	longest := p.Minutes[len(p.Minutes)-1]
	soonest, latest := slices.Min(w.giveUps), slices.Max(w.giveUps)
	q.calls = q.calls[:0]
	for _, m := range p.Minutes {
		q.calls = append(q.calls, span{m, m})
	}
	q.calls = append(q.calls, span{max(longest-soonest, 0), max(longest-latest, 0)})
	for n, l := range q.calls {
		wh := p.Draw * l.least / 60
		for θ := range nθ {
			for j := range ni + 1 {
				from, to := w.row(w.value[w.t+1], j, θ), w.row(q.most[n], j, θ)
				for b := range to {
					to[b] = w.worth[j] + w.axis.read(from, b, w.drift-wh)
				}
				if j > 0 {
					for b, v := range w.row(q.most[n], j-1, θ) {
						to[b] = max(to[b], v)
					}
				}
			}
		}
	}
	q.setup = math.Inf(1)
	q.rates = q.rates[:0]
	for k := range q.number {
		q.number[k] = -1
	}
	clear(q.upTo)
	for x, c := range w.order {
		if x == len(q.sides) {
			q.sides = append(q.sides, make([]side, nθ))
			for θ := range nθ {
				q.sides[x][θ].turn, q.sides[x][θ].lose = make([]float64, nθ-1), make([]float64, nθ-1)
				q.filled[θ], q.tried[θ] = append(q.filled[θ], [2]bool{}), append(q.tried[θ], false)
				q.rows[θ] = append(q.rows[θ], make([]float64, 2*len(q.zone))...)
			}
			q.everywhere.grow()
			q.nearby.grow()
			q.here.grow()
		}
		cell := &p.Channels[c].Cells[w.t]
		q.setup = min(q.setup, cell.Setup)
		rate := q.ratesOf(cell)
		for θ := range nθ {
			o := &w.options[x][θ]
			q.sides[x][θ].of(o, &rate, θ, p.Draw*cell.GiveUp/60)
			q.upTo[θ] = max(q.upTo[θ], o.no)
			if o.noW > 0 {
				q.upTo[θ] = max(q.upTo[θ], o.no+1)
			}
		}
	}
	q.fill(w)
	q.extremes(&q.everywhere, w, 0, ni)
	for θ := range nθ {
		q.everywhere.live[θ], q.everywhere.idle[θ] = q.everywhere.live[θ][:0], nothing
		for x := range w.order {
			q.look(&q.everywhere, w, x, θ)
		}
	}
}

// nothing is worth less than anything.
var nothing = [zones]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}

// grow makes room for one more channel.
func (e *extremes) grow() {
	for θ := range e.first {
		e.lives[θ] = append(e.lives[θ], false)
		for range zones {
			e.first[θ], e.second[θ] = append(e.first[θ], 0), append(e.second[θ], 0)
		}
	}
}

// ratesOf numbers the rates of a cell's cases, rounded up.
func (q *bound) ratesOf(cell *forecast.Cell) (number [cases]int16) {
	n := 0
	for _, rates := range cell.Rate {
		for _, r := range rates {
			k := 0
			if r > 0 {
				k = min(max(int(math.Ceil(perOctave*math.Log2(r)-1e-9))-lowestRate, 0), rateSteps-1)
			}
			if q.number[k] < 0 {
				q.number[k] = int16(len(q.rates))
				q.rates = append(q.rates, math.Exp2(float64(k+lowestRate)/perOctave)*(1+1e-9))
			}
			number[n] = q.number[k]
			n++
		}
	}
	return number
}

// of is an option as the bound sees it; wh is the energy of giving up.
func (s *side) of(o *option, rate *[cases]int16, θ int, wh float64) {
	s.n, s.cost, s.giveUp = 0, (1-o.p)*wh, wh
	for k, w := range o.weight {
		if w == 0 {
			continue
		}
		y := 0
		for y < s.n && s.rate[y] != rate[k] {
			y++
		}
		if y == s.n {
			s.rate[y], s.weight[y] = rate[k], 0
			s.n++
		}
		s.weight[y] += o.p * w
	}
	for d := range s.turn {
		here := 0.0
		if θ > d {
			here = 1
		}
		s.lose[d] = beyond(d, o.no, o.noW) - here
		s.turn[d] = o.p*(beyond(d, o.yes, o.yesW)-here) + (1-o.p)*s.lose[d]
	}
}

// beyond is the weight of a belief between tilts θ and θ+1 beyond the gap from d to d+1.
func beyond(d, θ int, w float64) float64 {
	switch {
	case θ > d:
		return 1
	case θ == d:
		return w
	}
	return 0
}

// nothingMore is the bound of a channel that is not live.
var nothingMore = make([]float64, zones)

// fill fills F at every place.
func (q *bound) fill(w *pass) {
	ni, nb, nr := len(w.p.Items), len(q.zone), len(q.rates)
	for which := range q.tables {
		for θ := range q.tables[which] {
			q.tables[which][θ] = slices.Grow(q.tables[which][θ][:0], ni*nr*nb)[:ni*nr*nb]
		}
	}
	last := len(q.calls) - 1
	for i := range ni {
		left := w.cum[ni] - w.cum[i]
		for r, rate := range q.rates {
			q.ways = q.ways[:0]
			for _, l := range q.calls {
				j, _ := w.delivered(i, rate, l.most-q.setup)
				used := l.least
				if j == ni {
					used = min(q.setup+left/rate, l.least)
				}
				q.ways = append(q.ways, carried{j, w.p.Draw * used / 60})
			}
			for θ := range q.tables[0] {
				rest := w.row(q.rest, i, θ)
				first, second := q.tables[0][θ][(i*nr+r)*nb:][:nb], q.tables[1][θ][(i*nr+r)*nb:][:nb]
				for n, c := range q.ways {
					row := first
					if n == last {
						row = second
					}
					if n > 0 && n < last && c.j == q.ways[n-1].j && c.wh >= q.ways[n-1].wh {
						continue // no further in more time
					}
					for b, m := range w.row(q.most[n], c.j, θ) {
						if v := m - w.worth[i] - rest[b] - w.price[b]*c.wh; n == 0 || n == last || v > row[b] {
							row[b] = v
						}
					}
				}
			}
		}
	}
}

// extremes finds what a bound over the places from i to before end rests on.
func (q *bound) extremes(e *extremes, w *pass, i, end int) {
	e.i = i
	nb, nr := len(q.zone), len(q.rates)
	for θ := range e.peak {
		e.peak[θ] = slices.Grow(e.peak[θ][:0], nr*zones)[:nr*zones]
		for k := range e.peak[θ] {
			e.peak[θ][k] = math.Inf(-1)
		}
		for ; i < end; i++ {
			for r := range nr {
				second := q.tables[1][θ][(i*nr+r)*nb:][:nb]
				for b, v := range q.tables[0][θ][(i*nr+r)*nb:][:nb] {
					if k := r*zones + q.zone[b]; max(v, second[b]) > e.peak[θ][k] {
						e.peak[θ][k] = max(v, second[b])
					}
				}
			}
		}
		for r := range nr {
			for z := q.zone[nb-1] + 1; z < zones; z++ {
				e.peak[θ][r*zones+z] = 0 // no level lies there
			}
		}
		i = e.i
	}
	for d, gap := range e.gap {
		for z := range zones {
			gap[2*z], gap[2*z+1] = math.Inf(1), math.Inf(-1)
		}
		for i := e.i; i < end; i++ {
			lo, hi := w.row(q.rest, i, d), w.row(q.rest, i, d+1)
			for b, z := range q.zone {
				gap[2*z], gap[2*z+1] = min(gap[2*z], hi[b]-lo[b]), max(gap[2*z+1], hi[b]-lo[b])
			}
		}
		for z := q.zone[nb-1] + 1; z < zones; z++ {
			gap[2*z], gap[2*z+1] = 0, 0
		}
	}
}

// look fills a channel's bounds by zone, and puts it among the live or the idle.
func (q *bound) look(e *extremes, w *pass, x, θ int) {
	o, s := &w.options[x][θ], &q.sides[x][θ]
	first, second := (*[zones]float64)(e.first[θ][x*zones:]), (*[zones]float64)(e.second[θ][x*zones:])
	var g [zones]float64
	peak := e.peak[o.yes]
	for k := range s.n {
		at := int(s.rate[k]) * zones
		for z := range g {
			g[z] += s.weight[k] * peak[at+z]
		}
	}
	if o.yesW > 0 {
		peak = e.peak[o.yes+1]
		var up [zones]float64
		for k := range s.n {
			at := int(s.rate[k]) * zones
			for z := range up {
				up[z] += s.weight[k] * peak[at+z]
			}
		}
		for z := range g {
			g[z] += o.yesW * (up[z] - g[z])
		}
	}
	live := false
	for z := range g {
		lost := -q.price[z] * s.giveUp
		g[z] -= q.price[z] * s.cost
		for d, turn := range s.turn {
			g[z] += across(turn, e.gap[d][2*z:])
			lost += across(s.lose[d], e.gap[d][2*z:])
		}
		first[z], second[z] = g[z], max(g[z], lost)
		live = live || second[z] > tie
	}
	if live {
		e.live[θ], e.lives[θ][x] = append(e.live[θ], x), true
		return
	}
	for z, v := range first {
		e.idle[θ][z] = max(e.idle[θ][z], v)
	}
}

// across is the most that a shift of the belief's weight across a gap is worth.
func across(shift float64, gap []float64) float64 {
	if shift < 0 {
		return shift * gap[0]
	}
	return shift * gap[1]
}

// begin clears the lists of a closer look, and keeps from the wider what it settled.
func (e *extremes) begin(wider *extremes) {
	for θ := range e.live {
		e.live[θ], e.idle[θ] = e.live[θ][:0], wider.idle[θ]
		clear(e.lives[θ])
	}
}

// place prepares what holds at one place in the queue: the bounds, and G.
func (q *bound) place(w *pass, i int) {
	ni := len(w.p.Items)
	if i%block == 0 {
		q.extremes(&q.nearby, w, i, min(i+block, ni))
		q.nearby.begin(&q.everywhere)
		for θ, live := range q.everywhere.live {
			for _, x := range live {
				q.look(&q.nearby, w, x, θ)
			}
		}
	}
	q.extremes(&q.here, w, i, i+1)
	q.here.begin(&q.nearby)
	for θ, live := range q.nearby.live {
		clear(q.filled[θ])
		for _, x := range live {
			q.look(&q.here, w, x, θ)
		}
	}
	for θ := range q.here.live {
		q.greatest(w, i, θ)
	}
}

// byLevel is a channel's bound under a belief level by level, as a first call without a
// fallback, or as a second.
func (q *bound) byLevel(w *pass, x, i, θ int, second bool) []float64 {
	nb, nr, which := len(q.zone), len(q.rates), 0
	if second {
		which = 1
	}
	row := q.rows[θ][(2*x+which)*nb:][:nb]
	if q.filled[θ][x][which] {
		return row
	}
	q.filled[θ][x][which] = true
	o, s := &w.options[x][θ], &q.sides[x][θ]
	for b, price := range w.price {
		row[b] = -price * s.cost
	}
	for d, turn := range s.turn {
		lo, hi := w.row(q.rest, i, d), w.row(q.rest, i, d+1)
		for b := range row {
			row[b] += turn * (hi[b] - lo[b])
		}
	}
	for k := range s.n {
		at := (i*nr + int(s.rate[k])) * nb
		for tilt, share := range [2]float64{1 - o.yesW, o.yesW} {
			if share *= s.weight[k]; share > 0 {
				for b, v := range q.tables[which][o.yes+tilt][at : at+nb] {
					row[b] += share * v
				}
			}
		}
	}
	if second { // at the same station it is less likely to connect
		lost := w.together
		for b, price := range w.price {
			lost[b] = -price * s.giveUp
		}
		for d, lose := range s.lose {
			lo, hi := w.row(q.rest, i, d), w.row(q.rest, i, d+1)
			for b := range lost {
				lost[b] += lose * (hi[b] - lo[b])
			}
		}
		for b, v := range lost {
			row[b] = max(row[b], v)
		}
	}
	return row
}

// greatest finds G under one belief: it works out every second call that may be the best
// at some level.
func (q *bound) greatest(w *pass, i, θ int) {
	best, in, lowest := q.best[θ], q.bestIn[θ], max(w.floor, slices.Min(w.onward))
	clear(best)
	clear(in)
	clear(q.tried[θ])
	rest := w.row(q.rest, i, θ)
	for _, x := range q.here.live[θ] {
		second := q.here.second[θ][x*zones:][:zones]
		able := false
		for z, most := range second {
			able = able || most > in[2*z]+tie
		}
		if !able || !exceeds(q.byLevel(w, x, i, θ, true), best, lowest) {
			continue
		}
		q.tried[θ][x] = true
		for k := range w.giveUps {
			a := w.anotherCall(x, k, i, θ)
			for b := lowest; b < len(best); b++ {
				best[b] = max(best[b], a.both[b]-rest[b], a.failed[b]-rest[b])
			}
		}
		for z := range zones {
			in[2*z], in[2*z+1] = math.Inf(1), 0
		}
		for b := lowest; b < len(best); b++ {
			z := q.zone[b]
			in[2*z], in[2*z+1] = min(in[2*z], best[b]), max(in[2*z+1], best[b])
		}
	}
}

// exceeds says whether a row lies above another at some level from lowest up.
func exceeds(row, other []float64, lowest int) bool {
	for b := lowest; b < len(row); b++ {
		if row[b] > other[b]+tie {
			return true
		}
	}
	return false
}

// promises says whether calling channel x first could be worth more than value holds, at
// any level that allows it. margin is the least that value stands above resting, by zone.
func (q *bound) promises(w *pass, e *extremes, x, i, θ int, value, margin []float64) bool {
	o, wake := &w.options[x][θ], w.p.Wake[w.t]
	first, able := e.first[θ][x*zones:][:zones], false
	no, up := q.bestIn[o.no], q.bestIn[o.no]
	if o.noW > 0 {
		up = q.bestIn[o.no+1]
	}
	for z, v := range first {
		more := no[2*z+1] + o.noW*(up[2*z+1]-no[2*z+1])
		able = able || v+(1-o.p)*more-wake > margin[z]+tie
	}
	if !able {
		return false
	}
	rest, after, higher := w.row(q.rest, i, θ), q.best[o.no], q.best[o.no]
	if o.noW > 0 {
		higher = q.best[o.no+1]
	}
	for b, v := range q.byLevel(w, x, i, θ, false)[w.floor:] {
		b += w.floor
		if rest[b]+v+(1-o.p)*(after[b]+o.noW*(higher[b]-after[b]))-wake > value[b]+tie {
			return true
		}
	}
	return false
}

// stands says whether a first call whose worth if it connects is known may still be worth
// more than value holds, at any level from lowest up.
func (q *bound) stands(w *pass, x, i, θ int, won, value []float64, lowest int) bool {
	o, ef := &w.options[x][θ], q.sides[x][θ].giveUp
	rest, best := w.row(q.rest, i, o.no), q.best[o.no]
	up, higher := rest, best
	if o.noW > 0 {
		up, higher = w.row(q.rest, i, o.no+1), q.best[o.no+1]
	}
	for b := lowest; b < len(won); b++ {
		after := rest[b] + best[b]
		after += o.noW * (up[b] + higher[b] - after)
		if o.p*won[b]+(1-o.p)*(after-w.price[b]*ef)-w.p.Wake[w.t] > value[b]+tie {
			return true
		}
	}
	return false
}

// hopeless says whether no channel that is not live, called first, could be worth more
// than what is in hand, whatever is called after it.
func (q *bound) hopeless(w *pass, θ int, margin []float64) bool {
	for z, v := range q.here.idle[θ] {
		more := 0.0
		for tilt := range q.upTo[θ] + 1 {
			more = max(more, q.bestIn[tilt][2*z+1])
		}
		if v+more-w.p.Wake[w.t] > margin[z]+tie {
			return false
		}
	}
	return true
}

// firsts weighs every first call that could be worth more than what is in hand.
func (q *bound) firsts(w *pass, i, θ int, value []float64, action []Action) {
	var margin [zones]float64
	rest := w.row(q.rest, i, θ)
	try := func(e *extremes, x int) {
		if q.promises(w, e, x, i, θ, value, margin[:]) {
			w.call(x, i, θ, value, action)
			q.margins(margin[:], value, rest, w.floor)
		}
	}
	for _, x := range q.here.live[θ] {
		try(&q.here, x)
	}
	if q.hopeless(w, θ, margin[:]) {
		return
	}
	// In order, and the live ones again: they promise no more by now.
	for x := range w.order {
		try(&q.everywhere, x)
	}
}

// margins is the least that worth stands above what waiting gives, by zone, from lowest up.
func (q *bound) margins(margin, worth, waiting []float64, lowest int) {
	for z := range zones {
		margin[z] = math.Inf(1)
	}
	for b := lowest; b < len(worth); b++ {
		margin[q.zone[b]] = min(margin[q.zone[b]], worth[b]-waiting[b])
	}
}

// followers works out every second call that could be worth more than what is in hand
// after a failure of channel x.
func (q *bound) followers(w *pass, x, i, θ int, ef float64) {
	o := &w.options[x][θ]
	lowest := max(w.floor, w.onward[w.giveUp[x]])
	if lowest >= len(w.axis.level) {
		return
	}
	clear(w.mixed)
	w.add(q.rest, i, o.no, o.noW, 1, w.mixed)
	for b := lowest; b < len(w.waiting); b++ {
		w.waiting[b] = w.axis.read(w.mixed, b, -ef)
	}
	var margin [zones]float64
	q.margins(margin[:], w.after, w.waiting, lowest)
	up := o.no
	if o.noW > 0 {
		up++
	}
	try := func(y int) {
		no, more := nothingMore, nothingMore
		if q.here.lives[o.no][y] {
			no = q.here.second[o.no][y*zones:][:zones]
		}
		if q.here.lives[up][y] {
			more = q.here.second[up][y*zones:][:zones]
		}
		able := false
		for z, v := range no {
			able = able || v+o.noW*(more[z]-v) > margin[z]+tie
		}
		if !able || y == x {
			return
		}
		no, more = q.byLevel(w, y, i, o.no, true), q.byLevel(w, y, i, up, true)
		for b := lowest; b < len(no); b++ {
			if no[b]+o.noW*(more[b]-no[b]) > w.after[b]-w.waiting[b]+tie {
				w.follow(x, y, i, θ, ef)
				q.margins(margin[:], w.after, w.waiting, lowest)
				return
			}
		}
	}
	for _, y := range q.here.live[o.no] {
		if q.tried[o.no][y] {
			try(y)
		}
	}
	// A channel not tried is worth G at most; one that is not live, nothing.
	done := true
	for z := range zones {
		most := q.bestIn[o.no][2*z]
		most += o.noW * (q.bestIn[up][2*z] - most)
		done = done && most <= margin[z]+tie
	}
	if done {
		return
	}
	for _, y := range q.here.live[o.no] {
		if !q.tried[o.no][y] {
			try(y)
		}
	}
	if up == o.no {
		return
	}
	for _, y := range q.here.live[up] {
		if !q.here.lives[o.no][y] {
			try(y)
		}
	}
}
