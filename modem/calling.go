package modem

import (
	"time"

	"farhail/unit"
)

// Calling is how a link is set up: the far station scans its channels, we call on
// one of them long enough to be met, listen for the answer, and try again.
type Calling struct {
	Channels int           // that the far station scans
	Dwell    time.Duration // it stays on each
	Extra    time.Duration // our call is longer than one scan by this
	Hear     time.Duration // it must hear of our call within one dwell
	Answer   time.Duration // its answer
	Pause    time.Duration // before the next try
	Tries    int
}

// Scanned returns the calling of a station that scans so many channels, staying so
// long on each. A call lasts channels × dwell + 5 s, three tries, then give up: our
// rule. The second in which it notices us, 3 s for its answer and 2 s of pause are
// assumed.
func Scanned(channels int, dwell time.Duration) Calling {
	return Calling{
		Channels: max(1, channels), Dwell: dwell, Extra: 5 * time.Second, Hear: time.Second,
		Answer: 3 * time.Second, Pause: 2 * time.Second, Tries: 3,
	}
}

// Length returns how long one call lasts, transmitter on.
func (c Calling) Length() time.Duration { return time.Duration(c.Channels)*c.Dwell + c.Extra }

// Met returns the chance that the scan comes by while we call.
//
//	P = min(1, (Tc + d − 2t) / (N d)),  certain from Tc = (N−1)d + 2t
//
// Tc call length, N channels, d dwell, t time needed within one dwell.
// Source: our notes on links §6 (formula and simulation).
// Domain: t ≤ d, else 0 (a station on one channel does not scan: 1).
func (c Calling) Met() float64 {
	if c.Channels <= 1 {
		return 1
	}
	if c.Hear > c.Dwell {
		return 0
	}
	Nd := time.Duration(c.Channels) * c.Dwell
	return max(0, min(1, (c.Length()+c.Dwell-2*c.Hear).Seconds()/Nd.Seconds()))
}

// Connect returns the chance that a station that is there and free answers one of
// our tries, when the SNRs of the two directions are those of the node.
//
//	q = Met · reach(out) · reach(in),  P = 1 − (1 − q)^tries
//
// The call must be understood there and the answer here, at the slowest level. Tries
// are independent at given mean SNRs (they are tens of seconds apart, fast fading
// forgets in one); what they share is the node and the station.
func (l *Link) Connect(c Calling, n Node) float64 {
	return c.within(c.Met() * l.Reach(n.Out) * l.Reach(n.In))
}

func (c Calling) within(q float64) float64 {
	fail := 1.0
	for range c.Tries {
		fail *= 1 - q
	}
	return 1 - fail
}

// meanTries returns the mean number of tries of a call that connects, each with
// chance q: a geometric law cut off at the last try m.
//
//	1/q − m(1−q)^m/(1−(1−q)^m)     (q → 0: (m+1)/2)
//
// Source: our notes on links §6; summed here term by term, which holds for small q.
func (c Calling) meanTries(q float64) float64 {
	var P, sum float64
	fail := 1.0
	for i := 1; i <= c.Tries; i++ {
		P += fail
		sum += float64(i) * fail
		fail *= 1 - q
	}
	return sum / P
}

// Spent is time on a channel, with the transmitter on and off.
type Spent struct{ Sending, Receiving time.Duration }

// Try returns the time one try takes if it is answered, and if not.
func (c Calling) Try(path unit.Length) (answered, silent Spent) {
	delay := time.Duration(2 * delayS(path) * float64(time.Second))
	listen := c.Answer + delay
	return Spent{c.Length(), listen}, Spent{c.Length(), listen + c.Pause}
}

// Spent returns the mean time of connecting at a node, given that it works, and the
// time of giving up.
func (l *Link) Spent(c Calling, n Node, path unit.Length) (connected, givenUp Spent) {
	answered, silent := c.Try(path)
	idle := c.meanTries(c.Met()*l.Reach(n.Out)*l.Reach(n.In)) - 1
	connected = Spent{
		answered.Sending + time.Duration(idle*float64(silent.Sending)),
		answered.Receiving + time.Duration(idle*float64(silent.Receiving)),
	}
	m := time.Duration(c.Tries)
	return connected, Spent{m * silent.Sending, m * silent.Receiving}
}
