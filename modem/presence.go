package modem

import "slices"

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

// Attempt is a call in a row of attempts, of which the next is made only if all
// before it failed.
type Attempt struct {
	Station string    // attempts at the same station share its presence
	Free    float64   // Presence.Free of it
	Connect []float64 // for each common node: chance to connect if the station is free
}

// Chain returns for each of the attempts the chance that it is the one that connects,
// and the chance that it connects given that all before it failed. weights are those
// of the nodes that all attempts share, such as states of the day's sky; they sum to 1.
//
// At a node, with r_s the chance that station s is free and q_j what the sky allows,
//
//	P(i connects first) = r_s q_i Π_{j<i, same} (1−q_j) · Π_{other s'} (1 − r_s' + r_s' Π_{j<i, at s'} (1−q_j))
//
// averaged over the nodes: failing on one channel makes both a free station and a
// good sky less likely for the next.
func Chain(weights []float64, attempts []Attempt) (first, given []float64) {
	first, given = make([]float64, len(attempts)), make([]float64, len(attempts))
	for k, w := range weights {
		for i, a := range attempts {
			first[i] += w * a.Free * a.Connect[k] * missed(attempts[:i], a.Station, k) * silence(attempts[:i], k, a.Station)
		}
	}
	left := 1.0
	for i, P := range first {
		if left > 0 {
			given[i] = min(1, P/left)
		}
		left -= P
	}
	return first, given
}

// After returns what is believed once all the attempts have failed: the weights of
// the nodes, and for each attempt's station the chance that it is free.
func After(weights []float64, attempts []Attempt) (posterior, free []float64) {
	posterior, free = make([]float64, len(weights)), make([]float64, len(attempts))
	var total float64
	for k, w := range weights {
		posterior[k] = w * silence(attempts, k)
		total += posterior[k]
		for i, a := range attempts {
			free[i] += w * a.Free * missed(attempts, a.Station, k) * silence(attempts, k, a.Station)
		}
	}
	if total == 0 { // it could not have failed: nothing is learned
		copy(posterior, weights)
		for i, a := range attempts {
			free[i] = a.Free
		}
		return posterior, free
	}
	for k := range posterior {
		posterior[k] /= total
	}
	for i := range free {
		free[i] /= total
	}
	return posterior, free
}

// missed returns Π(1−q) over the attempts at a station: the chance that a free
// station was missed by all of them.
func missed(attempts []Attempt, station string, k int) float64 {
	P := 1.0
	for _, a := range attempts {
		if a.Station == station {
			P *= 1 - a.Connect[k]
		}
	}
	return P
}

// silence returns the chance that no attempt connected, leaving stations out.
func silence(attempts []Attempt, k int, but ...string) float64 {
	P := 1.0
	for i, a := range attempts {
		again := slices.ContainsFunc(attempts[:i], func(b Attempt) bool { return b.Station == a.Station })
		if !again && !slices.Contains(but, a.Station) {
			P *= 1 - a.Free + a.Free*missed(attempts, a.Station, k)
		}
	}
	return P
}
