package modem

import (
	"math"
	"time"

	"farhail/unit"
)

// hysteresis keeps a link from hopping between two levels: it moves up only when the
// SNR is that far beyond the point where both carry the same, and down at that point.
// 1 dB: our notes on links §6.
const hysteresis = 1.0

// The grid of a link's tables, wide enough that beyond it nothing changes.
const (
	gridLo   = -30.0 // dB
	gridHi   = 60.0
	gridStep = 0.125
	gridN    = int((gridHi-gridLo)/gridStep) + 1
)

// Link is a waveform at work over one path and kind of fading. It is made once per
// channel; its methods do not allocate unless they say so.
type Link struct {
	Waveform string
	Fading   Fading

	gears []gear    // those worth using, slowest first
	up    []float64 // up[i]: SNR at which gears[i+1] carries as much as gears[i]

	goodput, ack, reach [gridN]float64
}

// Over lays the waveform over a path. The length is that of the ray, which matters
// only for the delay: 3.5 ms a 1,000 km. Over a path too long for the fixed cycle of
// its ARQ the link carries nothing and connects never.
func (w Waveform) Over(path unit.Length, f Fading) *Link {
	l := &Link{Waveform: w.Name, Fading: f}
	l.choose(w.layOut(path, f))
	if len(l.gears) == 0 {
		return l
	}
	for i := range gridN {
		x := unit.DB(gridLo + gridStep*float64(i))
		l.goodput[i] = l.goodputExact(x)
		l.ack[i] = w.Ack[f].At(x)
		l.reach[i] = w.Levels[0].Curves[f].At(x)
	}
	return l
}

// layOut returns the gears of all levels that work on the path. Combining repeats
// bends every logistic curve alike, so its shape is computed once and shifted.
func (w Waveform) layOut(path unit.Length, f Fading) (all []gear) {
	var plain, summed Curve
	for i, l := range w.Levels {
		c := l.Curves[f]
		if c.never() {
			continue
		}
		p := c
		if w.ARQ.Combine > 1 {
			if !sameShape(plain, c) {
				plain, summed = c, combined(c, w.ARQ.Combine)
			}
			p = Curve{summed.lo + c.lo - plain.lo, summed.step, summed.logit}
		}
		if g, ok := w.ARQ.gear(i, l.BitRate, p, path); ok {
			all = append(all, g)
		}
	}
	return all
}

func sameShape(a, b Curve) bool {
	if len(a.logit) != len(b.logit) || a.step != b.step {
		return false
	}
	for i, v := range a.logit {
		if v != b.logit[i] {
			return false
		}
	}
	return true
}

// choose keeps the gears that are best somewhere and finds where they change places.
// It comes down from the top of the grid: the slower gear takes over where it carries
// more, and a faster one never comes back below (far down, where all carry nothing,
// the order says nothing). A gear that is best over less than half a decibel may be
// passed over; it would win next to nothing.
func (l *Link) choose(all []gear) {
	const coarse = 0.5 // dB
	carries := func(i int, x float64) float64 { return all[i].bytesPerS() * all[i].p.At(unit.DB(x)) }
	best := func(limit int, x float64) int {
		b := limit
		for i := limit - 1; i >= 0; i-- {
			if carries(i, x) > carries(b, x) {
				b = i
			}
		}
		return b
	}
	if len(all) == 0 {
		return
	}
	now := best(len(all)-1, gridHi)
	l.gears = []gear{all[now]}
	for x := gridHi - coarse; x >= gridLo; x -= coarse {
		next := best(now, x)
		if next == now {
			continue
		}
		lo, hi := x, x+coarse
		for range 40 {
			if mid := (lo + hi) / 2; carries(next, mid) > carries(now, mid) {
				lo = mid
			} else {
				hi = mid
			}
		}
		l.gears = append([]gear{all[next]}, l.gears...)
		l.up = append([]float64{lo}, l.up...)
		now = next
	}
}

// share returns how much of the time gear i is in use at a steady SNR of x: all of it
// away from the changes of level; within the hysteresis above a change either of the
// two may be held, depending on where the SNR came from.
func (l *Link) share(i int, x float64) float64 {
	lo, hi := math.Inf(-1), math.Inf(1)
	if i > 0 {
		lo = l.up[i-1]
	}
	if i < len(l.up) {
		hi = l.up[i]
	}
	return max(0, min(hi, x)-max(lo, x-hysteresis)) / hysteresis
}

// goodputExact returns bytes per minute of user data, every acknowledgement heard.
//
//	G = 60 Σ share_i U_i b_i p_i / C_i
func (l *Link) goodputExact(x unit.DB) (G float64) {
	for i := range l.gears {
		if s := l.share(i, float64(x)); s > 0 {
			g := &l.gears[i]
			G += 60 * s * g.bytesPerS() * g.p.At(x)
		}
	}
	return G
}

// Goodput returns the bytes of user data that arrive in a minute of a long transfer,
// net of all the ARQ costs: data is the SNR at the receiver of the data, ack that of
// the acknowledgements at the sender. A transmission whose acknowledgement is lost is
// lost, so the two factors separate.
//
// Accuracy: interpolated in steps of 1/8 dB; against the exact sum see docs/accuracy.md.
func (l *Link) Goodput(data, ack unit.DB) float64 {
	return lookup(&l.goodput, float64(data)) * lookup(&l.ack, float64(ack))
}

// Reach returns the chance that a call, or the answer to it, is understood at a mean
// SNR of x: block success of the slowest level.
func (l *Link) Reach(snr unit.DB) float64 { return lookup(&l.reach, float64(snr)) }

// Works is false for a path longer than the waveform can be used on.
func (l *Link) Works() bool { return len(l.gears) > 0 }

// Level returns the number in the waveform's ladder of the level most in use at a
// mean SNR of x, and −1 on a link that does not work.
func (l *Link) Level(snr unit.DB) int {
	best, most := -1, 0.0
	for i := range l.gears {
		if s := l.share(i, float64(snr)); s > most {
			best, most = l.gears[i].level, s
		}
	}
	return best
}

// Duty returns the shares of a call's time that the data's sender spends sending and
// its receiver spends acknowledging, with the transmitter on.
func (l *Link) Duty(data unit.DB) (sender, receiver float64) {
	for i := range l.gears {
		g, s := &l.gears[i], l.share(i, float64(data))
		sender += s * (g.startS + g.airS[g.units]) / g.cycleS
		receiver += s * g.ackS / g.cycleS
	}
	return sender, receiver
}

// Cycle returns the time from one transmission to the next of a full one.
func (l *Link) Cycle(data unit.DB) time.Duration {
	var s float64
	for i := range l.gears {
		s += l.share(i, float64(data)) * l.gears[i].cycleS
	}
	return time.Duration(s * float64(time.Second))
}

// lookup interpolates in a table over the grid; beyond its ends it holds the end.
func lookup(table *[gridN]float64, x float64) float64 {
	if x != x {
		return x
	}
	t := min(max((x-gridLo)/gridStep, 0), float64(gridN-1))
	i := min(int(t), gridN-2)
	return table[i] + (table[i+1]-table[i])*(t-float64(i))
}
