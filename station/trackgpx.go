package station

import (
	"fmt"
	"strings"
)

// ParseGPX reads the tracks and routes of a GPX 1.1 file as one track. Every point needs
// its time; segments, tracks and routes are put in order of time and may not overlap;
// from point to point the way is a great circle. Waypoints and extensions are passed
// over. The error is Faults; with any there is no track.
//
// Source: GPX 1.1, from memory (high): trk/trkseg/trkpt and rte/rtept with the attributes
// lat and lon in degrees (WGS 84), the element time in UTC.
func ParseGPX(file string, src []byte) (*Track, error) {
	f, err := newTrackFile(file, src)
	if err != nil {
		return nil, err
	}
	g := gpx{trackFile: f, count: map[string]int{}}
	f.walk("gpx", "GPX 1.1", &g)
	if g.timeless > 0 {
		problem := "has no time"
		if g.timeless > 1 {
			problem = fmt.Sprintf("has no time, nor have %d other points", g.timeless-1)
		}
		f.fault(g.first, g.field, problem, "add <time> to every point, or give a route with its schedule as RTZ")
	}
	return f.track("export a track, or a route whose points have times")
}

type gpx struct {
	*trackFile
	count map[string]int // points met, by their element
	here  placed         // the point being read
	sound bool           // its position
	timed bool

	timeless int // points without a time; the first of them
	first    int
	field    string
}

func (g *gpx) open(path string, e *element) {
	switch path {
	case "gpx/trk/trkseg":
		g.pieces = append(g.pieces, piece{at: e.at, what: "track"})
	case "gpx/rte":
		g.pieces = append(g.pieces, piece{at: e.at, what: "route"})
	case "gpx/trk/trkseg/trkpt", "gpx/rte/rtept":
		g.count[e.name]++
		g.here = placed{at: e.at, field: fmt.Sprintf("%s[%d]", e.name, g.count[e.name])}
		g.here.Place, g.sound = g.position(e, g.here.field)
		g.timed = false
	}
}

func (g *gpx) shut(path string, e *element) {
	switch path {
	case "gpx/metadata/name":
		g.name = strings.TrimSpace(string(e.text))
	case "gpx/trk/name", "gpx/rte/name":
		if g.name == "" {
			g.name = strings.TrimSpace(string(e.text))
		}
	case "gpx/trk/trkseg/trkpt/time", "gpx/rte/rtept/time":
		var ok bool
		g.timed = true
		g.here.Fix.At, ok = g.moment(e.at, g.here.field+".time", string(e.text))
		g.sound = g.sound && ok
	case "gpx/trk/trkseg/trkpt", "gpx/rte/rtept":
		if !g.timed {
			if g.timeless++; g.timeless == 1 {
				g.first, g.field = e.at, g.here.field
			}
			return
		}
		if last := &g.pieces[len(g.pieces)-1]; g.sound {
			last.fixes = append(last.fixes, g.here)
		}
	}
}
