package ground

import (
	"math"

	"farhail/hf/earth"
	"farhail/unit"
)

// Section is a stretch of a path over one kind of ground.
type Section struct {
	Ground earth.Ground
	Length unit.Length
}

// Curves keeps the curves a mixed path needs, by frequency and ground, and the
// scratch of the last path. The zero value is ready. One goroutine at a time; the
// curves it gives out may be shared.
type Curves struct {
	known    map[key]*Curve
	sections []Section
	along    []*Curve
}

type key struct {
	f unit.Freq
	g earth.Ground
}

// Of returns the curve of a frequency and ground, made at the first asking.
func (cs *Curves) Of(f unit.Freq, g earth.Ground) *Curve {
	c, ok := cs.known[key{f, g}]
	if !ok {
		if cs.known == nil {
			cs.known = make(map[key]*Curve)
		}
		c = NewCurve(f, g)
		cs.known[key{f, g}] = c
	}
	return c
}

// Mixed is Curves.Mixed for a single path.
func Mixed(f unit.Freq, sections []Section) float64 { return new(Curves).Mixed(f, sections) }

// Mixed returns the field in dBµV/m, for 1 kW as FieldDBuVm, at the end of a path
// over several kinds of ground, given in order from the transmitter.
//
//	E_fwd = E_1(D_1) + Σ_{i=2}^{n} [ E_i(D_i) − E_i(D_{i−1}) ]
//	E = (E_fwd + E_rev)/2                                        [dB]
//
// D_i is the end of section i, E_i(d) the field over its ground alone, E_rev the same
// from the other end: reciprocal by construction.
//
// Source:   Millington's method, notes §9 (from memory, high).
// Domain:   at least one section longer than zero, others are passed over; no path, no
// field: NaN. Equal neighbours are one section; what is shorter than a wavelength
// goes to its neighbours (see tidy).
// Accuracy: 1–3 dB, worse within a few km of a boundary and with many short sections
// (from memory, medium).
// Departs:  the notes ignore slivers; here they vanish gradually, from λ to λ/2: at an end
// of the path the step would be up to 1.9 dB.
func (cs *Curves) Mixed(f unit.Freq, sections []Section) float64 {
	path := cs.tidy(f, sections)
	switch len(path) {
	case 0:
		return math.NaN()
	case 1:
		return cs.Of(f, path[0].Ground).FieldDBuVm(path[0].Length.Km())
	}
	cs.along = cs.along[:0]
	for _, s := range path {
		cs.along = append(cs.along, cs.Of(f, s.Ground))
	}
	var fwd, rev, dFwdKm, dRevKm float64
	n := len(path)
	for i := range path {
		fwd += increment(cs.along[i], &dFwdKm, path[i].Length.Km())
		rev += increment(cs.along[n-1-i], &dRevKm, path[n-1-i].Length.Km())
	}
	return (fwd + rev) / 2
}

// increment is one step of Millington's sum: what the next lengthKm add. It moves d on.
func increment(c *Curve, dKm *float64, lengthKm float64) float64 {
	from := *dKm
	*dKm += lengthKm
	E := c.FieldDBuVm(*dKm)
	if from > 0 {
		E -= c.FieldDBuVm(from)
	}
	return E
}

// tidy copies the path without empty stretches, equal neighbours and slivers.
//
// What a sliver gives, either neighbour gets half of; at an end the only one gets all.
// A section shorter than λ/2 gives everything: the shortest first, the poorer ground
// among equals, so that both ends see the same path. One of λ/2 to λ gives λ − its
// length, so that nothing steps where a sliver grows into a section.
func (cs *Curves) tidy(f unit.Freq, sections []Section) []Section {
	path := cs.sections[:0]
	for _, s := range sections {
		if s.Length > 0 || math.IsNaN(s.Length.M()) {
			path = append(path, s)
		}
	}
	cs.sections = path
	path = joinEqual(path)
	λ := unit.Length(cMs / f.Hz())
	for len(path) > 1 {
		i := 0
		for j := range path {
			if shorter(path[j], path[i]) {
				i = j
			}
		}
		gives := path[i].Length
		if !(gives <= λ/2) {
			break
		}
		left, right := shares(i, len(path), gives)
		if i > 0 {
			path[i-1].Length += left
		}
		if i < len(path)-1 {
			path[i+1].Length += right
		}
		path = joinEqual(append(path[:i], path[i+1:]...))
	}
	if len(path) == 1 {
		return path
	}
	var got unit.Length // from the left neighbour, on top of the section's own length
	for i := range path {
		gives := max(λ-path[i].Length, 0)
		left, right := shares(i, len(path), gives)
		if i > 0 {
			path[i-1].Length += left
		}
		path[i].Length += got - gives
		got = right
	}
	return path
}

// shares says what of a sliver's gift goes to the neighbour before and after it.
func shares(i, n int, gives unit.Length) (left, right unit.Length) {
	switch i {
	case 0:
		return 0, gives
	case n - 1:
		return gives, 0
	}
	return gives / 2, gives / 2
}

func shorter(a, b Section) bool {
	switch {
	case a.Length != b.Length:
		return a.Length < b.Length
	case a.Ground.SigmaSm != b.Ground.SigmaSm:
		return a.Ground.SigmaSm < b.Ground.SigmaSm
	}
	return a.Ground.EpsR < b.Ground.EpsR
}

// joinEqual makes one section of neighbours of equal ground, in place.
func joinEqual(path []Section) []Section {
	joined := path[:0]
	for _, s := range path {
		if n := len(joined); n > 0 && joined[n-1].Ground == s.Ground {
			joined[n-1].Length += s.Length
			continue
		}
		joined = append(joined, s)
	}
	return joined
}
