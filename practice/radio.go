package practice

import (
	"math"
	"math/rand/v2"
	"time"

	"farhail/modem"
	"farhail/unit"
)

// A radio is a waveform over one path, as a call is played with it: how transmissions
// are laid out at each level and how each unit fares.
type radio struct {
	w     modem.Waveform
	path  unit.Length
	links [2]*modem.Link // by fading: whose level is chosen at an SNR
	gears []gear         // by level of the ladder
	loss  []float64      // dB, by level: what a real receiver loses on a fading path besides
	span  *fadeLaw       // of the data; nil: without an interleaver
	ack   *fadeLaw
}

// A gear is a level's transmission: so many units that live or die together.
type gear struct {
	units          int
	unitBytes      float64
	airS           []float64 // by units sent
	startS, replyS float64
	ackS, cycleS   float64
	ok             bool
}

const lightKmS = 299792.458

func newRadio(w modem.Waveform, path unit.Length) *radio {
	r := &radio{w: w, path: path}
	for f := range r.links {
		r.links[f] = w.Over(path, modem.Fading(f))
	}
	for _, l := range w.Levels {
		r.gears = append(r.gears, newGear(&w.ARQ, l.BitRate, path))
	}
	r.loss = make([]float64, len(w.Levels))
	if w.ARQ.Span > 0 {
		r.span, r.ack = fadeLawOf(w.ARQ.Span), fadeLawOf(max(w.ARQ.Ack, 100*time.Millisecond))
		for i := range w.Levels {
			r.loss[i] = r.besides(i)
		}
	}
	return r
}

// newGear lays a transmission out by the rules of modem.ARQ: whole spans, within the
// longest transmission, so many that blocks over cycle time is largest.
func newGear(a *modem.ARQ, bitRate float64, path unit.Length) gear {
	blockS := 8 * (a.Block + a.Overhead) / bitRate
	spanS, sendS := a.Span.Seconds(), a.Send.Seconds()
	delayS := path.Km() / lightKmS
	g := gear{startS: a.Start.Seconds(), ackS: a.Start.Seconds() + a.Ack.Seconds(), ok: true}
	g.replyS = g.ackS + 2*a.Turn.Seconds() + 2*delayS
	fit := func(s float64) int { return int(min(float64(a.Window), math.Floor(s/blockS+1e-9))) }
	blocks := max(1, fit(sendS))
	g.units = blocks
	if spanS > 0 {
		m := int(math.Ceil(blockS/spanS - 1e-9))
		blocks = 1
		best := 1 / (g.startS + g.replyS + float64(m)*spanS)
		for n := 1; float64(n)*spanS <= sendS+1e-9; n++ {
			if v := float64(fit(float64(n)*spanS)) / (g.startS + g.replyS + float64(n)*spanS); v > best {
				blocks, m, best = fit(float64(n)*spanS), n, v
			}
		}
		g.units = min(blocks, m)
	}
	g.unitBytes = float64(blocks) * a.Block / float64(g.units)
	for u := range g.units + 1 {
		s := float64(u) * float64(blocks) / float64(g.units) * blockS
		if spanS > 0 {
			s = spanS * math.Ceil(s/spanS-1e-9)
		}
		g.airS = append(g.airS, s)
	}
	g.cycleS = g.startS + g.airS[g.units] + g.replyS
	if fixed := a.Cycle.Seconds(); fixed > 0 {
		if g.ok = g.cycleS <= fixed+1e-9; g.ok {
			g.replyS += fixed - g.cycleS
			g.cycleS = fixed
		}
	}
	return g
}

// transmissionS is the length of a cycle that sends so many units.
func (g *gear) transmissionS(units int) float64 {
	if units == g.units {
		return g.cycleS
	}
	return g.startS + g.airS[units] + g.replyS
}

// betaShare is β of the effective SNR over the SNR a level needs on a steady path. Our
// notes on links §4 fit 0.9 (two-phase) to 0.55 (16- and 64-point) for their rates; one
// middle figure serves all levels.
const betaShare = 0.75

// besides is what a level's published need on the fading channel leaves over the steady
// need and the fades themselves: tracking and equalising, dB.
func (r *radio) besides(level int) float64 {
	l := &r.w.Levels[level]
	if math.IsInf(float64(l.NeedPoor), 1) {
		return math.Inf(1)
	}
	lo, hi := 0.0, 20.0
	for range 40 {
		mid := (lo + hi) / 2
		if r.meanSuccess(level, float64(l.NeedPoor), mid) > 0.95 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func (r *radio) meanSuccess(level int, x, loss float64) float64 {
	l := &r.w.Levels[level]
	x -= loss
	return r.span.mean(r.gamma(level, x), func(dB float64) float64 { return l.Success(modem.AWGN, unit.DB(x+dB)) })
}

// gamma is γ/β in dB of a level at an SNR.
func (r *radio) gamma(level int, x float64) float64 {
	return x - float64(r.w.Levels[level].NeedAWGN) - 10*math.Log10(betaShare)
}

// unit plays one unit at a mean SNR: whether it is received. It always draws twice.
func (r *radio) unit(level int, f modem.Fading, x float64, rng *rand.Rand) bool {
	u, v := rng.Float64(), rng.Float64()
	l := &r.w.Levels[level]
	switch {
	case f == modem.AWGN:
		return v < l.Success(modem.AWGN, unit.DB(x))
	case r.span == nil:
		// A block without an interleaver: the curve is the average over the fades; they
		// are forgotten by the next block (correlation of power 0.14 in 0.45 s).
		return v < l.Success(modem.Poor, unit.DB(x))
	}
	return v < r.through(r.span, level, x, u)
}

func (r *radio) through(law *fadeLaw, level int, x, u float64) float64 {
	x -= r.loss[level]
	if math.IsInf(x, -1) {
		return 0
	}
	return r.w.Levels[level].Success(modem.AWGN, unit.DB(x+law.at(r.gamma(level, x), u)))
}

// heard plays an acknowledgement or a call: sent at the slowest level's strength in the
// time of an acknowledgement. It always draws twice.
func (r *radio) heard(f modem.Fading, x float64, rng *rand.Rand) bool {
	u, v := rng.Float64(), rng.Float64()
	if f == modem.AWGN || r.ack == nil {
		return v < r.w.Ack[f].At(unit.DB(x))
	}
	return v < r.through(r.ack, 0, x, u)
}

// shift is how much better the SNR is in the waveform's own bandwidth than in 3 kHz.
func (r *radio) shift() float64 { return 10 * math.Log10(3e3/r.w.Bandwidth.Hz()) }
