package modem

import (
	"math"
	"time"

	"farhail/unit"
)

// ARQ is the procedure that sends data in blocks, waits for the acknowledgement and
// repeats what was lost. A transmission holds several blocks; the acknowledgement
// says which arrived (selective repeat); if it is not heard, the whole transmission
// is sent again.
type ARQ struct {
	Block    float64 // bytes of the user's data in a block
	Overhead float64 // bytes sent with each block: header, check
	Window   int     // blocks that may await acknowledgement
	Send     time.Duration
	Span     time.Duration // interleaver: a transmission fills whole spans; 0 none
	Start    time.Duration // before the first bit of data or acknowledgement: key-up, preamble
	Ack      time.Duration // the acknowledgement itself
	Turn     time.Duration // from the end of one to the start of the other, equipment delays in
	Cycle    time.Duration // a fixed cycle that the parts must fit in; 0: as long as its parts
	Combine  int           // receptions of a block added up before decoding; 1: each for itself
}

// StandardARQ is the ARQ that goes with a ladder when nothing else is known.
//
// From the open NATO data-link standard, as in our notes (from memory, high): blocks
// of about 200 bytes, at most 128 awaiting acknowledgement, transmissions well under
// 127.5 s. Ours: 20 bytes of header and check a block, transmissions up to 60 s so
// that a lost one does not cost two minutes, 0.5 s of key-up and preamble, 0.3 s of
// turnaround. Interleaver spans 7.68 s for data (long) and 1.92 s for the
// acknowledgement (medium; 18 bytes at 75 bit/s): MIL-STD-188-110D Appendix D, from
// memory, medium.
func StandardARQ() ARQ {
	return ARQ{
		Block: 200, Overhead: 20, Window: 128,
		Send: 60 * time.Second, Span: 7680 * time.Millisecond,
		Start: 500 * time.Millisecond, Ack: 1920 * time.Millisecond, Turn: 300 * time.Millisecond,
		Combine: 1,
	}
}

func (a ARQ) check() error {
	for _, c := range []struct {
		what      string
		v, lo, hi float64
		unit      string
	}{
		{"block", a.Block, 0.125, 65536, "bytes"},
		{"block overhead", a.Overhead, 0, 65536, "bytes"},
		{"window", float64(a.Window), 1, 256, "blocks"},
		{"longest transmission", a.Send.Seconds(), 0.05, 600, "s"},
		{"interleaver span", a.Span.Seconds(), 0, 60, "s"},
		{"start of a transmission", a.Start.Seconds(), 0, 60, "s"},
		{"acknowledgement", a.Ack.Seconds(), 0, 60, "s"},
		{"turnaround", a.Turn.Seconds(), 0, 60, "s"},
		{"fixed cycle", a.Cycle.Seconds(), 0, 600, "s"},
		{"receptions combined", float64(a.Combine), 1, 16, ""},
	} {
		if err := unit.Check(c.what, c.v, c.lo, c.hi, c.unit); err != nil {
			return err
		}
	}
	return nil
}

// c, exact: the metre is defined by it.
const lightKmS = 299792.458

func delayS(path unit.Length) float64 { return path.Km() / lightKmS }

// gear is one level at work over one path: what a full transmission holds and how
// long everything takes.
type gear struct {
	level     int
	p         Curve     // success of a unit, soft combining included
	unitBytes float64   // user data in a unit
	units     int       // U
	airS      []float64 // data time of a transmission of m units, m = 0…U
	startS    float64   // before the data
	replyS    float64   // from the end of the data to the end of the cycle
	ackS      float64   // of it, the acknowledgement on the air
	cycleS    float64   // C of a full transmission
}

// gear lays out a transmission at a level of bit rate R.
//
//	J = min(window, ⌊m·span·R / (8(block + overhead))⌋) blocks in m spans,  U = min(J, m) units
//	C = start + data + turn + delay + start + ack + turn + delay
//
// with m, within the longest transmission, such that J/C is largest. Blocks in one
// interleaver span share their fade: they are one unit, lost or received together; a
// block longer than a span is a unit by itself. Without an interleaver every block is
// a unit. A level too slow for one block in the longest transmission sends one.
//
// ok is false when a fixed cycle has no room for the delay of the path.
func (a ARQ) gear(level int, R float64, p Curve, path unit.Length) (g gear, ok bool) {
	blockS := 8 * (a.Block + a.Overhead) / R
	spanS := a.Span.Seconds()
	g = gear{
		level: level, p: p,
		startS: a.Start.Seconds(),
		ackS:   a.Start.Seconds() + a.Ack.Seconds(),
	}
	g.replyS = g.ackS + 2*a.Turn.Seconds() + 2*delayS(path)

	J, m := a.fill(blockS, g.startS+g.replyS)
	g.units = J
	if spanS > 0 {
		g.units = min(J, m)
	}
	g.unitBytes = float64(J) * a.Block / float64(g.units)
	g.airS = make([]float64, g.units+1)
	for u := range g.airS {
		s := float64(u) * float64(J) / float64(g.units) * blockS
		if spanS > 0 {
			s = spanS * wholes(s, spanS)
		}
		g.airS[u] = s
	}
	g.cycleS = g.startS + g.airS[g.units] + g.replyS
	if fixed := a.Cycle.Seconds(); fixed > 0 {
		if g.cycleS > fixed+1e-9 {
			return g, false
		}
		g.replyS += fixed - g.cycleS
		g.cycleS = fixed
	}
	return g, true
}

// fill returns the blocks of a full transmission and the spans they take (0 without
// an interleaver).
func (a ARQ) fill(blockS, idleS float64) (J, m int) {
	sendS, spanS := a.Send.Seconds(), a.Span.Seconds()
	fit := func(s float64) int { return int(min(float64(a.Window), math.Floor(s/blockS+1e-9))) }
	if spanS == 0 {
		return max(1, fit(sendS)), 0
	}
	J, m = 1, int(wholes(blockS, spanS))
	best := 1 / (idleS + float64(m)*spanS)
	for n := 1; float64(n)*spanS <= sendS+1e-9; n++ {
		if rate := float64(fit(float64(n)*spanS)) / (idleS + float64(n)*spanS); rate > best {
			J, m, best = fit(float64(n)*spanS), n, rate
		}
	}
	return J, m
}

// wholes returns how many spans a time takes, rounded up.
func wholes(s, spanS float64) float64 { return math.Ceil(s/spanS - 1e-9) }

// bytesPerS is the speed at which user data arrive if all is received.
func (g *gear) bytesPerS() float64 { return float64(g.units) * g.unitBytes / g.cycleS }

// transmissionS is the length of a cycle that sends m units.
func (g *gear) transmissionS(m int) float64 {
	if m == g.units {
		return g.cycleS
	}
	return g.startS + g.airS[m] + g.replyS
}
