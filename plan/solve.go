package plan

import (
	"math"
	"sort"

	"farhail/forecast"
)

// An Action is what to do in a slot.
type Action struct {
	Call     int32 // channel, −1 to rest, −2 to send the next message by the bearer that never fails
	Length   int8  // index of Minutes
	Fallback int32 // channel to call if nobody answers, −1 none
}

// Rest is to do nothing this slot; Bearer is to send the next message by the other
// bearer, which takes no time, and then to act again in the same slot.
var (
	Rest   = Action{Call: -1, Fallback: -1}
	Bearer = Action{Call: -2, Fallback: -1}
)

// A Policy is the best action in every state, and the value of every state.
type Policy struct {
	p    *Problem
	grid Grid

	levels  []float64 // of the battery against its course without calls, Wh, up to 0
	mean    []float64 // mean z of each tilt
	belief  [][forecast.States]float64
	need    []float64
	course  []float64 // per slot: the battery's level if nobody is called, Wh
	cum     []float64 // bytes of the first i items
	perStep float64   // levels a Wh

	seen func(at int, c int, v float64) // told the worth of every action weighed; nil: nobody asks

	value  [][]float64 // [t][(i·levels + b)·tilts + θ], t = 0 … Slots
	action [][]Action
}

// candidates bounds the channels weighed in one slot: those of the greatest myopic
// value: a heuristic. Against all channels a day lost 0.20 % of its value at most (docs/plan.md).
const candidates = 4

// Solve works the problem out by backward induction.
func Solve(p *Problem, g Grid) *Policy {
	s := &Policy{p: p, grid: g}
	if p.Battery.Capacity == 0 {
		s.levels = []float64{0}
		s.course = make([]float64, p.Slots+1)
	} else {
		b := &p.Battery
		s.course = b.course(p.Slots)
		for i := range g.Levels {
			s.levels = append(s.levels, -(b.Capacity-b.Reserve)*float64(g.Levels-1-i)/float64(g.Levels-1))
		}
	}
	for _, θ := range g.Tilts {
		π := p.tilted(θ)
		s.belief, s.mean = append(s.belief, π), append(s.mean, meanZ(π))
	}
	s.need = p.Battery.need(p.Slots)
	s.cum = make([]float64, len(p.Items)+1)
	for i, m := range p.Items {
		s.cum[i+1] = s.cum[i] + m.Bytes
	}
	if n := len(s.levels); n > 1 {
		s.perStep = float64(n-1) / (s.levels[n-1] - s.levels[0])
	}
	w := s.newPass()
	n := s.states()
	s.value = make([][]float64, p.Slots+1)
	s.action = make([][]Action, p.Slots)
	s.value[p.Slots] = make([]float64, n)
	for t := p.Slots - 1; t >= 0; t-- {
		s.value[t] = make([]float64, n)
		s.action[t] = make([]Action, n)
		s.slot(t, w)
		s.bearer(t)
	}
	return s
}

// lost is the charge a full battery does not take in a slot without calls: what a call
// spent comes back out of it.
func (s *Policy) lost(t int) float64 {
	if s.p.Battery.Capacity == 0 {
		return 0
	}
	return max(s.course[t]+s.p.Battery.Drift[t]-s.course[t+1], 0)
}

func (s *Policy) states() int { return (len(s.p.Items) + 1) * len(s.levels) * len(s.mean) }

func (s *Policy) at(i, b, θ int) int { return (i*len(s.levels)+b)*len(s.mean) + θ }

// between finds x on an ascending axis: index of the lower neighbour and the share of
// the upper; beyond the ends, the end.
func between(axis []float64, x float64) (int, float64) {
	n := len(axis)
	if n == 1 || x <= axis[0] {
		return 0, 0
	}
	if x >= axis[n-1] {
		return n - 2, 1
	}
	i := sort.SearchFloat64s(axis, x)
	if axis[i] == x {
		if i == n-1 {
			return n - 2, 1
		}
		return i, 0
	}
	return i - 1, (x - axis[i-1]) / (axis[i] - axis[i-1])
}

// look reads a table of one slot between grid points.
func (s *Policy) look(v []float64, i int, level float64, θ int, θw float64) float64 {
	b, w := between(s.levels, level)
	at := s.at(i, b, θ)
	x := mix(v, at, θw, len(s.mean))
	if w > 0 {
		x += w * (mix(v, at+len(s.mean), θw, len(s.mean)) - x)
	}
	return x
}

func mix(v []float64, at int, w float64, n int) float64 {
	if w == 0 || n == 1 {
		return v[at]
	}
	return v[at] + w*(v[at+1]-v[at])
}

// An option is one channel in one slot under one belief: everything but queue and
// battery.
type option struct {
	channel    int
	p          float64 // chance to connect, presence in
	yes, no    int     // belief afterwards
	yesW, noW  float64
	rate       [forecast.States * forecast.Nodes]float64
	weight     [forecast.States * forecast.Nodes]float64
	setup      float64
	giveUp     float64
	freeOnFail float64 // chance that the station is free although this try failed
}

func (s *Policy) option(t, c, θ int, free float64) (o option) {
	ch := &s.p.Channels[c]
	cell := &ch.Cells[t]
	π := s.belief[θ]
	o.channel, o.setup, o.giveUp = c, cell.Setup, cell.GiveUp
	won, q := update(π, cell.Connect)
	o.p = free * q
	var miss [forecast.States]float64
	for k, x := range cell.Connect {
		miss[k] = 1 - free*x
	}
	lost, _ := update(π, miss)
	o.yes, o.yesW = between(s.mean, meanZ(won))
	o.no, o.noW = between(s.mean, meanZ(lost))
	n := 0
	for k := range forecast.States {
		for j := range forecast.Nodes {
			o.rate[n], o.weight[n] = cell.Rate[k][j], won[k]*cell.Weight[k][j]
			n++
		}
	}
	if o.p < 1 {
		o.freeOnFail = free * (1 - q) / (1 - o.p)
	}
	return o
}

// myopic is what a call now would earn by itself: the order of candidates.
func (s *Policy) myopic(t, c int) float64 {
	cell := &s.p.Channels[c].Cells[t]
	sum := 0.0
	for k, w := range s.p.Prior {
		for j := range forecast.Nodes {
			sum += w * cell.Connect[k] * cell.Weight[k][j] * math.Sqrt(cell.Rate[k][j])
		}
	}
	return sum * s.p.Channels[c].free(t)
}

// delivered is how far along the queue a connected call gets in so many minutes, and
// the minutes it takes.
func (s *Policy) delivered(i int, rate, minutes float64) (j int, used float64) {
	last := len(s.p.Items)
	if minutes <= 0 {
		return i, 0
	}
	if rate*minutes >= s.cum[last]-s.cum[i] {
		return last, (s.cum[last] - s.cum[i]) / rate
	}
	reach := s.cum[i] + rate*minutes
	j = sort.Search(last-i, func(k int) bool { return s.cum[i+k+1] > reach }) + i
	return j, minutes
}

// A gain is what a call does from one place in the queue if it connects.
type gain struct {
	worth   float64 // earned
	minutes float64 // mean, connected
	to      [forecast.States * forecast.Nodes]int
	w       [forecast.States * forecast.Nodes]float64
	n       int
}

// through works out a connected call of an option from item i with so many minutes left.
func (s *Policy) through(g *gain, o *option, t, i int, minutes float64) {
	*g = gain{}
	for x, w := range o.weight {
		if w == 0 {
			continue
		}
		j, used := s.delivered(i, o.rate[x], minutes-o.setup)
		for m := i; m < j; m++ {
			g.worth += w * s.p.Items[m].Worth[t]
		}
		g.minutes += w * (o.setup + used)
		merged := false
		for y := range g.n {
			if g.to[y] == j {
				g.w[y] += w
				merged = true
				break
			}
		}
		if !merged {
			g.to[g.n], g.w[g.n] = j, w
			g.n++
		}
	}
}

// A pass is the memory one slot's work needs, reused from slot to slot. Tables over
// queue and battery are laid out [i·levels + b].
type pass struct {
	options [][]option // [candidate][θ]
	cells   int        // (items+1) · levels
	// By candidate·tilts + θ: value of the next slot under the belief after connecting
	// and after failing; and what a second call is worth if it connects or does not.
	yes, no, won, failed, both [][]float64

	lengths []reach   // [candidate·(lengths+1) + length]; the last is that of a second call
	price   []float64 // per level
	worth   []float64 // earned by the first i items if delivered in this slot
	after   []float64 // per level, scratch
	choice  []int32
	same    []float64 // second calls at the station that did not answer, by belief and level, scratch
	sum     []float64
}

const cases = forecast.States * forecast.Nodes

// A reach is how far one channel gets in so many minutes from every place in the queue:
// the same under every belief. Cases that end in the same place share a group.
type reach struct {
	minutes float64
	items   []reachItem
}

type reachItem struct {
	groups int
	to     [cases]int32   // by group: place in the queue
	group  [cases]uint8   // by case
	used   [cases]float64 // by case: minutes connected, setting up included
	worth  [cases]float64 // by case: earned
	any    bool           // some case delivers something
	alike  bool           // as the length before in every case: the shorter call stands
}

func (s *Policy) newPass() *pass {
	n := candidates * len(s.mean)
	w := &pass{cells: (len(s.p.Items) + 1) * len(s.levels), worth: make([]float64, len(s.p.Items)+1),
		after: make([]float64, len(s.levels)), choice: make([]int32, len(s.levels)), same: make([]float64, len(s.levels)), sum: make([]float64, len(s.levels))}
	for range candidates {
		w.options = append(w.options, make([]option, len(s.mean)))
		for range len(s.p.Minutes) + 1 {
			w.lengths = append(w.lengths, reach{items: make([]reachItem, len(s.p.Items))})
		}
	}
	for _, t := range []*[][]float64{&w.yes, &w.no, &w.won, &w.failed, &w.both} {
		for range n {
			*t = append(*t, make([]float64, w.cells))
		}
	}
	w.price = make([]float64, len(s.levels))
	return w
}

// measure fills a reach.
func (s *Policy) measure(r *reach, cell *forecast.Cell, minutes float64, worth []float64) {
	r.minutes = minutes
	var at [cases]int
	for i := range r.items {
		it := &r.items[i]
		it.groups, it.any = 0, false
		k := 0
		for st := range forecast.States {
			for n := range forecast.Nodes {
				j, used := max(at[k], i), minutes-cell.Setup
				if rate := cell.Rate[st][n]; used <= 0 {
					used = 0
				} else if last := len(r.items); rate*used >= s.cum[last]-s.cum[i] {
					j, used = last, (s.cum[last]-s.cum[i])/rate
				} else {
					for reach := s.cum[i] + rate*used; j < last && s.cum[j+1] <= reach; {
						j++
					}
				}
				at[k] = j
				it.used[k], it.worth[k] = cell.Setup+used, worth[j]-worth[i]
				it.any = it.any || j > i && it.worth[k] > 0
				y := 0
				for y < it.groups && it.to[y] != int32(j) {
					y++
				}
				if y == it.groups {
					it.to[y] = int32(j)
					it.groups++
				}
				it.group[k] = uint8(y)
				k++
			}
		}
	}
}

// lay fills a table over queue and battery with the next slot's value under a belief
// between two tilts.
func (s *Policy) lay(dst, next []float64, θ int, w float64) {
	n := len(s.mean)
	at := θ
	for k := range dst {
		dst[k] = mix(next, at, w, n)
		at += n
	}
}

// A shift is a change of the battery's level on its even grid: whole steps and the
// share of the next.
type shift struct {
	steps int
	share float64
}

func (s *Policy) shiftOf(wh float64) shift {
	if len(s.levels) == 1 {
		return shift{}
	}
	x := wh * s.perStep
	f := math.Floor(x)
	return shift{int(f), x - f}
}

// read looks up row i of a table at level b shifted.
func (s *Policy) read(row []float64, b int, by shift) float64 {
	k, last := b+by.steps, len(row)-1
	switch {
	case k < 0:
		return row[0]
	case k >= last:
		return row[last]
	}
	v := row[k]
	return v + by.share*(row[k+1]-v)
}

// candidatesOf are the channels weighed in a slot, the best myopically first.
func (s *Policy) candidatesOf(t int, cand []int) []int {
	var best [candidates]float64
	for c := range s.p.Channels {
		if !s.p.Channels[c].Cells[t].Open {
			continue
		}
		v := s.myopic(t, c)
		if v <= 1e-6 || len(cand) == candidates && v <= best[candidates-1] {
			continue
		}
		k := len(cand)
		if k < candidates {
			cand = append(cand, c)
		} else {
			k--
		}
		for ; k > 0 && best[k-1] < v; k-- {
			best[k], cand[k] = best[k-1], cand[k-1]
		}
		best[k], cand[k] = v, c
	}
	return cand
}

// slot fills the value and action of one slot from those of the next.
func (s *Policy) slot(t int, w *pass) {
	p := s.p
	next, value, action := s.value[t+1], s.value[t], s.action[t]
	drift := s.lost(t)
	nθ, nb, ni := len(s.mean), len(s.levels), len(p.Items)
	for b, l := range s.levels {
		w.price[b] = p.Battery.price(max(s.course[t]+l, p.Battery.Reserve))
	}

	// Resting.
	stay := s.shiftOf(drift)
	for i := 0; i <= ni; i++ {
		for b := range nb {
			for θ := range nθ {
				at := s.at(i, b, θ)
				value[at], action[at] = s.rest(next, at, b, stay), Rest
			}
		}
	}
	if math.IsInf(p.Wake[t], 1) || ni == 0 {
		return
	}
	for i, m := range p.Items {
		w.worth[i+1] = w.worth[i] + m.Worth[t]
	}
	cand := s.candidatesOf(t, nil)
	longest, nl := p.Minutes[len(p.Minutes)-1], len(p.Minutes)
	for x, c := range cand {
		cell := &p.Channels[c].Cells[t]
		for l, minutes := range p.Minutes {
			s.measure(&w.lengths[x*(nl+1)+l], cell, minutes, w.worth)
			if l > 0 {
				r, before := &w.lengths[x*(nl+1)+l], &w.lengths[x*(nl+1)+l-1]
				for i := range r.items {
					r.items[i].alike = before.minutes > cell.Setup && r.items[i].used == before.items[i].used && r.items[i].worth == before.items[i].worth
				}
			}
		}
		for θ := range nθ {
			o := &w.options[x][θ]
			*o = s.option(t, c, θ, p.Channels[c].free(t))
			s.lay(w.yes[x*nθ+θ], next, o.yes, o.yesW)
			s.lay(w.no[x*nθ+θ], next, o.no, o.noW)
		}
	}
	var g gain
	left := math.NaN() // minutes for a second call that the tables hold
	for x, c := range cand {
		if l := longest - p.Channels[c].Cells[t].GiveUp; l != left {
			left = l
			for y, c2 := range cand {
				r := &w.lengths[y*(nl+1)+nl]
				s.measure(r, &p.Channels[c2].Cells[t], left, w.worth)
				for θ := range nθ {
					s.second(w, t, y*nθ+θ, &w.options[y][θ], r)
				}
			}
		}
		for θ := range nθ {
			o := &w.options[x][θ]
			yes := w.yes[x*nθ+θ]
			ef := p.Draw * o.giveUp / 60
			for i := range ni {
				known := false
				for l := range p.Minutes {
					r := &w.lengths[x*(nl+1)+l]
					if !r.items[i].any || r.minutes <= o.setup || r.items[i].alike {
						continue
					}
					s.weigh(&g, o, &r.items[i])
					if !known {
						s.afterFailure(w, t, cand, x, θ, i)
						known = true
					}
					es := p.Draw * g.minutes / 60
					need := p.Draw * max(r.minutes, o.giveUp) / 60
					by := s.shiftOf(drift - es)
					s.blend(w.sum, yes, &g)
					for b, level := range s.levels {
						if p.Battery.Capacity > 0 && s.course[t]+level-need < s.need[t] {
							continue
						}
						v := g.worth - w.price[b]*es + s.read(w.sum, b, by)
						v = o.p*v + (1-o.p)*(w.after[b]-w.price[b]*ef) - p.Wake[t]
						at := s.at(i, b, θ)
						if s.seen != nil {
							s.seen(at, c, v)
						}
						if v > value[at]+1e-9 {
							value[at], action[at] = v, Action{int32(c), int8(l), w.choice[b]}
						}
					}
				}
			}
		}
	}
}

// rest reads the next slot's value at a state whose battery is shifted.
func (s *Policy) rest(next []float64, at, b int, by shift) float64 {
	n, last := len(s.mean), len(s.levels)-1
	switch k := b + by.steps; {
	case k < 0:
		return next[at-b*n]
	case k >= last:
		return next[at+(last-b)*n]
	}
	at += by.steps * n
	return next[at] + by.share*(next[at+n]-next[at])
}

// weigh turns a reach into a gain under a belief.
func (s *Policy) weigh(g *gain, o *option, it *reachItem) {
	g.worth, g.minutes, g.n = 0, 0, it.groups
	for y := range it.groups {
		g.to[y], g.w[y] = int(it.to[y]), 0
	}
	for k, w := range o.weight {
		g.worth += w * it.worth[k]
		g.minutes += w * it.used[k]
		g.w[it.group[k]] += w
	}
}

// blend is the mean of a table's rows over where a call gets.
func (s *Policy) blend(sum, table []float64, g *gain) {
	nb := len(sum)
	clear(sum)
	for y := range g.n {
		w := g.w[y]
		row := table[g.to[y]*nb:][:nb]
		for b := range sum {
			sum[b] += w * row[b]
		}
	}
}

// second fills what a call without a fallback after it is worth, connected or not, from
// every place in queue and battery; no worth where it delivers nothing.
func (s *Policy) second(w *pass, t, k int, o *option, r *reach) {
	p, drift, nb := s.p, s.lost(t), len(s.levels)
	var g gain
	ef := p.Draw * o.giveUp / 60
	need := p.Draw * max(r.minutes, o.giveUp) / 60
	byFail := s.shiftOf(drift - ef)
	for i := range p.Items {
		any := r.items[i].any && r.minutes > o.setup
		if any {
			s.weigh(&g, o, &r.items[i])
			s.blend(w.sum, w.yes[k], &g)
		}
		es := p.Draw * g.minutes / 60
		by := s.shiftOf(drift - es)
		for b, level := range s.levels {
			at := i*nb + b
			if !any || p.Battery.Capacity > 0 && s.course[t]+level-need < s.need[t] {
				w.won[k][at], w.failed[k][at], w.both[k][at] = math.Inf(-1), math.Inf(-1), math.Inf(-1)
				continue
			}
			v := g.worth - w.price[b]*es + s.read(w.sum, b, by)
			w.won[k][at] = v
			w.failed[k][at] = s.read(w.no[k][i*nb:i*nb+nb], b, byFail) - w.price[b]*ef
			w.both[k][at] = o.p*v + (1-o.p)*w.failed[k][at]
		}
	}
}

// afterFailure fills, for every level, the best that is left when candidate x got no
// answer: to wait for the next slot, or to call another channel. A channel of the same
// station has only the presence the failure left it.
func (s *Policy) afterFailure(w *pass, t int, cand []int, x, θ, i int) {
	p, nθ, nb := s.p, len(s.mean), len(s.levels)
	o := &w.options[x][θ]
	drift := s.lost(t)
	ef := p.Draw * o.giveUp / 60
	station := p.Channels[cand[x]].Station
	wait := s.shiftOf(drift - ef)
	for b := range s.levels {
		w.after[b], w.choice[b] = s.read(w.no[x*nθ+θ][i*nb:i*nb+nb], b, wait), -1
	}
	spent := s.shiftOf(-ef)
	for y, c2 := range cand {
		if y == x {
			continue
		}
		same := p.Channels[c2].Station == station
		row := w.same
		for d := range 2 {
			wd := o.noW
			if d == 0 {
				wd = 1 - wd
			}
			if wd == 0 {
				continue
			}
			k := y*nθ + o.no + d
			src := w.both[k][i*nb:][:len(row)]
			if same {
				won, failed := w.won[k][i*nb:][:nb], w.failed[k][i*nb:][:nb]
				p2 := w.options[y][o.no+d].p / p.Channels[c2].free(t) * o.freeOnFail
				src = w.sum
				for b := range src {
					src[b] = p2*won[b] + (1-p2)*failed[b]
				}
			}
			if d == 0 || o.noW == 1 {
				for b := range row {
					row[b] = wd * src[b]
				}
			} else {
				for b := range row {
					row[b] += wd * src[b]
				}
			}
		}
		for b := range s.levels {
			v := row[0]
			switch lb := b + spent.steps; {
			case lb >= nb-1:
				v = row[nb-1]
			case lb >= 0 && spent.share > 0:
				v = row[lb] + spent.share*(row[lb+1]-row[lb])
			case lb >= 0:
				v = row[lb]
			}
			if v > w.after[b]+1e-9 {
				w.after[b], w.choice[b] = v, int32(c2)
			}
		}
	}
}

// bearer weighs sending message after message by the other bearer before anything else
// is done in the slot.
func (s *Policy) bearer(t int) {
	if s.p.Wake[t] != 0 {
		return
	}
	value, action := s.value[t], s.action[t]
	for i := len(s.p.Items) - 1; i >= 0; i-- {
		m := &s.p.Items[i]
		if m.Bearer <= 0 || m.Worth[t] <= m.Bearer {
			continue
		}
		for b := range s.levels {
			for θ := range s.mean {
				v := m.Worth[t] - m.Bearer + value[s.at(i+1, b, θ)]
				if at := s.at(i, b, θ); v > value[at]+1e-9 {
					value[at], action[at] = v, Bearer
				}
			}
		}
	}
}

// Weigh returns what resting and each channel called first would be worth in a slot,
// acting best afterwards, at the grid point nearest to a state.
func (s *Policy) Weigh(t, i int, level float64, π [forecast.States]float64) (rest float64, calls map[int]float64) {
	θ, θw := between(s.mean, meanZ(π))
	b, bw := between(s.levels, level-s.course[t])
	if bw > 0.5 {
		b++
	}
	if θw > 0.5 {
		θ++
	}
	calls = map[int]float64{}
	want := s.at(i, b, θ)
	rest = s.look(s.value[t+1], i, s.levels[b]+s.lost(t), θ, 0)
	s.seen = func(at, c int, v float64) {
		if old, ok := calls[c]; at == want && (!ok || v > old) {
			calls[c] = v
		}
	}
	s.slot(t, s.newPass())
	s.bearer(t)
	s.seen = nil
	return rest, calls
}

// Value is the worth of acting best from the start.
func (s *Policy) Value() float64 {
	θ, w := between(s.mean, meanZ(s.p.Prior))
	return s.look(s.value[0], 0, 0, θ, w)
}
