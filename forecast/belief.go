package forecast

import (
	"maps"
	"math"
	"time"

	"farhail/modem"
)

// Heard is what came of a call, as far as it tells of the sky and of a station.
type Heard int

const (
	Silence Heard = iota // no answer after all tries
	Engaged              // it answered that it is busy
	Reached              // it connected, or broke off later
)

// Memory is how long a call's news stays good: it fades evenly to what is usual. Assumed:
// a watch.
const Memory = 6 * time.Hour

// surest is how far a forecast is believed when a call tells against it: of its three
// tries each is spoilt three times in ten by what no forecast has, a burst of noise or
// another station. Assumed; else one silence would prove a station gone.
const surest = 1 - 0.3*0.3*0.3

// BusySpell is how long a station that was heard busy stays so, e-folding. Assumed: a
// session.
const BusySpell = 10 * time.Minute

// UsualBusy is how likely a station that is there is working others.
var UsualBusy = modem.UsualPresence.Busy

// A Belief is what the calls of the last hours say of the day's sky and of each station.
// Calls are learned in order of time.
type Belief struct {
	sky   [States]float64
	skyAt time.Time
	told  map[string]told
}

type told struct {
	free float64
	at   time.Time
	busy bool // it was heard working others
}

// NewBelief believes what is usual.
func NewBelief() *Belief { return &Belief{sky: StatePrior, told: map[string]told{}} }

// Clone is a belief that may be taught apart.
func (b *Belief) Clone() *Belief {
	c := *b
	c.told = maps.Clone(b.told)
	return &c
}

// fresh is the share of a news that is still believed.
func fresh(since time.Duration) float64 { return min(max(1-float64(since)/float64(Memory), 0), 1) }

// Sky is what is believed of the day at a time.
func (b *Belief) Sky(at time.Time) (π [States]float64) {
	f := fresh(at.Sub(b.skyAt))
	for k := range π {
		π[k] = StatePrior[k] + f*(b.sky[k]-StatePrior[k])
	}
	return π
}

// Free is the chance that a station is there and not busy at a time.
func (b *Belief) Free(station string, at time.Time) float64 {
	usual := modem.UsualPresence.Free()
	t, ok := b.told[station]
	if !ok {
		return usual
	}
	free := usual + fresh(at.Sub(t.at))*(t.free-usual)
	if t.busy {
		free *= 1 - math.Exp(-max(at.Sub(t.at), 0).Minutes()/BusySpell.Minutes())
	}
	return free
}

// FreeFrom is Free slot by slot.
func (b *Belief) FreeFrom(station string, start time.Time, slots int) []float64 {
	out := make([]float64, slots)
	for i := range out {
		out[i] = b.Free(station, start.Add(time.Duration(i)*Slot))
	}
	return out
}

// Learn takes a call in by Bayes' rule: connect is the chance to connect that was promised
// in each state of the sky, given that the station would answer.
func (b *Belief) Learn(station string, at time.Time, connect [States]float64, what Heard) {
	π, free := b.Sky(at), b.Free(station, at)
	q, sum := 0.0, 0.0
	post := π
	for k, w := range π {
		x := min(connect[k], surest)
		q += w * x
		if post[k] = w * x; what == Silence {
			post[k] = w * (1 - free*x)
		}
		sum += post[k]
	}
	if sum > 0 {
		for k := range post {
			post[k] /= sum
		}
		b.sky, b.skyAt = post, at
	}
	now := free
	switch what {
	case Reached, Engaged:
		now = 0.95 * (1 - modem.UsualPresence.Busy)
	case Silence:
		now = free * (1 - q) / (1 - free*q)
	}
	b.told[station] = told{now, at, what == Engaged}
}
