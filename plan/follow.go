package plan

import (
	"farhail/forecast"
)

// A Step is one call of the likeliest path through a policy.
type Step struct {
	Slot     int
	Action   Action
	Place    int     // in the queues, at the start
	From, To int     // items that are delivered if it goes as expected: from one to before another
	Level    float64 // of the battery at the start, Wh
	Minutes  float64 // expected, this call alone
	Limit    float64 // at most
	Energy   float64 // expected, Wh, fallback in
	Connect  float64 // chance, presence in
	Bytes    float64 // expected if it connects
	// Given that the first call failed:
	FallbackConnect float64
	FallbackBytes   float64
	Takes           bool // the path goes on as if the call (or its fallback) got through
	Belief          [forecast.States]float64
}

// Follow walks the likeliest path: a call that connects, by itself or by its fallback,
// with at least even chances is taken to deliver the likeliest number of messages;
// otherwise it is taken to fail.
func (s *Policy) Follow() (steps []Step, levels []float64) {
	p := s.p
	i, level := 0, p.Battery.Now
	π := p.Prior
	for t := range p.Slots {
		levels = append(levels, level)
		i = s.beyond(t, i)
		θ, θw := between(s.mean, meanZ(π))
		a := s.best(t, i, level, θ, θw)
		for a.ByBearer() || a.Call == leave {
			q := &s.queues[a.Fallback]
			if a.Call == leave {
				i = s.beyond(t, i+q.stride)
				a = s.best(t, i, level, θ, θw)
				continue
			}
			from := q.first + q.along(i)
			steps = append(steps, Step{Slot: t, Action: a, Place: i, From: from, To: from + 1, Level: level, Connect: 1, Bytes: p.Items[from].Bytes, Takes: true, Belief: π})
			i = s.beyond(t, i+q.stride)
			a = s.best(t, i, level, θ, θw)
		}
		if a.Call < 0 {
			level = s.clamp(level + p.Battery.Drift[t])
			continue
		}
		st := s.step(t, a, i, level, π)
		p2 := (1 - st.Connect) * st.FallbackConnect
		st.Takes = st.Connect+p2 >= 0.5
		steps = append(steps, st)
		level = s.clamp(level - st.Energy + p.Battery.Drift[t])
		if st.Takes && st.To > st.From {
			i += (st.To - st.From) * s.queues[p.Items[st.From].Queue].stride
		}
		π = s.after(t, a, π, st.Connect >= 0.5, st.Takes)
	}
	return steps, append(levels, level)
}

func (s *Policy) clamp(level float64) float64 {
	if s.p.Battery.Capacity == 0 {
		return 0
	}
	return min(max(level, 0), s.p.Battery.Capacity)
}

// best is the action at the grid point nearest to a state.
func (s *Policy) best(t, i int, level float64, θ int, θw float64) Action {
	b, w := s.axis.find(level - s.course[t])
	low := b
	if w > 0.5 {
		b++
	}
	if θw > 0.5 {
		θ++
	}
	a := s.action[t][s.at(i, b, θ)]
	if !s.affords(t, level, a) {
		a = s.action[t][s.at(i, low, θ)]
	}
	return a
}

// affords says whether a level leaves what is needed after the worst of an action.
func (s *Policy) affords(t int, level float64, a Action) bool {
	p := s.p
	if p.Battery.Capacity == 0 || a.Call < 0 {
		return true
	}
	giveUp := p.Channels[a.Call].Cells[t].GiveUp
	worst := max(p.Minutes[a.Length], giveUp)
	if a.Fallback >= 0 {
		worst = max(worst, giveUp+max(p.Minutes[len(p.Minutes)-1]-giveUp, p.Channels[a.Fallback].Cells[t].GiveUp))
	}
	return level-p.Draw*worst/60 >= s.need[t]
}

// connected is what a channel called with a belief that need not lie on the grid may
// come to.
func (s *Policy) connected(g *gain, t, c, i int, minutes float64, π [forecast.States]float64, free float64) (o option) {
	s.option(&o, &s.p.Channels[c], t, π, free)
	q := &s.queues[s.p.Channels[c].Queue]
	worth := make([]float64, q.n+1)
	for m := range q.n {
		worth[m+1] = worth[m] + s.p.Items[q.first+m].Worth[t]
	}
	var r reach
	r.measure(q, &s.p.Channels[c].Cells[t], worth, i, minutes)
	o.weigh(g, &r)
	return o
}

func (s *Policy) step(t int, a Action, i int, level float64, π [forecast.States]float64) Step {
	p := s.p
	minutes := p.Minutes[a.Length]
	giveUp := p.Channels[a.Call].Cells[t].GiveUp
	var g gain
	o := s.connected(&g, t, int(a.Call), i, minutes, π, p.Channels[a.Call].free(t))
	st := Step{Slot: t, Action: a, Place: i, Level: level, Limit: minutes, Connect: o.p, Belief: π}
	st.Minutes = o.p*g.minutes + (1-o.p)*giveUp
	st.Energy = p.Draw * st.Minutes / 60
	st.From, st.To, st.Bytes = s.likeliest(&g, &s.queues[p.Channels[a.Call].Queue], i)
	if a.Fallback >= 0 {
		free := p.Channels[a.Fallback].free(t)
		if p.Channels[a.Fallback].Station == p.Channels[a.Call].Station {
			free = o.freeOnFail
		}
		var miss [forecast.States]float64
		for k, q := range p.Channels[a.Call].Cells[t].Connect {
			miss[k] = 1 - p.Channels[a.Call].free(t)*q
		}
		lost, _ := update(π, miss)
		var g2 gain
		f := s.connected(&g2, t, int(a.Fallback), i, p.Minutes[len(p.Minutes)-1]-giveUp, lost, free)
		st.FallbackConnect = f.p
		from, to, bytes := s.likeliest(&g2, &s.queues[p.Channels[a.Fallback].Queue], i)
		st.FallbackBytes = bytes
		if o.p < 0.5 {
			st.From, st.To = from, to
		}
		st.Energy += p.Draw / 60 * (1 - o.p) * (f.p*g2.minutes + (1-f.p)*p.Channels[a.Fallback].Cells[t].GiveUp)
	}
	return st
}

// likeliest are the items that a connected call most probably delivers, and the mean of
// its bytes.
func (s *Policy) likeliest(g *gain, q *queue, place int) (from, to int, bytes float64) {
	i := q.along(place)
	from, to = q.first+i, q.first+i
	best := -1.0
	for y := range g.n {
		j := q.along(g.to[y])
		bytes += g.w[y] * (q.cum[j] - q.cum[i])
		if g.w[y] > best {
			to, best = q.first+j, g.w[y]
		}
	}
	return from, to, bytes
}

// after is the belief once the slot's outcome is known: the first call connected, or
// only its fallback did, or nobody.
func (s *Policy) after(t int, a Action, π [forecast.States]float64, first, anybody bool) [forecast.States]float64 {
	for n, c := range [2]int32{a.Call, a.Fallback} {
		if c < 0 {
			break
		}
		l := s.p.Channels[c].Cells[t].Connect
		connected := first && n == 0 || anybody && n == 1
		if !connected {
			for k := range l {
				l[k] = 1 - s.p.Channels[c].free(t)*l[k]
			}
		}
		π, _ = update(π, l)
		if connected {
			break
		}
	}
	return π
}
