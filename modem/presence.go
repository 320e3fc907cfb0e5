package modem

// Beta is what we believe of a chance: as after seeing it come true a−1 times and
// fail b−1 times, from knowing nothing.
type Beta struct{ A, B float64 }

// Mean returns the expected chance.
func (b Beta) Mean() float64 { return b.A / (b.A + b.B) }

// Presence is what we believe of a station before a watch: the chance that it is
// there, and that it is busy with others if it is. Whether it answers at all in this
// watch is one unknown that all tries of the watch share: a station found absent at
// the first try is absent at the third.
type Presence struct {
	There Beta
	Busy  float64
}

// UsualPresence is what to believe of a station that was never called: there eight
// watches of ten, busy in one of ten. Assumed; the log corrects it.
var UsualPresence = Presence{Beta{8, 2}, 0.1}

// Free returns the chance that the station would answer a call it hears.
func (p Presence) Free() float64 { return p.There.Mean() * (1 - p.Busy) }
