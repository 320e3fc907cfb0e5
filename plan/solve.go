package plan

import (
	"math"
	"sort"

	"farhail/forecast"
)

// An Action is what to do in a slot.
type Action struct {
	Call     int32 // channel, −1 to rest
	Length   int8  // index of Minutes
	Fallback int32 // channel to call if nobody answers, −1 none
}

// Rest is to do nothing this slot.
var Rest = Action{Call: -1, Fallback: -1}

// A Policy is the best action in every state, and the value of every state.
type Policy struct {
	p    *Problem
	grid Grid

	levels []float64 // Wh
	mean   []float64 // mean z of each tilt
	belief [][forecast.States]float64
	need   []float64
	cum    []float64 // bytes of the first i items

	value  [][]float64 // [t][(i·levels + b)·tilts + θ], t = 0 … Slots
	action [][]Action
}

// candidates bounds the channels weighed in one slot: those of the greatest myopic
// value. Measured against no bound in docs/plan.md.
const candidates = 8

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
	n := s.states()
	s.value = make([][]float64, p.Slots+1)
	s.action = make([][]Action, p.Slots)
	s.value[p.Slots] = make([]float64, n)
	for t := p.Slots - 1; t >= 0; t-- {
		s.value[t] = make([]float64, n)
		s.action[t] = make([]Action, n)
		s.slot(t)
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

// slot fills the value and action of one slot from those of the next.
func (s *Policy) slot(t int) {
	p := s.p
	next, value, action := s.value[t+1], s.value[t], s.action[t]
	drift := p.Battery.Drift[t]
	nθ, nb, ni := len(s.mean), len(s.levels), len(p.Items)

	// Resting.
	rest := func(i int, level float64, θ int, θw float64) float64 {
		return s.look(next, i, level+drift, θ, θw)
	}
	for i := 0; i <= ni; i++ {
		for b := range nb {
			for θ := range nθ {
				at := s.at(i, b, θ)
				value[at], action[at] = rest(i, s.levels[b], θ, 0), Rest
			}
		}
	}
	if math.IsInf(p.Wake[t], 1) {
		return
	}
	var cand []int
	score := map[int]float64{}
	for c := range p.Channels {
		if cell := &p.Channels[c].Cells[t]; cell.Open {
			if v := s.myopic(t, c); v > 1e-6 {
				cand = append(cand, c)
				score[c] = v
			}
		}
	}
	sort.SliceStable(cand, func(a, b int) bool { return score[cand[a]] > score[cand[b]] })
	if len(cand) > candidates {
		cand = cand[:candidates]
	}
	if len(cand) == 0 {
		return
	}
	longest := p.Minutes[len(p.Minutes)-1]

	// The last call of a slot: value of calling c with so much less time, no fallback
	// after it. best and other hold, for each state, the best such call and the best of
	// another station than that one's.
	type second struct {
		v float64
		c int32
	}
	n := s.states()
	best, other := make([]second, n), make([]second, n)
	for at := range best {
		best[at] = second{math.Inf(-1), -1}
		other[at] = best[at]
	}
	options := make([][]option, len(cand)) // [candidate][θ]
	var g gain
	for x, c := range cand {
		options[x] = make([]option, nθ)
		for θ := range nθ {
			options[x][θ] = s.option(t, c, θ, p.Channels[c].Free)
		}
	}
	// call returns the value of connecting or not with an option from (i, level).
	call := func(o *option, g *gain, i int, level, failed float64) float64 {
		cost := p.Battery.price(level)
		es, ef := p.Draw*g.minutes/60, p.Draw*o.giveUp/60
		won := g.worth - cost*es
		for y := range g.n {
			won += g.w[y] * rest(g.to[y], level-es, o.yes, o.yesW)
		}
		return o.p*won + (1-o.p)*(failed-cost*ef)
	}
	allowed := func(level, minutes float64) bool {
		if p.Battery.Capacity == 0 {
			return true
		}
		return level-p.Draw*minutes/60 >= s.need[t]
	}
	for x, c := range cand {
		for θ := range nθ {
			o := &options[x][θ]
			left := longest - o.giveUp // whoever was tried first took about as long
			for i := range ni {
				s.through(&g, o, t, i, left)
				if g.worth == 0 {
					continue
				}
				for b := range nb {
					level := s.levels[b]
					if !allowed(level, left) {
						continue
					}
					ef := p.Draw * o.giveUp / 60
					v := call(o, &g, i, level, rest(i, level-ef, o.no, o.noW))
					at := s.at(i, b, θ)
					switch station := p.Channels[c].Station; {
					case v > best[at].v:
						if best[at].c >= 0 && p.Channels[best[at].c].Station != station {
							other[at] = best[at]
						}
						best[at] = second{v, int32(c)}
					case v > other[at].v && p.Channels[best[at].c].Station != station:
						other[at] = second{v, int32(c)}
					}
				}
			}
		}
	}
	// fallback reads the best second call of another station than st between grid points.
	fallback := func(i int, level float64, θ int, θw float64, st int) (float64, int32) {
		b, w := between(s.levels, level)
		v, c, weight := 0.0, int32(-1), -1.0
		for db := 0; db < 2; db++ {
			wb := 1 - w
			if db == 1 {
				wb = w
			}
			if wb == 0 {
				continue
			}
			for dθ := 0; dθ < 2; dθ++ {
				wθ := 1 - θw
				if dθ == 1 {
					wθ = θw
				}
				if wθ == 0 {
					continue
				}
				at := s.at(i, b+db, θ+dθ)
				e := best[at]
				if e.c >= 0 && p.Channels[e.c].Station == st {
					e = other[at]
				}
				if e.c < 0 || math.IsInf(e.v, -1) {
					return math.Inf(-1), -1
				}
				v += wb * wθ * e.v
				if wb*wθ > weight {
					weight, c = wb*wθ, e.c
				}
			}
		}
		return v, c
	}

	// The first call.
	for x, c := range cand {
		st := p.Channels[c].Station
		for θ := range nθ {
			o := &options[x][θ]
			for i := range ni {
				for l, minutes := range p.Minutes {
					if minutes <= o.setup {
						continue
					}
					s.through(&g, o, t, i, minutes)
					if g.worth == 0 {
						continue
					}
					// The same station on another channel: its presence is what the failure left.
					for b := range nb {
						level := s.levels[b]
						if !allowed(level, longest+o.giveUp) {
							continue
						}
						after := level - p.Draw*o.giveUp/60
						fail, fb := rest(i, after, o.no, o.noW), int32(-1)
						if v, who := fallback(i, after, o.no, o.noW, st); who >= 0 && v > fail {
							fail, fb = v, who
						}
						v := call(o, &g, i, level, fail) - p.Wake[t]
						if at := s.at(i, b, θ); v > value[at]+1e-9 {
							value[at], action[at] = v, Action{int32(c), int8(l), fb}
						}
					}
				}
			}
		}
	}
	s.sameStation(t, cand, options, call, rest, allowed)
}

// sameStation weighs, as fallback, another channel of the station just called, whose
// presence the failure has put in doubt.
func (s *Policy) sameStation(t int, cand []int, options [][]option,
	call func(*option, *gain, int, float64, float64) float64,
	rest func(int, float64, int, float64) float64, allowed func(float64, float64) bool) {
	p := s.p
	value, action := s.value[t], s.action[t]
	longest := p.Minutes[len(p.Minutes)-1]
	var g1, g2 gain
	for x, c := range cand {
		for y, c2 := range cand {
			if x == y || p.Channels[c].Station != p.Channels[c2].Station {
				continue
			}
			for θ := range s.mean {
				o := &options[x][θ]
				for i := range p.Items {
					for l, minutes := range p.Minutes {
						if minutes <= o.setup {
							continue
						}
						s.through(&g1, o, t, i, minutes)
						if g1.worth == 0 {
							continue
						}
						near := o.no
						if o.noW > 0.5 {
							near++
						}
						o2 := s.option(t, c2, near, o.freeOnFail)
						s.through(&g2, &o2, t, i, longest-o2.giveUp)
						if g2.worth == 0 {
							continue
						}
						for b := range s.levels {
							level := s.levels[b]
							if !allowed(level, longest+o.giveUp) {
								continue
							}
							after := level - p.Draw*o.giveUp/60
							last := call(&o2, &g2, i, after, rest(i, after-p.Draw*o2.giveUp/60, o2.no, o2.noW))
							v := call(o, &g1, i, level, last) - p.Wake[t]
							if at := s.at(i, b, θ); v > value[at]+1e-9 {
								value[at], action[at] = v, Action{int32(c), int8(l), int32(c2)}
							}
						}
					}
				}
			}
		}
	}
}

// Value is the worth of acting best from the start.
func (s *Policy) Value() float64 {
	θ, w := between(s.mean, meanZ(s.p.Prior))
	return s.look(s.value[0], 0, s.p.Battery.Now, θ, w)
}
