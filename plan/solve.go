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

	levels  []float64 // Wh
	mean    []float64 // mean z of each tilt
	belief  [][forecast.States]float64
	need    []float64
	cum     []float64 // bytes of the first i items
	perStep float64   // levels a Wh

	seen func(at int, c int, v float64) // told the worth of every action weighed; nil: nobody asks

	value  [][]float64 // [t][(i·levels + b)·tilts + θ], t = 0 … Slots
	action [][]Action
}

// candidates bounds the channels weighed in one slot: those of the greatest myopic
// value. Measured against no bound in docs/plan.md.
const candidates = 6

// Solve works the problem out by backward induction.
func Solve(p *Problem, g Grid) *Policy {
	s := &Policy{p: p, grid: g}
	if p.Battery.Capacity == 0 {
		s.levels = []float64{0}
	} else {
		for i := range g.Levels {
			s.levels = append(s.levels, p.Battery.Reserve+(p.Battery.Capacity-p.Battery.Reserve)*float64(i)/float64(g.Levels-1))
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
	return sum * s.p.Channels[c].Free
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
	options [][]option  // [candidate][θ]
	cells   int         // (items+1) · levels
	yes, no [][]float64 // [candidate·tilts + θ]: value of the next slot under the belief after connecting, after failing
	won     [][]float64 // a second call that connects
	failed  [][]float64 // a second call that does not
	price   []float64   // per level
}

func (s *Policy) newPass() *pass {
	n := candidates * len(s.mean)
	w := &pass{cells: (len(s.p.Items) + 1) * len(s.levels)}
	for range candidates {
		w.options = append(w.options, make([]option, len(s.mean)))
	}
	for _, t := range []*[][]float64{&w.yes, &w.no, &w.won, &w.failed} {
		for range n {
			*t = append(*t, make([]float64, w.cells))
		}
	}
	for _, l := range s.levels {
		w.price = append(w.price, s.p.Battery.price(l))
	}
	return w
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

// read looks a table up at item i and a level of the battery between grid points.
func (s *Policy) read(table []float64, i int, level float64) float64 {
	nb := len(s.levels)
	if nb == 1 {
		return table[i]
	}
	x := (level - s.levels[0]) * s.perStep
	if x <= 0 {
		return table[i*nb]
	}
	b := int(x)
	if b >= nb-1 {
		return table[i*nb+nb-1]
	}
	v := table[i*nb+b]
	return v + (x-float64(b))*(table[i*nb+b+1]-v)
}

// candidatesOf are the channels weighed in a slot, the best myopically first.
func (s *Policy) candidatesOf(t int, cand []int) []int {
	type scored struct {
		c int
		v float64
	}
	var all []scored
	for c := range s.p.Channels {
		if s.p.Channels[c].Cells[t].Open {
			if v := s.myopic(t, c); v > 1e-6 {
				all = append(all, scored{c, v})
			}
		}
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].v > all[b].v })
	for _, x := range all[:min(len(all), candidates)] {
		cand = append(cand, x.c)
	}
	return cand
}

// slot fills the value and action of one slot from those of the next.
func (s *Policy) slot(t int, w *pass) {
	p := s.p
	next, value, action := s.value[t+1], s.value[t], s.action[t]
	drift := p.Battery.Drift[t]
	nθ, nb, ni := len(s.mean), len(s.levels), len(p.Items)

	// Resting.
	for i := 0; i <= ni; i++ {
		for b := range nb {
			for θ := range nθ {
				at := s.at(i, b, θ)
				value[at], action[at] = s.look(next, i, s.levels[b]+drift, θ, 0), Rest
			}
		}
	}
	if math.IsInf(p.Wake[t], 1) {
		return
	}
	cand := s.candidatesOf(t, nil)
	longest := p.Minutes[len(p.Minutes)-1]
	for x, c := range cand {
		for θ := range nθ {
			o := &w.options[x][θ]
			*o = s.option(t, c, θ, p.Channels[c].Free)
			s.lay(w.yes[x*nθ+θ], next, o.yes, o.yesW)
			s.lay(w.no[x*nθ+θ], next, o.no, o.noW)
			s.second(w, t, x*nθ+θ, o, longest-o.giveUp)
		}
	}
	var g gain
	after := make([]float64, nb)
	choice := make([]int32, nb)
	for x, c := range cand {
		for θ := range nθ {
			o := &w.options[x][θ]
			yes := w.yes[x*nθ+θ]
			ef := p.Draw * o.giveUp / 60
			for i := range ni {
				known := false
				for l, minutes := range p.Minutes {
					if minutes <= o.setup {
						continue
					}
					s.through(&g, o, t, i, minutes)
					if g.worth == 0 {
						continue
					}
					if !known {
						s.afterFailure(w, t, cand, x, θ, i, after, choice)
						known = true
					}
					es := p.Draw * g.minutes / 60
					for b, level := range s.levels {
						if p.Battery.Capacity > 0 && level-p.Draw*(longest+o.giveUp)/60 < s.need[t] {
							continue
						}
						v := g.worth - w.price[b]*es
						for y := range g.n {
							v += g.w[y] * s.read(yes, g.to[y], level-es+drift)
						}
						v = o.p*v + (1-o.p)*(after[b]-w.price[b]*ef) - p.Wake[t]
						at := s.at(i, b, θ)
						if s.seen != nil {
							s.seen(at, c, v)
						}
						if v > value[at]+1e-9 {
							value[at], action[at] = v, Action{int32(c), int8(l), choice[b]}
						}
					}
				}
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

// second fills what a call without a fallback after it is worth, connected or not, from
// every place in queue and battery; no worth where it delivers nothing.
func (s *Policy) second(w *pass, t, k int, o *option, left float64) {
	p, drift, nb := s.p, s.p.Battery.Drift[t], len(s.levels)
	var g gain
	ef := p.Draw * o.giveUp / 60
	for i := range len(p.Items) {
		s.through(&g, o, t, i, left)
		es := p.Draw * g.minutes / 60
		for b, level := range s.levels {
			at := i*nb + b
			if g.worth == 0 || p.Battery.Capacity > 0 && level-p.Draw*left/60 < s.need[t] {
				w.won[k][at], w.failed[k][at] = math.Inf(-1), math.Inf(-1)
				continue
			}
			v := g.worth - w.price[b]*es
			for y := range g.n {
				v += g.w[y] * s.read(w.yes[k], g.to[y], level-es+drift)
			}
			w.won[k][at] = v
			w.failed[k][at] = s.read(w.no[k], i, level-ef+drift) - w.price[b]*ef
		}
	}
}

// afterFailure fills, for every level, the best that is left when candidate x got no
// answer: to wait for the next slot, or to call another channel. A channel of the same
// station has only the presence the failure left it.
func (s *Policy) afterFailure(w *pass, t int, cand []int, x, θ, i int, after []float64, choice []int32) {
	p, nθ, nb := s.p, len(s.mean), len(s.levels)
	o := &w.options[x][θ]
	drift := p.Battery.Drift[t]
	ef := p.Draw * o.giveUp / 60
	station := p.Channels[cand[x]].Station
	for b, level := range s.levels {
		after[b], choice[b] = s.read(w.no[x*nθ+θ], i, level-ef+drift), -1
		// level after the failed call, between grid points lb and lb+1
		lb, lw := 0, 0.0
		if nb > 1 {
			f := max((level-ef-s.levels[0])*s.perStep, 0)
			lb = min(int(f), nb-2)
			lw = f - float64(lb)
		}
		at := i*nb + lb
		for y, c2 := range cand {
			if y == x {
				continue
			}
			v := 0.0
			for dθ, wθ := range [2]float64{1 - o.noW, o.noW} {
				if wθ == 0 {
					continue
				}
				k := y*nθ + o.no + dθ
				o2 := &w.options[y][o.no+dθ]
				p2 := o2.p
				if p.Channels[c2].Station == station {
					p2 = o2.p / p.Channels[c2].Free * o.freeOnFail
				}
				u := p2*w.won[k][at] + (1-p2)*w.failed[k][at]
				if lw > 0 {
					u += lw * (p2*w.won[k][at+1] + (1-p2)*w.failed[k][at+1] - u)
				}
				v += wθ * u
			}
			if v > after[b]+1e-9 {
				after[b], choice[b] = v, int32(c2)
			}
		}
	}
}

// Weigh returns what resting and each channel called first would be worth in a slot,
// acting best afterwards, at the grid point nearest to a state.
func (s *Policy) Weigh(t, i int, level float64, π [forecast.States]float64) (rest float64, calls map[int]float64) {
	θ, θw := between(s.mean, meanZ(π))
	b, bw := between(s.levels, level)
	if bw > 0.5 {
		b++
	}
	if θw > 0.5 {
		θ++
	}
	calls = map[int]float64{}
	want := s.at(i, b, θ)
	rest = s.look(s.value[t+1], i, s.levels[b]+s.p.Battery.Drift[t], θ, 0)
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
	return s.look(s.value[0], 0, s.p.Battery.Now, θ, w)
}
