package station

import (
	"fmt"
	"strings"
	"time"

	"farhail/hf/earth"
	"farhail/unit"
)

// ParseRTZ reads a route with its schedule in the exchange format of IEC 61174. The times
// are those of the schedule, what was entered by hand before what was calculated; the
// first and the last waypoint must have one, those between without are passed at an even
// speed. A waypoint with arrival and departure is stayed at. A leg is a rhumb line unless
// its geometryType says Orthodrome. The error is Faults; with any there is no track.
//
// Source: IEC 61174, route exchange format, from memory (medium): the leg of a waypoint
// leads to it; defaultWaypoint gives the leg where a waypoint has none; some writers spell
// the element of the schedule sheduleElement.
func ParseRTZ(file string, src []byte) (*Track, error) {
	f, err := newTrackFile(file, src)
	if err != nil {
		return nil, err
	}
	r := rtz{trackFile: f, byID: map[string]int{}, manual: map[string]times{}, calculated: map[string]times{}}
	f.walk("route", "RTZ", &r)
	if len(f.d.faults) == 0 && len(r.points) > 0 {
		r.schedule()
	}
	return f.track("export the route with its waypoints")
}

type rtz struct {
	*trackFile
	points    []waypoint
	byID      map[string]int
	usual     string // geometryType of defaultWaypoint
	schedules int

	manual, calculated map[string]times // by the waypoint's id
}

type waypoint struct {
	at     int
	id     string
	place  earth.Point
	placed bool   // it has a position
	way    string // geometryType of its leg
}

// times of a waypoint in a schedule; zero: not said.
type times struct {
	at       int
	eta, etd time.Time
}

func (r *rtz) open(path string, e *element) {
	switch path {
	case "route/routeInfo":
		r.name, _ = e.find("routeName")
		r.name = strings.TrimSpace(r.name)
	case "route/waypoints/defaultWaypoint/leg":
		r.usual = r.geometry(e)
	case "route/waypoints/waypoint":
		id, ok := e.find("id")
		field := fmt.Sprintf("waypoint[%d]", len(r.points)+1)
		if id = strings.TrimSpace(id); !ok || id == "" {
			r.fault(e.at, field+".id", "is missing", "every waypoint needs the id by which the schedule names it")
		} else if first, twice := r.byID[id]; twice {
			r.fault(e.at, field+".id", fmt.Sprintf("%q is already the waypoint of line %d", id, r.d.place(r.points[first].at).Line), "give every waypoint an id of its own")
		}
		r.byID[id] = len(r.points)
		r.points = append(r.points, waypoint{at: e.at, id: id})
	case "route/waypoints/waypoint/position":
		w := &r.points[len(r.points)-1]
		w.placed = true
		w.place, _ = r.position(e, fmt.Sprintf("waypoint[%d]", len(r.points)))
	case "route/waypoints/waypoint/leg":
		r.points[len(r.points)-1].way = r.geometry(e)
	case "route/schedules/schedule":
		if r.schedules++; r.schedules == 2 {
			r.fault(e.at, "schedule[2]", "is a second schedule", "export the route with the one you will keep")
		}
	case "route/schedules/schedule/manual/scheduleElement", "route/schedules/schedule/manual/sheduleElement":
		r.element(e, r.manual)
	case "route/schedules/schedule/calculated/scheduleElement", "route/schedules/schedule/calculated/sheduleElement":
		r.element(e, r.calculated)
	}
}

func (r *rtz) shut(path string, e *element) {
	if path == "route/waypoints/waypoint" {
		if w := r.points[len(r.points)-1]; !w.placed {
			r.fault(e.at, fmt.Sprintf("waypoint[%d].position", len(r.points)), "is missing", "export the route again with its positions")
		}
	}
}

func (r *rtz) geometry(e *element) string {
	way, ok := e.find("geometryType")
	if ok && way != "Loxodrome" && way != "Orthodrome" {
		r.fault(e.at, "leg.geometryType", fmt.Sprintf("%q is not a kind of leg", way), `write "Loxodrome" or "Orthodrome"`)
	}
	return way
}

func (r *rtz) element(e *element, into map[string]times) {
	id, _ := e.find("waypointId")
	id = strings.TrimSpace(id)
	t := into[id]
	t.at = e.at
	for _, x := range []struct {
		name string
		dst  *time.Time
	}{{"eta", &t.eta}, {"etd", &t.etd}} {
		if text, ok := e.find(x.name); ok {
			*x.dst, _ = r.moment(e.at, e.name+"."+x.name, text)
		}
	}
	into[id] = t
}

// schedule gives the waypoints their times.
func (r *rtz) schedule() {
	for _, list := range []map[string]times{r.manual, r.calculated} {
		for id, t := range list {
			if _, ok := r.byID[id]; !ok {
				r.fault(t.at, "scheduleElement.waypointId", fmt.Sprintf("%q is no waypoint of the route", id), "export the route again with its schedule")
			}
		}
	}
	if len(r.manual)+len(r.calculated) == 0 {
		r.fault(r.points[0].at, "", "the route has no schedule", "enter the departure from the first waypoint and the arrival at the last, and export it again")
	}
	at := make([]times, len(r.points))
	for i, w := range r.points {
		at[i] = r.calculated[w.id]
		if m := r.manual[w.id]; !m.eta.IsZero() {
			at[i].eta = m.eta
		}
		if m := r.manual[w.id]; !m.etd.IsZero() {
			at[i].etd = m.etd
		}
		if t := at[i]; !t.eta.IsZero() && !t.etd.IsZero() && t.etd.Before(t.eta) {
			r.fault(w.at, fmt.Sprintf("waypoint[%d]", i+1), fmt.Sprintf("departs at %s, before it arrives at %s", moment(t.etd), moment(t.eta)), "correct one of the two")
		}
	}
	for _, end := range []struct {
		i       int
		problem string
	}{{0, "the first waypoint has no time"}, {len(at) - 1, "the last waypoint has no time"}} {
		if at[end.i].eta.IsZero() && at[end.i].etd.IsZero() && len(r.d.faults) == 0 {
			r.fault(r.points[end.i].at, fmt.Sprintf("waypoint[%d]", end.i+1), end.problem, "enter the departure from the first waypoint and the arrival at the last, and export it again")
		}
	}
	if len(r.d.faults) == 0 {
		r.sail(at)
	}
}

// sail turns waypoints and their times into fixes; runs of waypoints without a time are
// passed at the even speed between those that have one.
func (r *rtz) sail(at []times) {
	p := piece{at: r.points[0].at, what: "route"}
	put := func(i int, t time.Time) {
		rhumb := i > 0 && r.way(i) != "Orthodrome"
		p.fixes = append(p.fixes, placed{Fix{t, r.points[i].place, rhumb}, r.points[i].at, fmt.Sprintf("waypoint[%d]", i+1)})
	}
	last := 0 // waypoint with a time, and when it is left
	var left time.Time
	for i, t := range at {
		if t.eta.IsZero() && t.etd.IsZero() {
			continue
		}
		if t.eta.IsZero() {
			t.eta = t.etd
		}
		if t.etd.IsZero() {
			t.etd = t.eta
		}
		if i > last+1 {
			run := make([]unit.Length, i-last+1) // from the last waypoint with a time
			for k := last + 1; k <= i; k++ {
				run[k-last] = run[k-last-1] + leg{r.points[k-1].place, r.points[k].place, r.way(k) != "Orthodrome"}.length()
			}
			for k := last + 1; k < i; k++ {
				share := 0.0
				if total := run[i-last]; total > 0 {
					share = float64(run[k-last] / total)
				}
				put(k, left.Add(time.Duration(share*float64(t.eta.Sub(left)))))
			}
		}
		put(i, t.eta)
		put(i, t.etd)
		last, left = i, t.etd
	}
	r.pieces = []piece{p}
}

// way is the geometryType of the leg that leads to a waypoint.
func (r *rtz) way(i int) string {
	if w := r.points[i].way; w != "" {
		return w
	}
	return r.usual
}
