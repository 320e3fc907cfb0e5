package plan

import (
	"math"

	"farhail/forecast"
)

// A Problem is one or more queues and what may be done about them: each channel takes
// one of them. All energies in Wh.
type Problem struct {
	Slots    int
	Items    []Item    // queue after queue, each in the order it is sent
	Channels []Channel // that take it
	Wake     []float64 // per slot: what it costs to have somebody at the radio; +Inf never

	Battery Battery
	Draw    float64 // W while calling, on top of what the battery's drift holds
	Prior   [forecast.States]float64
	Minutes []float64 // lengths of a call to choose from, ascending, at most a slot
}

// Small is how many places of all queues together still make one problem: exact, where
// queues planned one after another are not.
const Small = 16

// Join adds the queues of a problem over the same watch, with the same stations or others.
func (p *Problem) Join(q *Problem) {
	n := 0
	for i := range p.Items {
		n = max(n, p.Items[i].Queue+1)
	}
	for _, m := range q.Items {
		m.Queue += n
		p.Items = append(p.Items, m)
	}
	for _, c := range q.Channels {
		c.Queue += n
		p.Channels = append(p.Channels, c)
	}
}

// An Item is a message as the queue sees it.
type Item struct {
	Queue int // ascending from 0
	Bytes float64
	Worth []float64 // per slot: earned when it is delivered in that slot
	// Bearer is what it costs to send it by a bearer that never fails, such as a
	// satellite terminal, whenever somebody is on watch; 0: there is none.
	Bearer float64
}

// A Channel is one way to call. Station groups those that share a presence.
type Channel struct {
	Queue   int // that it takes
	Station int
	Free    float64         // chance that the station is there and not busy
	Later   []float64       // the same slot by slot, where it changes; nil: Free throughout
	Cells   []forecast.Cell // per slot
}

// free is the chance that the station is there and not busy in a slot.
func (c *Channel) free(t int) float64 {
	if c.Later != nil {
		return c.Later[t]
	}
	return c.Free
}

// Battery is the energy there is. Capacity 0 means a supply without end.
type Battery struct {
	Capacity, Reserve, Now float64
	Drift                  []float64 // per slot: charging less everything but calls
	Price                  float64   // of a Wh of a full battery
	Doubling               float64   // share of capacity at which the price doubles
}

// price of a Wh at a level.
func (b *Battery) price(level float64) float64 {
	if b.Capacity == 0 {
		return b.Price
	}
	return b.Price * math.Exp2((1-level/b.Capacity)/b.Doubling)
}

// ahead is how far need looks: a day, by when the sun has come round. A reserve that the
// ship's own load will break days from now is not kept by silence tonight.
const ahead = 96

// need returns, per slot, the level a call must leave so that the drift alone never
// takes the battery under its reserve in the day that follows.
func (b *Battery) need(slots int) []float64 {
	n := make([]float64, slots+1)
	for t := range n {
		n[t] = b.Reserve
		sum := 0.0
		for u := t; u < min(slots, t+ahead); u++ {
			sum += b.Drift[u]
			n[t] = max(n[t], b.Reserve-sum)
		}
	}
	return n
}

// course is the battery's level slot by slot if nobody is called.
func (b *Battery) course(slots int) []float64 {
	c := []float64{b.Now}
	for t := range slots {
		c = append(c, max(min(c[t]+b.Drift[t], b.Capacity), 0))
	}
	return c
}

// Grid says how finely battery and belief are cut.
type Grid struct {
	Levels int       // of the battery
	Tilts  []float64 // θ, ascending, odd in number with 0 in the middle
}

// DefaultGrid is measured in docs/plan.md: halving its steps moves the value of most
// queues by far less than 1 %, of the worst met by 1.4 %.
var DefaultGrid = Grid{Levels: 9, Tilts: []float64{-1.2, 0, 1.2}}

// tilted is the belief of a tilt.
func (p *Problem) tilted(θ float64) (π [forecast.States]float64) {
	sum := 0.0
	for k, w := range p.Prior {
		π[k] = w * math.Exp(θ*forecast.StateZ[k])
		sum += π[k]
	}
	for k := range π {
		π[k] /= sum
	}
	return π
}

// meanZ is what a belief says of the day, in standard deviations.
func meanZ(π [forecast.States]float64) (m float64) {
	for k, w := range π {
		m += w * forecast.StateZ[k]
	}
	return m
}

// update is Bayes' rule for an outcome of likelihood l in each state.
func update(π, l [forecast.States]float64) (post [forecast.States]float64, sum float64) {
	for k := range π {
		post[k] = π[k] * l[k]
		sum += post[k]
	}
	if sum <= 0 {
		return π, 0
	}
	for k := range post {
		post[k] /= sum
	}
	return post, sum
}
