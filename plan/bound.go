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
// a table for each place and tilt, rates rounded up to a quarter of an octave. A call
// without a fallback is worth above resting at most
//
//	p Σ_r weight(r) F(r, b) + I(b) − (1 − p) price(b) e_fail ,
//
// I(b) = p V(yes) + (1 − p) V(no) − V(θ) being what the news is worth. A fallback adds at
// most (1 − p) G(b), G the most a second call is worth above waiting.
//
// The sum is taken first with the greatest F over all levels: of all places, of a block of
// places, of the place; then level by level. Most channels fall early.
type bound struct {
	rest     []float64      // V, by at(i, b, θ)
	most     [][][]float64  // by length and queue: the greatest w_j + V(j, b − e) of the j up to one along it, by at(j, b, θ)
	cheapest float64        // price of a Wh at the highest level
	rates    []float64      // in use in the slot, a minute's bytes
	number   []int16        // of a rate in quarters of an octave, from the least; −1: not in use
	used     []bool         // by queue · rates + rate: its channels have it
	calls    []span         // the lengths a call may have; the last is that of a second call
	setup    float64        // the shortest
	steps    [][cases]int16 // by place in order: the rate of each case
	sides    [][]side       // by place in order and tilt
	upTo     []int          // by tilt: the highest that a failure leads to

	table [][]float64 // by tilt: F, by ((place · queues + queue) · rates + rate) · levels + b
	peaks [][]float64 // by tilt: its greatest over the levels, by (place · queues + queue) · rates + rate
	ways  []carried   // of a queue, by (item · rates + rate) · lengths + length: where the rate gets

	block                    int      // of places looked at
	everywhere, nearby, here extremes // of all places, of the block, of the place looked at

	rows   [][]float64 // by tilt: bounds by level, by place in order · levels + b
	filled [][]bool    // by tilt and place in order: rows has them
	best   [][]float64 // by tilt: G, by level
	bestIn []float64   // by tilt: its most
	tried  [][]bool    // by tilt and place in order: a second call worked out to find it
}

// block is how many places are looked at together.
const block = 8

// extremes are what a bound over all levels rests on, and what comes of it.
type extremes struct {
	peak  [][]float64  // by tilt: the greatest F, by queue · rates + rate
	gap   [][2]float64 // by d: least and most of V under tilt d+1 above that under d
	live  [][]int      // by tilt: places in order of channels with a bound above 0
	lives [][]bool     // the same by tilt and place in order
	idle  []float64    // by tilt: the greatest first of those that are not
	first [][]float64  // by tilt and place in order: bound of a call without fallback
	lost  [][]float64  // the same of a failure alone
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

// carried is where a rate gets in a span, and the least energy.
type carried struct {
	j  int
	wh float64
}

// Rates from 2^−8 bytes a minute to 2^32, four to the octave.
const perOctave, lowestRate, rateSteps = 4, -8 * perOctave, 40*perOctave + 1

func newBound(s *Policy) bound {
	nθ, nb := len(s.mean), len(s.axis.level)
	q := bound{rest: make([]float64, s.states()), number: make([]int16, rateSteps),
		upTo: make([]int, nθ), table: make([][]float64, nθ), peaks: make([][]float64, nθ),
		rows: make([][]float64, nθ), filled: make([][]bool, nθ), tried: make([][]bool, nθ)}
	for range len(s.p.Minutes) + 1 {
		var most [][]float64
		for range s.queues {
			most = append(most, make([]float64, s.states()))
		}
		q.most = append(q.most, most)
	}
	for range nθ {
		q.best, q.bestIn = append(q.best, make([]float64, nb)), append(q.bestIn, 0)
	}
	for _, x := range []*extremes{&q.everywhere, &q.nearby, &q.here} {
		x.peak, x.first, x.lost, x.idle = make([][]float64, nθ), make([][]float64, nθ), make([][]float64, nθ), make([]float64, nθ)
		x.live, x.lives = make([][]int, nθ), make([][]bool, nθ)
		x.gap = make([][2]float64, nθ-1)
	}
	return q
}

// slot prepares what holds in the whole slot. value holds what resting is worth.
func (q *bound) slot(w *pass, value []float64) {
	copy(q.rest, value)
	p, nθ := w.p, len(w.mean)
	q.cheapest = w.price[len(w.price)-1]
	q.calls = q.calls[:0]
	for _, m := range p.Minutes {
		q.calls = append(q.calls, span{m, m})
	}
	q.calls = append(q.calls, w.lefts[w.soonest])
	for n, l := range q.calls {
		for m := range w.queues {
			q.furthest(w, q.most[n][m], m, p.Draw*l.least/60)
		}
	}
	q.enlist(w)
	q.fill(w)
	q.block = -1
	q.extremes(&q.everywhere, w, 0, w.places-1)
	for θ := range nθ {
		q.everywhere.live[θ], q.everywhere.idle[θ] = q.everywhere.live[θ][:0], math.Inf(-1)
		for x := range w.order {
			q.look(&q.everywhere, w, x, θ)
		}
	}
}

// enlist numbers the rates in use and takes the channels' sides.
func (q *bound) enlist(w *pass) {
	p, nθ := w.p, len(w.mean)
	q.setup = math.Inf(1)
	q.rates = q.rates[:0]
	for k := range q.number {
		q.number[k] = -1
	}
	clear(q.upTo)
	for x, c := range w.order {
		if x == len(q.sides) {
			q.sides, q.steps = append(q.sides, make([]side, nθ)), append(q.steps, [cases]int16{})
			for θ := range nθ {
				q.sides[x][θ].turn, q.sides[x][θ].lose = make([]float64, nθ-1), make([]float64, nθ-1)
				q.filled[θ], q.tried[θ] = append(q.filled[θ], false), append(q.tried[θ], false)
				q.rows[θ] = append(q.rows[θ], make([]float64, len(w.price))...)
			}
			q.everywhere.grow()
			q.nearby.grow()
			q.here.grow()
		}
		q.setup = min(q.setup, p.Channels[c].Cells[w.t].Setup)
		q.steps[x] = stepsOf(&p.Channels[c].Cells[w.t])
		for _, k := range q.steps[x] {
			q.number[k] = 0
		}
	}
	for k, used := range q.number {
		if used == 0 {
			q.number[k] = int16(len(q.rates))
			q.rates = append(q.rates, math.Exp2(float64(k+lowestRate)/perOctave)*(1+1e-9))
		}
	}
	q.used = append(q.used[:0], make([]bool, len(w.queues)*len(q.rates))...)
	for x, c := range w.order {
		for k := range q.steps[x] {
			q.steps[x][k] = q.number[q.steps[x][k]]
			q.used[p.Channels[c].Queue*len(q.rates)+int(q.steps[x][k])] = true
		}
		for θ := range nθ {
			o := &w.options[x][θ]
			q.sides[x][θ].of(o, &q.steps[x], θ, p.Draw*p.Channels[c].Cells[w.t].GiveUp/60)
			q.upTo[θ] = max(q.upTo[θ], o.no)
			if o.noW > 0 {
				q.upTo[θ] = max(q.upTo[θ], o.no+1)
			}
		}
	}
}

// furthest fills the greatest worth of the places along a queue up to each, a call's energy
// taken out of the battery; of the energy of a call that empties the queue nothing is known.
func (q *bound) furthest(w *pass, table []float64, m int, wh float64) {
	line := &w.queues[m]
	for θ := range w.mean {
		for j := range w.places {
			i := line.along(j)
			from, to, spent := w.row(w.value[w.t+1], j, θ), w.row(table, j, θ), wh
			if i == line.n {
				spent = 0
			}
			for b := range to {
				to[b] = w.worth[m][i] + w.axis.read(from, b, w.drift-spent)
			}
			if i > 0 {
				for b, v := range w.row(table, j-line.stride, θ) {
					to[b] = max(to[b], v)
				}
			}
		}
	}
}

// grow makes room for one more channel.
func (e *extremes) grow() {
	for θ := range e.first {
		e.lives[θ] = append(e.lives[θ], false)
		e.first[θ], e.lost[θ] = append(e.first[θ], 0), append(e.lost[θ], 0)
	}
}

// stepsOf are the rates of a cell's cases, rounded up to a step.
func stepsOf(cell *forecast.Cell) (steps [cases]int16) {
	n := 0
	for _, rates := range cell.Rate {
		for _, r := range rates {
			if r > 0 {
				steps[n] = int16(min(max(int(math.Ceil(perOctave*math.Log2(r)-1e-9))-lowestRate, 0), rateSteps-1))
			}
			n++
		}
	}
	return steps
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
		s.lose[d] = past(d, o.no, o.noW) - here
		s.turn[d] = o.p*(past(d, o.yes, o.yesW)-here) + (1-o.p)*s.lose[d]
	}
}

// past is the weight of a belief between tilts θ and θ+1 beyond the gap from d to d+1.
func past(d, θ int, w float64) float64 {
	switch {
	case θ > d:
		return 1
	case θ == d:
		return w
	}
	return 0
}

// fill fills F at every place, for every queue and rate.
func (q *bound) fill(w *pass) {
	nb, nr, nq := len(w.price), len(q.rates), len(w.queues)
	for θ := range q.peaks {
		n := (w.places - 1) * nq * nr
		q.table[θ], q.peaks[θ] = slices.Grow(q.table[θ][:0], n*nb)[:n*nb], slices.Grow(q.peaks[θ][:0], n)[:n]
	}
	nl := len(q.calls)
	for m := range w.queues {
		line := &w.queues[m]
		q.ways = slices.Grow(q.ways[:0], (line.n+1)*nr*nl)[:(line.n+1)*nr*nl]
		for i := range line.n {
			for r, rate := range q.rates {
				for n, l := range q.calls {
					at := (i*nr+r)*nl + n
					j := i
					if i > 0 {
						j = max(i, q.ways[at-nr*nl].j) // no nearer than from the item before
					}
					for reach := line.cum[i] + rate*(l.most-q.setup); j < line.n && line.cum[j+1] <= reach; {
						j++
					}
					used := l.least
					if j == line.n {
						used = min(q.setup+(line.cum[line.n]-line.cum[i])/rate, l.least)
					}
					q.ways[at] = carried{j, w.p.Draw * used / 60}
				}
			}
		}
		for place := range w.places - 1 {
			i, before := line.along(place), -1
			idle := i == line.n || w.beyond(w.t, place) != place
			for r := range q.rates {
				if !q.used[m*nr+r] {
					continue
				}
				row := (place*nq+m)*nr + r
				if idle { // nothing left for it to carry, or never looked at
					for θ := range q.peaks {
						q.peaks[θ][row] = none
						for b := range nb {
							q.table[θ][row*nb+b] = none
						}
					}
					continue
				}
				ways := q.ways[(i*nr+r)*nl : (i*nr+r+1)*nl]
				same := before
				before = r
				if same >= 0 && slices.Equal(ways, q.ways[(i*nr+same)*nl:(i*nr+same+1)*nl]) {
					from := row - r + same
					for θ := range q.peaks {
						q.peaks[θ][row] = q.peaks[θ][from]
						copy(q.table[θ][row*nb:(row+1)*nb], q.table[θ][from*nb:(from+1)*nb])
					}
					continue
				}
				for θ := range q.peaks {
					to, rest := q.table[θ][row*nb:(row+1)*nb], w.row(q.rest, place, θ)
					for n, c := range ways {
						if n > 0 && c.j == ways[n-1].j && c.wh >= ways[n-1].wh && q.calls[n].least >= q.calls[n-1].least {
							continue // no further in more time
						}
						for b, v := range w.row(q.most[n][m], place+(c.j-i)*line.stride, θ) {
							if v -= w.worth[m][i] + rest[b] + w.price[b]*c.wh; n == 0 || v > to[b] {
								to[b] = v
							}
						}
					}
					q.peaks[θ][row] = slices.Max(to)
				}
			}
		}
	}
}

// none is the gain of what cannot be.
const none = -1e300

// extremes finds what a bound over the places from i to before end rests on.
func (q *bound) extremes(e *extremes, w *pass, i, end int) {
	n := len(q.rates) * len(w.queues)
	for θ, peaks := range q.peaks {
		e.peak[θ] = append(e.peak[θ][:0], peaks[i*n:(i+1)*n]...)
		for at := (i + 1) * n; at < end*n; at += n {
			for k, v := range peaks[at : at+n] {
				if v > e.peak[θ][k] {
					e.peak[θ][k] = v
				}
			}
		}
	}
	for d := range e.gap {
		least, most := math.Inf(1), math.Inf(-1)
		for i := i; i < end; i++ {
			lo, hi := w.row(q.rest, i, d), w.row(q.rest, i, d+1)
			for b, v := range lo {
				least, most = min(least, hi[b]-v), max(most, hi[b]-v)
			}
		}
		e.gap[d] = [2]float64{least, most}
	}
}

// look fills a channel's bounds over all levels, and puts it among the live or the idle.
func (q *bound) look(e *extremes, w *pass, x, θ int) {
	o, s := &w.options[x][θ], &q.sides[x][θ]
	from := w.p.Channels[w.order[x]].Queue * len(q.rates)
	g := s.sum(e.peak[o.yes][from:])
	if o.yesW > 0 {
		g += o.yesW * (s.sum(e.peak[o.yes+1][from:]) - g)
	}
	g -= q.cheapest * s.cost
	lost := -q.cheapest * s.giveUp
	for d, turn := range s.turn {
		g += across(turn, e.gap[d])
		lost += across(s.lose[d], e.gap[d])
	}
	e.first[θ][x], e.lost[θ][x] = g, lost
	if e.second(x, θ) > tie {
		e.live[θ], e.lives[θ][x] = append(e.live[θ], x), true
	} else {
		e.idle[θ] = max(e.idle[θ], g)
	}
}

// second is the bound of a second call, which at the same station is less likely to connect.
func (e *extremes) second(x, θ int) float64 { return max(e.first[θ][x], e.lost[θ][x]) }

// sum is p times the mean of a figure by rate.
func (s *side) sum(by []float64) (g float64) {
	for k, w := range s.weight[:s.n] {
		g += w * by[s.rate[k]]
	}
	return g
}

// across is the most that a shift of the belief's weight across a gap is worth.
func across(shift float64, gap [2]float64) float64 {
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
	if i/block != q.block {
		q.block = i / block
		q.extremes(&q.nearby, w, q.block*block, min((q.block+1)*block, w.places-1))
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

// byLevel is a channel's bound under a belief level by level, without a fallback.
func (q *bound) byLevel(w *pass, x, i, θ int) []float64 {
	nb := len(w.price)
	row := q.rows[θ][x*nb:][:nb]
	if q.filled[θ][x] {
		return row
	}
	q.filled[θ][x] = true
	o, s := &w.options[x][θ], &q.sides[x][θ]
	for b, price := range w.price {
		row[b] = -price * s.cost
	}
	for d, turn := range s.turn {
		if turn != 0 {
			lo, hi := w.row(q.rest, i, d), w.row(q.rest, i, d+1)
			for b := range row {
				row[b] += turn * (hi[b] - lo[b])
			}
		}
	}
	from := (i*len(w.queues) + w.p.Channels[w.order[x]].Queue) * len(q.rates)
	for k, weight := range s.weight[:s.n] {
		at := (from + int(s.rate[k])) * nb
		table := q.table[o.yes][at:][:len(row)]
		if o.yesW == 0 {
			for b, v := range table {
				row[b] += weight * v
			}
			continue
		}
		lo, hi := weight*(1-o.yesW), weight*o.yesW
		upper := q.table[o.yes+1][at:][:len(row)]
		for b, v := range table {
			row[b] += lo*v + hi*upper[b]
		}
	}
	return row
}
