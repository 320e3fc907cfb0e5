package practice

import (
	"math"
	"math/rand/v2"

	"farhail/modem"
	"farhail/unit"
)

// An Answer is how a far station meets a call.
type Answer int

const (
	Silence Answer = iota // absent, or the sky does not carry
	Engaged               // there, but talking to others
	Connected
	BrokenOff // connected, then lost
)

func (a Answer) String() string {
	return [...]string{"no answer", "busy", "connected", "broken off"}[a]
}

// An Outcome is what calling comes to, before any traffic.
type Outcome struct {
	Answer  Answer
	Tries   int
	Minutes float64 // spent
}

// A Result is what a call comes to.
type Result struct {
	Outcome
	Bytes   float64 // of the user's data that arrived and were acknowledged
	Minutes float64 // on the channel, calling included
	Energy  float64 // Wh

	full float64 // bytes of the largest full transmission there was
}

// A Transmission is one turn of a call, for who watches it being played.
type Transmission struct {
	At          float64 // minutes from the beginning of the call
	Level       string
	Out, In     float64 // dB in 3 kHz, mean over fading
	Units, Got  int
	Acknowledge bool
	Bytes       float64 // through so far
}

// A contact is a call under way: the luck of its channel and quarter.
type contact struct {
	d      *Day
	c, t   int
	r      *radio
	fading modem.Fading
	quick  float64 // deviation within the call, sd 1
	rng    *rand.Rand
}

func (d *Day) contact(c, t int) *contact {
	k := &contact{d: d, c: c, t: t, r: d.set.radio(c, t), fading: modem.Poor, rng: stream(d.Seed, streamCalls+(c+1)<<16+t<<4)}
	if d.steady[c][t] && d.steady[c][t+1] {
		k.fading = modem.AWGN
	}
	k.quick = k.rng.NormFloat64()
	return k
}

// pass lets time go by within the call.
func (k *contact) pass(minutes float64) {
	keep := math.Exp(-minutes / k.d.w.QuickMinutes)
	k.quick = keep*k.quick + math.Sqrt(1-keep*keep)*k.rng.NormFloat64()
}

// now is the SNR both ways in the waveform's own bandwidth, so many minutes into the
// quarter.
func (k *contact) now(minutes float64) (out, in float64) {
	out, in = k.d.between(k.c, float64(k.t)+minutes/slotMin)
	by := k.r.shift()
	if k.fading == modem.Poor {
		by += k.d.w.QuickSD * k.quick
	}
	return out + by, in + by
}

// try calls until the station answers or the tries are spent.
func (k *contact) try() (o Outcome) {
	ch := &k.d.set.Prospect.Channels[k.c]
	call := ch.Calling
	answered, silent := call.Try(k.r.path)
	keeper := &k.d.keepers[k.d.set.of[k.c]]
	works := k.r.links[k.fading].Works()
	for o.Tries < call.Tries {
		out, in := k.now(o.Minutes)
		there := k.r.heard(k.fading, out, k.rng)
		back := k.r.heard(k.fading, in, k.rng)
		met := k.rng.Float64() < call.Met()
		h := k.d.start + float64(k.t)/4 + o.Minutes/60
		o.Tries++
		switch {
		case !works || off(keeper.away, h):
		case off(keeper.busy, h):
			if back { // they are heard working others
				o.Answer = Engaged
			}
		case there && back && met:
			o.Answer = Connected
			o.Minutes += (answered.Sending + answered.Receiving).Minutes()
			k.pass(o.Minutes)
			return o
		}
		m := (silent.Sending + silent.Receiving).Minutes()
		o.Minutes += m
		k.pass(m)
	}
	return o
}

// call plays a call with so many bytes to send; math.Inf(1) for a queue without end.
//
// A transmission of up to U units is sent at the level that the last report of the SNR
// chose, one lower for each time that less than half arrived, and back a step where all
// did (common practice); if its acknowledgement is heard, the units that arrived are through. The luck
// of a transmission does not depend on how much is left: as long as full transmissions
// are sent, all calls on this channel and quarter go the same way.
func (d *Day) call(c, t int, bytes, limit float64, tell func(Transmission)) (r Result) {
	k := d.contact(c, t)
	r.Outcome = k.try()
	r.Minutes = r.Outcome.Minutes
	if r.Answer == Connected {
		k.session(&r, bytes, limit, tell)
	}
	r.Energy = d.set.Draw * r.Minutes / 60
	return r
}

func (k *contact) session(r *Result, bytes, limit float64, tell func(Transmission)) {
	lost, ease := 0, 0
	out, _ := k.now(r.Minutes)
	for r.Bytes < bytes-1e-6 {
		report := out + k.d.w.ReportSD*k.rng.NormFloat64()
		level := max(k.r.links[k.fading].Level(unit.DB(report))-ease, 0)
		g := &k.r.gears[level]
		r.full = max(r.full, float64(g.units)*g.unitBytes)
		units := g.units
		if n := math.Ceil((bytes-r.Bytes)/g.unitBytes - 1e-9); n < float64(units) {
			units = int(n)
		}
		for units > 0 && r.Minutes+g.transmissionS(units)/60 > limit {
			units--
		}
		if units == 0 || !g.ok {
			return
		}
		var in float64
		out, in = k.now(r.Minutes)
		got := 0
		for j := range g.units { // all are drawn, so that the luck stays with its place
			if k.r.unit(level, k.fading, out, k.rng) && j < units {
				got++
			}
		}
		heard := k.r.heard(k.fading, in, k.rng)
		r.Minutes += g.transmissionS(units) / 60
		switch {
		case 2*got < units:
			ease++
		case got == units && ease > 0:
			ease--
		}
		if lost++; heard {
			lost = 0
			r.Bytes = min(r.Bytes+float64(got)*g.unitBytes, bytes)
		}
		if tell != nil {
			by := k.r.shift()
			tell(Transmission{r.Minutes, k.r.w.Levels[level].Name, out - by, in - by, units, got, heard, r.Bytes})
		}
		if lost == k.d.w.LostAfter {
			r.Answer = BrokenOff
			return
		}
		k.pass(g.transmissionS(units) / 60)
	}
}
