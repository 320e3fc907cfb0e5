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
// field: NaN. Of equal neighbours one is made; slivers shorter than a wavelength
// give half their length to either neighbour.
// Accuracy: 1–3 dB, worse within a few km of a boundary and with many short sections
// (from memory, medium).
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

// tidy copies the path without empty stretches, equal neighbours and slivers. The
// shortest sliver goes first, the poorer ground among equals, so that the result does
// not depend on the end one starts from.
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
		if !(path[i].Length < λ) {
			break
		}
		switch given := path[i].Length; i {
		case 0:
			path[1].Length += given
		case len(path) - 1:
			path[i-1].Length += given
		default:
			path[i-1].Length += given / 2
			path[i+1].Length += given / 2
		}
		path = joinEqual(append(path[:i], path[i+1:]...))
	}
	return path
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
