package plan

import (
	"sort"

	"farhail/forecast"
)

// An Action is what to do in a slot.
type Action struct {
	Call     int32 // channel, −1 to rest, −2 to send the next message by the bearer that never fails
	Length   int8  // index of Minutes
	Fallback int32 // channel to call if nobody answers, −1 none; with the bearer, the queue
}

// Rest is to do nothing this slot; Bearer is to send the next message by the other
// bearer, which takes no time, and then to act again in the same slot.
var (
	Rest   = Action{Call: -1, Fallback: -1}
	Bearer = Action{Call: -2}
)

// leave is to leave the next message of a queue out, for it stands in the way of better;
// Fallback is the queue. It takes no time.
const leave = -3

// ByBearer says whether an action sends a message by the bearer that never fails.
func (a Action) ByBearer() bool { return a.Call == Bearer.Call }

// A Policy is the best action in every state, and the value of every state.
type Policy struct {
	p *Problem

	axis   axis      // of the battery against its course without calls
	mean   []float64 // mean z of each tilt
	belief [][forecast.States]float64
	need   []float64
	course []float64 // per slot: the battery's level if nobody is called, Wh
	queues []queue
	ends   []int // by item: the first slot from which it earns nothing
	places int   // of all queues together

	value  [][]float64 // [t][at(i, b, θ)], t = 0 … Slots
	action [][]Action
}

// Solve works the problem out by backward induction.
func Solve(p *Problem, g Grid) *Policy { return solve(p, g, false) }

// solve weighs every call everywhere if told to: the same, and slow.
func solve(p *Problem, g Grid, every bool) *Policy {
	s := &Policy{p: p}
	if p.Battery.Capacity == 0 {
		s.axis = newAxis(0, 1)
		s.course = make([]float64, p.Slots+1)
	} else {
		b := &p.Battery
		s.course = b.course(p.Slots)
		s.axis = newAxis(b.Capacity-b.Reserve, g.Levels)
	}
	for _, θ := range g.Tilts {
		π := p.tilted(θ)
		s.belief, s.mean = append(s.belief, π), append(s.mean, meanZ(π))
	}
	s.need = p.Battery.need(p.Slots)
	s.line()
	w := s.newPass()
	w.every = every
	n := s.states()
	s.value = make([][]float64, p.Slots+1)
	s.action = make([][]Action, p.Slots)
	s.value[p.Slots] = make([]float64, n)
	for t := p.Slots - 1; t >= 0; t-- {
		s.value[t] = make([]float64, n)
		s.action[t] = make([]Action, n)
		w.slot(t)
		s.finish(t)
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

// A queue is some of the items. A place says how far along every queue the traffic has
// got; it moves by stride with each item of one.
type queue struct {
	first, n, stride int
	cum              []float64 // bytes of the first i items
}

// line finds the queues among the items.
func (s *Policy) line() {
	last := 0
	for _, c := range s.p.Channels {
		last = max(last, c.Queue)
	}
	for _, m := range s.p.Items {
		last = max(last, m.Queue)
	}
	s.places = 1
	next := 0
	for n := range last + 1 {
		q := queue{first: next, stride: s.places, cum: []float64{0}}
		for next < len(s.p.Items) && s.p.Items[next].Queue == n {
			q.cum = append(q.cum, q.cum[q.n]+s.p.Items[next].Bytes)
			q.n++
			next++
		}
		s.queues = append(s.queues, q)
		s.places *= q.n + 1
	}
	for _, m := range s.p.Items {
		end := 0
		for t, worth := range m.Worth[:s.p.Slots] {
			if worth > 0 {
				end = t + 1
			}
		}
		s.ends = append(s.ends, end)
	}
}

// beyond is the place behind what is past its deadline at the head of each queue.
func (s *Policy) beyond(t, place int) int {
	for n := range s.queues {
		q := &s.queues[n]
		for k := q.along(place); k < q.n && t >= s.ends[q.first+k]; k++ {
			place += q.stride
		}
	}
	return place
}

// along is how many of a queue's items have been delivered at a place.
func (q *queue) along(place int) int { return place / q.stride % (q.n + 1) }

func (s *Policy) states() int { return s.places * len(s.axis.level) * len(s.mean) }

// at is where a state stands in the tables: rows over the battery, one for every place in
// the queues, one block of them for every tilt.
func (s *Policy) at(i, b, θ int) int { return (θ*s.places+i)*len(s.axis.level) + b }

// row is the battery's row at a place in the queues and a tilt.
func (s *Policy) row(table []float64, i, θ int) []float64 {
	at := s.at(i, 0, θ)
	return table[at : at+len(s.axis.level) : at+len(s.axis.level)]
}

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
	b, w := s.axis.find(level)
	x := 0.0
	for dθ, wθ := range [2]float64{1 - θw, θw} {
		for db, wb := range [2]float64{1 - w, w} {
			if wθ*wb > 0 {
				x += wθ * wb * v[s.at(i, b+db, θ+dθ)]
			}
		}
	}
	return x
}

// An option is one channel in one slot under one belief: everything but queue and
// battery.
type option struct {
	p          float64 // chance to connect, presence in
	yes, no    int     // belief afterwards
	yesW, noW  float64
	weight     [cases]float64 // of each case once connected
	freeOnFail float64        // chance that the station is free although this try failed
}

// cases are the outcomes of a connected call: the nodes of every state.
const cases = forecast.States * forecast.Nodes

func (s *Policy) option(o *option, ch *Channel, t int, π [forecast.States]float64, free float64) {
	cell := &ch.Cells[t]
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
			o.weight[n] = won[k] * cell.Weight[k][j]
			n++
		}
	}
	o.freeOnFail = 0
	if o.p < 1 {
		o.freeOnFail = free * (1 - q) / (1 - o.p)
	}
}

// delivered is how far along the queue a connected call gets in so many minutes from its
// item i, and the minutes it takes.
func (q *queue) delivered(i int, rate, minutes float64) (j int, used float64) {
	last := q.n
	if minutes <= 0 {
		return i, 0
	}
	if rate*minutes >= q.cum[last]-q.cum[i] {
		return last, (q.cum[last] - q.cum[i]) / rate
	}
	reach := q.cum[i] + rate*minutes
	lo, hi := i, last // cum[lo] ≤ reach < cum[hi]
	for hi-lo > 1 {
		if m := (lo + hi) / 2; q.cum[m] <= reach {
			lo = m
		} else {
			hi = m
		}
	}
	return lo, minutes
}

// A reach is how far one channel gets in so many minutes from one place in the queue:
// the same under every belief. Cases that end in the same place share a group.
type reach struct {
	groups int
	to     [cases]int32   // by group: the place
	whole  int            // the group that empties the queue; −1: none does
	group  [cases]uint8   // by case
	used   [cases]float64 // by case: minutes connected, setting up included
	worth  [cases]float64 // by case: earned
	any    bool           // some case that may be delivers something
}

// measure fills a reach from a place. worth is what the queue's first items earn in the
// slot.
func (r *reach) measure(q *queue, cell *forecast.Cell, worth []float64, place int, minutes float64) {
	r.groups, r.any, r.whole = 0, false, -1
	i := q.along(place)
	k := 0
	for st := range forecast.States {
		for n := range forecast.Nodes {
			j, used := q.delivered(i, cell.Rate[st][n], minutes-cell.Setup)
			to := int32(place + (j-i)*q.stride)
			r.used[k], r.worth[k] = cell.Setup+used, worth[j]-worth[i]
			r.any = r.any || r.worth[k] > 0 && cell.Weight[st][n] > 0
			y := 0
			for y < r.groups && r.to[y] != to {
				y++
			}
			if y == r.groups {
				if r.to[y] = to; j == q.n {
					r.whole = y
				}
				r.groups++
			}
			r.group[k] = uint8(y)
			k++
		}
	}
}

// A gain is what a call does from one place in the queue if it connects.
type gain struct {
	worth   float64 // earned
	minutes float64 // mean, connected
	to      [cases]int
	w       [cases]float64
	n       int
}

// weigh turns a reach into a gain under a belief.
func (o *option) weigh(g *gain, r *reach) {
	g.worth, g.minutes, g.n = 0, 0, r.groups
	for y := range r.groups {
		g.to[y], g.w[y] = int(r.to[y]), 0
	}
	for k, w := range o.weight {
		g.worth += w * r.worth[k]
		g.minutes += w * r.used[k]
		g.w[r.group[k]] += w
	}
}

// finish weighs sending message after message by the other bearer before anything else is
// done in the slot, and gives places with something past its deadline at the head of a
// queue the values of those beyond.
func (s *Policy) finish(t int) {
	value, action := s.value[t], s.action[t]
	for i := s.places - 1; i >= 0; i-- {
		if next := s.beyond(t, i); next != i {
			for θ := range s.mean {
				copy(s.row(value, i, θ), s.row(value, next, θ))
				at, from := s.at(i, 0, θ), s.at(next, 0, θ)
				copy(action[at:at+len(s.axis.level)], action[from:from+len(s.axis.level)])
			}
			continue
		}
		for n := range s.queues {
			if s.p.Wake[t] != 0 {
				break
			}
			m, next := s.next(n, i)
			if m == nil || m.Bearer <= 0 || m.Worth[t] <= m.Bearer {
				continue
			}
			for b := range s.axis.level {
				for θ := range s.mean {
					v := m.Worth[t] - m.Bearer + value[s.at(next, b, θ)]
					if at := s.at(i, b, θ); v > value[at]+tie {
						value[at], action[at] = v, Action{Call: Bearer.Call, Fallback: int32(n)}
					}
				}
			}
		}
		for n := range s.queues {
			m, next := s.next(n, i)
			if m == nil {
				continue
			}
			for θ := range s.mean {
				at, from := s.at(i, 0, θ), s.at(next, 0, θ)
				for b := range s.axis.level {
					if v := value[from+b]; v > value[at+b]+tie {
						value[at+b], action[at+b] = v, Action{Call: leave, Fallback: int32(n)}
					}
				}
			}
		}
	}
}

// next is the next item of a queue at a place, and the place behind it; nil: none is left.
func (s *Policy) next(n, place int) (*Item, int) {
	q := &s.queues[n]
	i := q.along(place)
	if i == q.n {
		return nil, place
	}
	return &s.p.Items[q.first+i], place + q.stride
}

// Weigh returns what resting and each channel called first would be worth in a slot,
// acting best afterwards, at the grid point nearest to a state.
func (s *Policy) Weigh(t, i int, level float64, π [forecast.States]float64) (rest float64, calls map[int]float64) {
	θ, θw := between(s.mean, meanZ(π))
	b, bw := s.axis.find(level - s.course[t])
	if bw > 0.5 {
		b++
	}
	if θw > 0.5 {
		θ++
	}
	calls = map[int]float64{}
	rest = s.look(s.value[t+1], i, s.axis.level[b]+s.lost(t), θ, 0)
	w := s.newPass()
	w.every = true
	w.seen = func(θ2, i2, b2, c int, v float64) {
		if old, ok := calls[c]; θ2 == θ && i2 == i && b2 == b && (!ok || v > old) {
			calls[c] = v
		}
	}
	w.slot(t)
	return rest, calls
}

// Value is the worth of acting best from the start.
func (s *Policy) Value() float64 {
	θ, w := between(s.mean, meanZ(s.p.Prior))
	return s.look(s.value[0], 0, 0, θ, w)
}
