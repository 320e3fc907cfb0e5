package earth

import (
	"math"
	"slices"

	"farhail/unit"
)

// A Stretch is a piece of a path over one kind of ground.
type Stretch struct {
	Ground Ground
	Length unit.Length
}

const (
	maxStep = 2 * unit.Km // see Stretches
	sliver  = 200 * unit.Metre
)

// Stretches returns the stretches of a path in order from its start; their lengths
// sum to the path. The ends are where it crosses the coast lines or passes from node to
// node of the ground map.
//
// The path is cut into steps of at most the length given (at most 2 km, which is also
// what anything else than a positive length stands for). A step is taken as straight in
// longitude and latitude, on which the crossings are exact: no spit is stepped over.
// Neighbours of equal ground are one. What is shorter than 200 m goes to its neighbours
// in halves, the shortest first.
//
// Accuracy: a step of 2 km leaves its great circle by 0.08 m × tan φ.
func (s Arc) Stretches(step unit.Length) []Stretch {
	if !(s.D > 0) || math.IsInf(s.D.M(), 1) {
		return []Stretch{{GroundAt(s.From), s.D}}
	}
	if !(step > 0 && step < maxStep) {
		step = maxStep
	}
	n := int(math.Ceil(float64(s.D / step)))
	long := s.D / unit.Length(n)
	var path []Stretch
	var cuts []float64
	x0, y0 := s.stepsAt(0)
	for i := range n {
		x1, y1 := s.stepsAt(long * unit.Length(i+1))
		x1 = x0 + math.Remainder(x1-x0, around)
		cuts = coast().crossings(cuts[:0], x0, y0, x1, y1)
		cuts = betweenNodes(cuts, x0+180*perDegree, x1+180*perDegree)
		cuts = betweenNodes(cuts, y0+90*perDegree, y1+90*perDegree)
		slices.Sort(cuts)
		from := 0.0
		for _, to := range append(cuts, 1) {
			if to > from {
				middle := (from + to) / 2
				g := groundAt(x0+middle*(x1-x0), y0+middle*(y1-y0))
				path = join(path, Stretch{g, unit.Length(to-from) * long})
			}
			from = to
		}
		x0, y0 = x1, y1
	}
	return withoutSlivers(path)
}

// stepsAt returns the longitude and latitude, in steps of the coast lines, of a point
// along the path.
func (s Arc) stepsAt(d unit.Length) (x, y float64) {
	p := s.At(d)
	return p.Lon.Deg() * perDegree, p.Lat.Deg() * perDegree
}

// betweenNodes adds to cuts where, as a part 0…1 of it, the way from a to b passes
// halfway between nodes of the ground map.
func betweenNodes(cuts []float64, a, b float64) []float64 {
	for k := nodeOf(min(a, b)) + 1; k <= nodeOf(max(a, b)); k++ {
		if t := ((float64(k)-0.5)*nodeSteps - a) / (b - a); t > 0 && t < 1 {
			cuts = append(cuts, t)
		}
	}
	return cuts
}

// join appends a stretch to a path, or lengthens the last one of equal ground.
func join(path []Stretch, s Stretch) []Stretch {
	if n := len(path); n > 0 && path[n-1].Ground == s.Ground {
		path[n-1].Length += s.Length
		return path
	}
	return append(path, s)
}

// withoutSlivers gives stretches shorter than a sliver to their neighbours: the
// shortest first, of equal ones the poorer ground, so that both directions end alike.
func withoutSlivers(path []Stretch) []Stretch {
	for len(path) > 1 {
		i := 0
		for k, s := range path {
			if s.Length < path[i].Length || s.Length == path[i].Length && s.Ground.SigmaSm < path[i].Ground.SigmaSm {
				i = k
			}
		}
		short := path[i].Length
		if short >= sliver {
			break
		}
		switch i {
		case 0:
			path[1].Length += short
		case len(path) - 1:
			path[i-1].Length += short
		default:
			path[i-1].Length += short / 2
			path[i+1].Length += short / 2
		}
		rest := path[i+1:]
		path = path[:i]
		for _, s := range rest {
			path = join(path, s)
		}
	}
	return path
}
