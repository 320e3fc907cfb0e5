package earth

import (
	"bytes"
	"compress/flate"
	_ "embed"
	"encoding/binary"
	"io"
	"math"
	"slices"
	"sync"
)

// coastBin is the land of Natural Earth 1:50 m; its form is told in
// tables/coast/SOURCE.md.
//
//go:embed data/coast.bin
var coastBin []byte

const (
	perDegree   = 100             // steps of the coast lines
	around      = 360 * perDegree // steps
	columns     = 720             // of the index
	columnSteps = around / columns
)

// A vertex is a corner of the coast: longitude and latitude in steps.
type vertex struct{ x, y int32 }

// An edge is a straight piece of coast in the plane of longitude and latitude, west
// to east: x0 ≤ x1, as seen from the column of the index it stands in.
type edge struct{ x0, y0, x1, y1 int32 }

func (e *edge) top() int32 { return max(e.y0, e.y1) }

// A coastIndex has each edge in every column of half a degree of longitude that it
// touches, within a column from north to south.
type coastIndex struct {
	rings [][]vertex
	edges []edge
	start [columns + 1]int32 // of a column among the edges
}

// coast is decoded once. A bad embed is a broken build, so it panics.
var coast = sync.OnceValue(func() *coastIndex {
	c := &coastIndex{rings: readCoast(coastBin)}
	c.index()
	return c
})

func readCoast(packed []byte) [][]vertex {
	raw, err := io.ReadAll(flate.NewReader(bytes.NewReader(packed)))
	if err != nil {
		panic("earth: read coast: " + err.Error())
	}
	next := func() uint64 {
		v, n := binary.Uvarint(raw)
		if n <= 0 {
			panic("earth: read coast: cut short")
		}
		raw = raw[n:]
		return v
	}
	if next() != perDegree {
		panic("earth: read coast: not in steps of 0.01°")
	}
	var rings [][]vertex
	for range next() {
		for range next() {
			rings = append(rings, make([]vertex, next()))
		}
	}
	each := func(put func(v *vertex, step int32)) {
		for _, ring := range rings {
			for i := range ring {
				u := next()
				put(&ring[i], int32(u>>1)^-int32(u&1))
			}
		}
	}
	var x, y int32
	each(func(v *vertex, step int32) { x = onMap(x + step); v.x = x })
	each(func(v *vertex, step int32) { y += step; v.y = y })
	if len(raw) > 0 {
		panic("earth: read coast: more than its rings")
	}
	return rings
}

// onMap brings a longitude to −180°…180°, the east end excluded.
func onMap(x int32) int32 {
	return ((x+around/2)%around+around)%around - around/2
}

// index sorts the edges into columns: once to count them, once to place them.
func (c *coastIndex) index() {
	var n [columns]int32
	c.eachEdge(func(column int, _ edge) { n[column]++ })
	for i := range n {
		c.start[i+1] = c.start[i] + n[i]
	}
	c.edges = make([]edge, c.start[columns])
	next := c.start
	c.eachEdge(func(column int, e edge) {
		c.edges[next[column]] = e
		next[column]++
	})
	for i := range columns {
		slices.SortFunc(c.column(i), func(a, b edge) int { return int(b.top()) - int(a.top()) })
	}
}

func (c *coastIndex) column(i int) []edge { return c.edges[c.start[i]:c.start[i+1]] }

// eachEdge yields every edge for every column it touches, moved by whole turns so
// that it stands beside that column.
func (c *coastIndex) eachEdge(yield func(column int, e edge)) {
	for _, ring := range c.rings {
		a := ring[len(ring)-1]
		for _, b := range ring {
			e := edge{a.x, a.y, a.x + onMap(b.x-a.x), b.y}
			if e.x1 < e.x0 {
				e = edge{e.x1, e.y1, e.x0, e.y0}
			}
			for k := columnOf(float64(e.x0)); k <= columnOf(float64(e.x1)); k++ {
				i, turn := turned(k)
				yield(i, edge{e.x0 - int32(turn), e.y0, e.x1 - int32(turn), e.y1})
			}
			a = b
		}
	}
}

// columnOf counts columns from 180° W on without end, both ways.
func columnOf(x float64) int { return int(math.Floor((x + around/2) / columnSteps)) }

// turned says which column of the index a counted one is, and what to take off a
// longitude there.
func turned(k int) (column int, turn float64) {
	column = (k%columns + columns) % columns
	return column, float64((k - column) * columnSteps)
}

// OnLand says whether a place lies on land by the coast lines, lakes within it
// included; the Caspian Sea is sea. A place that is no number is not on land.
//
// A meridian from the place to the north pole, which is sea, crosses the coast an odd
// number of times when it starts on land; so no ring needs care, not even that of
// Antarctica around the pole.
//
// Source:   Natural Earth 1:50 m land (public domain), rounded to 0.01°.
// Accuracy: the rounding moves a coast by up to 0.79 km; the source is generalised
// (from memory, medium: by a few km) and leaves out small islands.
func OnLand(p Point) bool { return coast().onLand(p.Lon.Deg()*perDegree, p.Lat.Deg()*perDegree) }

func (c *coastIndex) onLand(x, y float64) bool {
	if !(math.Abs(x) <= 1e9 && math.Abs(y) <= 90*perDegree) {
		return false
	}
	i, turn := turned(columnOf(x))
	x -= turn
	odd := false
	for k := range c.column(i) {
		e := &c.column(i)[k]
		if float64(e.top()) < y {
			break // and all further south
		}
		x0, x1 := float64(e.x0), float64(e.x1)
		if x < x0 || x >= x1 { // a corner counts for the edge east of it only
			continue
		}
		y0, y1 := float64(e.y0), float64(e.y1)
		if (y-y0)*(x1-x0) < (y1-y0)*(x-x0) {
			odd = !odd
		}
	}
	return odd
}

// crossings adds to cuts where, as a part 0…1 of it, the straight line from (x0, y0)
// to (x1, y1), in steps, meets the coast. A corner may be met twice.
func (c *coastIndex) crossings(cuts []float64, x0, y0, x1, y1 float64) []float64 {
	const touch = 1e-9 // of an edge, beyond its ends: no way through between two edges
	dx, dy := x1-x0, y1-y0
	south, north := min(y0, y1), max(y0, y1)
	for k := columnOf(min(x0, x1)); k <= columnOf(max(x0, x1)); k++ {
		i, turn := turned(k)
		for _, e := range c.column(i) {
			if float64(e.top()) < south {
				break
			}
			if float64(min(e.y0, e.y1)) > north {
				continue
			}
			ex, ey := float64(e.x1-e.x0), float64(e.y1-e.y0)
			across := dx*ey - dy*ex
			if across == 0 {
				continue // along the coast: its neighbours are met
			}
			ax, ay := float64(e.x0)+turn-x0, float64(e.y0)-y0
			t, u := (ax*ey-ay*ex)/across, (ax*dy-ay*dx)/across
			if t > 0 && t < 1 && u > -touch && u < 1+touch {
				cuts = append(cuts, t)
			}
		}
	}
	return cuts
}

// Coast returns the coast lines for maps: rings of longitude and latitude in degrees,
// closed by their first point, land on the right hand (so seen on a map an island
// runs clockwise). A ring may step over 180°; that of Antarctica goes round the pole.
// Every call makes a copy.
func Coast() [][][2]float32 {
	rings := make([][][2]float32, len(coast().rings))
	for i, ring := range coast().rings {
		rings[i] = make([][2]float32, len(ring))
		for k, v := range ring {
			rings[i][k] = [2]float32{float32(v.x) / perDegree, float32(v.y) / perDegree}
		}
	}
	return rings
}
