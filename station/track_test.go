package station

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"farhail/hf/earth"
	"farhail/unit"
)

// Tracks to break. Invented.
const goodGPX = `<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="by hand" xmlns="http://www.topografix.com/GPX/1/1">
<metadata><name>South to the islands</name></metadata>
<wpt lat="38.5" lon="-28.6"><name>Horta side</name></wpt>
<trk><trkseg>
<trkpt lat="38.5" lon="-28.6"><time>2026-11-26T06:00:00Z</time></trkpt>
<trkpt lat="36.5" lon="-28.0"><ele>0</ele><time>2026-11-26T22:00:00Z</time><extensions><time>not one of ours</time></extensions></trkpt>
</trkseg><trkseg>
<trkpt lat="34.5" lon="-27.5"><time>2026-11-27T14:00:00.500+00:00</time></trkpt>
</trkseg></trk>
</gpx>
`

const goodRTZ = `<?xml version="1.0" encoding="UTF-8"?>
<route version="1.0" xmlns="http://www.cirm.org/RTZ/1/0">
<routeInfo routeName="Islands"/>
<waypoints>
<defaultWaypoint radius="0.5"><leg geometryType="Orthodrome"/></defaultWaypoint>
<waypoint id="1"><position lat="38.5" lon="-28.6"/></waypoint>
<waypoint id="2"><position lat="36.5" lon="-28.6"/><leg geometryType="Loxodrome"/></waypoint>
<waypoint id="3"><position lat="35.5" lon="-28.6"/></waypoint>
<waypoint id="4"><position lat="34.5" lon="-20.0"/><leg speedMin="4" geometryType="Loxodrome"/></waypoint>
</waypoints>
<schedules><schedule id="1" name="plan">
<manual>
<scheduleElement waypointId="1" etd="2026-11-26T06:00:00Z"/>
<scheduleElement waypointId="3" eta="2026-11-27T12:00:00Z" etd="2026-11-27T18:00:00Z"/>
</manual>
<calculated>
<scheduleElement waypointId="1" etd="2026-11-26T07:00:00Z"/>
<scheduleElement waypointId="4" eta="2026-11-29T18:00:00Z"/>
</calculated>
</schedule></schedules>
</route>
`

const goodTrackCSV = "time,position\n2026-11-26T06:00:00Z,38.5N 28.6W\n2026-11-26T22:00:00Z,\"36.5, -28.0\"\n"

func on(hour float64) time.Time {
	return time.Date(2026, 11, 26, 0, 0, 0, 0, time.UTC).Add(time.Duration(hour * float64(time.Hour)))
}

func ExampleParseGPX() {
	t, err := ParseGPX("passage.gpx", []byte(goodGPX))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(t.Name)
	for _, h := range []float64{0, 6, 14, 30, 99} {
		p, ok := t.At(on(h))
		fmt.Println(p, ok)
	}
	// Output:
	// South to the islands
	// 38°30.0′N 028°36.0′W false
	// 38°30.0′N 028°36.0′W true
	// 37°30.0′N 028°17.8′W true
	// 35°30.0′N 027°44.8′W true
	// 34°30.0′N 027°30.0′W false
}

// Legs with a time only at their ends are sailed at an even speed; a stay is stayed at;
// what was entered by hand stands before what was calculated.
func TestRTZ(t *testing.T) {
	tr, err := ParseRTZ("islands.rtz", []byte(goodRTZ))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		hour float64
		want earth.Point
	}{
		{6, earth.At(38.5, -28.6)}, {7.5, earth.At(38.35, -28.6)}, // 3° in 30 h down the meridian
		{26, earth.At(36.5, -28.6)}, {36, earth.At(35.5, -28.6)}, {40, earth.At(35.5, -28.6)}, {42, earth.At(35.5, -28.6)}, {90, earth.At(34.5, -20)},
	} {
		got, ok := tr.At(on(c.hour))
		if d := earth.Between(got, c.want).D; !ok || d > unit.Metre {
			t.Errorf("at hour %g: %v %v, want %v within 1 m", c.hour, got, ok, c.want)
		}
	}
	// Half way on the last leg, a rhumb line: half the latitude, and more than half the
	// longitude only by the stretching of the chart.
	half, _ := tr.At(on(66))
	if math.Abs(half.Lat.Deg()-35) > 1e-9 || math.Abs(half.Lon.Deg()+24.3) > 0.02 {
		t.Errorf("half way on the last leg: %v", half)
	}
	// By its default the leg would be a great circle, which runs north of it.
	great, err := ParseRTZ("islands.rtz", []byte(strings.Replace(goodRTZ, ` geometryType="Loxodrome"/></waypoint>
</waypoints>`, `/></waypoint></waypoints>`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	if p, _ := great.At(on(66)); p.Lat.Deg() < half.Lat.Deg()+0.05 || p != (leg{earth.At(35.5, -28.6), earth.At(34.5, -20), false}).at(0.5) {
		t.Errorf("half way on the great circle %v, on the rhumb line %v", p, half)
	}
	if from, to := tr.Span(); tr.Name != "Islands" || from != on(6) || to != on(90) {
		t.Errorf("%q from %v to %v", tr.Name, from, to)
	}
}

// Two ways of writing it down give one track.
func TestTrackCSVAgreesWithGPX(t *testing.T) {
	a, err := ParseTrack("a.CSV", []byte(goodTrackCSV))
	if err != nil {
		t.Fatal(err)
	}
	b, err := ParseTrack("b.gpx", []byte(goodGPX))
	if err != nil {
		t.Fatal(err)
	}
	for h := 6.0; h <= 22; h += 0.25 {
		p, _ := a.At(on(h))
		q, _ := b.At(on(h))
		if earth.Between(p, q).D > unit.Metre {
			t.Fatalf("hour %g: %v and %v", h, p, q)
		}
	}
}

// A route ahead and a track behind in one file: in order of time, whatever the order of the
// file, and the file's own order inside.
func TestGPXPiecesInOrderOfTime(t *testing.T) {
	const points = `<gpx><rte><rtept lat="2" lon="0"><time>2026-11-26T12:00:00</time></rtept><rtept lat="3" lon="0"><time>2026-11-26T15:00:00Z</time></rtept></rte>
<trk><name>behind</name><trkseg><trkpt lat="0" lon="0"><time>2026-11-26T06:00:00+02:00</time></trkpt><trkpt lat="0" lon="0"><time>2026-11-26T06:00:00+02:00</time></trkpt><trkpt lat="1" lon="0"><time>2026-11-26T09:00:00Z</time></trkpt></trkseg><trkseg/></trk></gpx>`
	tr, err := ParseGPX("both.gpx", []byte(points))
	if err != nil {
		t.Fatal(err)
	}
	if n := len(tr.Fixes()); n != 4 || tr.Name != "behind" {
		t.Fatalf("%d fixes of %q", n, tr.Name)
	}
	for hour, lat := range map[float64]float64{4: 0, 9: 1, 10.5: 1.5, 12: 2, 13.5: 2.5} {
		if p, ok := tr.At(on(hour)); !ok || math.Abs(p.Lat.Deg()-lat) > 1e-9 {
			t.Errorf("hour %g: %v %v, want latitude %g", hour, p, ok, lat)
		}
	}
}

func TestBrokenTracks(t *testing.T) {
	gpx := func(old, new string) string { return strings.Replace(goodGPX, old, new, 1) }
	rtz := func(old, new string) string { return strings.Replace(goodRTZ, old, new, 1) }
	schedule := goodRTZ[strings.Index(goodRTZ, "<schedules>"):strings.Index(goodRTZ, "</route>")]
	for _, c := range []struct{ file, src, want string }{
		{"a.gpx", gpx(`<time>2026-11-26T22:00:00Z</time>`, ""), `a.gpx:7:1: trkpt[2]: has no time; add <time>`},
		{"a.gpx", strings.NewReplacer("<time>", "<was>", "</time>", "</was>").Replace(goodGPX), `a.gpx:6:1: trkpt[1]: has no time, nor have 2 other points; add`},
		{"a.gpx", gpx("T22:00:00Z", "T05:00:00Z"), `a.gpx:7:1: trkpt[2]: time runs backwards, from 2026-11-26T06:00:00Z to 2026-11-26T05:00:00Z; put`},
		{"a.gpx", gpx("T22:00:00Z", "T06:00:00Z"), `a.gpx:7:1: trkpt[2]: is at another place than the point before at the same time`},
		{"a.gpx", gpx("2026-11-27T14:00:00.500", "2026-11-26T14:00:00"), `a.gpx:9:1: trkpt[3]: track begins at 2026-11-26T14:00:00Z, before the track of line 5 ends; take`},
		{"a.gpx", gpx(`lat="36.5"`, `lat="91"`), `a.gpx:7:1: trkpt[2].lat: latitude of 91° is out of range; give −90° to 90°`},
		{"a.gpx", gpx(`lon="-28.0"`, `lon="-180.5"`), `a.gpx:7:1: trkpt[2].lon: longitude of -180.5° is out of range`},
		{"a.gpx", gpx(`lat="36.5"`, ``), `a.gpx:7:1: trkpt[2].lat: is missing; every point`},
		{"a.gpx", gpx(`lat="36.5"`, `lat="NaN"`), `a.gpx:7:1: trkpt[2].lat: "NaN" is not a latitude; write`},
		{"a.gpx", gpx(`lat="36.5"`, `lat="0x1p3"`), `trkpt[2].lat: "0x1p3" is not a latitude`},
		{"a.gpx", gpx("2026-11-26T22:00:00Z", "10 pm"), `trkpt[2].time: "10 pm" is not a time; write it in UTC`},
		{"a.gpx", gpx("2026-11-26T22:00:00Z", "0026-11-26T22:00:00Z"), `trkpt[2].time: the year of "0026-11-26T22:00:00Z" is out of range`},
		{"a.gpx", `<gpx version="1.1"><wpt lat="1" lon="2"/></gpx>`, `a.gpx: there is no point in the file; export a track`},
		{"a.gpx", "", `a.gpx: the file is empty; export`},
		{"a.gpx", "<kml/>", `a.gpx:1:1: begins with <kml>, not with <gpx>; export`},
		{"a.gpx", gpx("</trkseg></trk>", "</trk>"), `a.gpx:10:1: the file cannot be read as XML: element <trkseg> closed by </trk>; export`},
		{"a.gpx", goodGPX[:500], `the file cannot be read as XML: `},
		{"a.gpx", gpx("UTF-8", "UTF-16"), `a.gpx:1:1: the file is written in UTF-16; save it as UTF-8`},
		{"a.gpx", "<gpx>" + strings.Repeat("<a>", 70), `a.gpx:1:195: more than 64 elements stand in each other; export`},
		{"a.gpx", goodGPX + strings.Repeat(" ", maxTrack), `the file has 10000577 bytes; thin it out or cut off what is past; at most 10000000 are read`},
		{"a.gpz", goodGPX, `a.gpz: ".gpz" is not a kind of track; give a .gpx, .rtz or .csv file`},

		{"a.rtz", rtz(schedule, ""), `a.rtz:6:1: the route has no schedule; enter`},
		{"a.rtz", rtz(schedule, schedule+"<schedules><schedule/></schedules>"), `schedule[2]: is a second schedule; export`},
		{"a.rtz", strings.NewReplacer("06:00:00Z", "06:00Z").Replace(goodRTZ), `a.rtz:13:1: scheduleElement.etd: "2026-11-26T06:00Z" is not a time`},
		{"a.rtz", strings.NewReplacer("etd=\"2026-11-26", "was=\"2026-11-26").Replace(goodRTZ), `a.rtz:6:1: waypoint[1]: the first waypoint has no time; enter`},
		{"a.rtz", rtz(`waypointId="4"`, `waypointId="3"`), `a.rtz:9:1: waypoint[4]: the last waypoint has no time; enter`},
		{"a.rtz", rtz(`waypointId="4"`, `waypointId="5"`), `a.rtz:18:1: scheduleElement.waypointId: "5" is no waypoint of the route`},
		{"a.rtz", rtz("2026-11-29", "2026-11-26"), `a.rtz:9:1: waypoint[4]: time runs backwards`},
		{"a.rtz", rtz(`eta="2026-11-27T12`, `eta="2026-11-27T20`), `a.rtz:8:1: waypoint[3]: departs at 2026-11-27T18:00:00Z, before it arrives at 2026-11-27T20:00:00Z; correct`},
		{"a.rtz", rtz(`id="2"`, `id="1"`), `a.rtz:7:1: waypoint[2].id: "1" is already the waypoint of line 6; give`},
		{"a.rtz", rtz(`id="2"`, ``), `a.rtz:7:1: waypoint[2].id: is missing; every`},
		{"a.rtz", rtz(`lat="36.5"`, `lat="-91"`), `a.rtz:7:18: waypoint[2].lat: latitude of -91° is out of range`},
		{"a.rtz", rtz(`<position lat="36.5" lon="-28.6"/>`, ``), `waypoint[2].position: is missing; export`},
		{"a.rtz", rtz(`<leg geometryType="Loxodrome"/>`, `<leg geometryType="Bezier"/>`), `leg.geometryType: "Bezier" is not a kind of leg; write "Loxodrome" or "Orthodrome"`},
		{"a.rtz", `<route><waypoints/></route>`, `a.rtz: there is no point in the file; export the route with its waypoints`},

		{"a.csv", "", `a.csv: there is no point in the file; begin with a row time,position`},
		{"a.csv", "time,lat\n", `a.csv:1:1: the first row names "time, lat"; it must name time and position`},
		{"a.csv", goodTrackCSV + "2026-11-27T00:00:00Z,91N 3W\n", `a.csv:4:1: row 4.position: latitude of 91`},
		{"a.csv", goodTrackCSV + "2026-11-27T00:00:00Z,30,-20\n", `a.csv:4:1: row 4: has 3 cells, the first row 2; put`},
		{"a.csv", goodTrackCSV + "tomorrow,30N 20W\n", `a.csv:4:1: row 4.time: "tomorrow" is not a time`},
		{"a.csv", goodTrackCSV + "2026-11-26T00:00:00Z,30N 20W\n", `a.csv:4:1: row 4: time runs backwards`},
		{"a.csv", goodTrackCSV + "\"2026", `the row cannot be read: `},
	} {
		tr, err := ParseTrack(c.file, []byte(c.src))
		var faults Faults
		if tr != nil || !errors.As(err, &faults) || !strings.Contains(faults[0].Error(), c.want) {
			t.Errorf("%s\ngot  %v\nwant %s", c.file, err, c.want)
		}
	}
	var wrong strings.Builder
	for range 100 {
		wrong.WriteString(`<trkpt lat="91" lon="0"><time>2026-11-26T06:00:00Z</time></trkpt>`)
	}
	_, err := ParseGPX("a.gpx", []byte("<gpx><trk><trkseg>"+wrong.String()+"</trkseg></trk></gpx>"))
	if n := len(err.(Faults)); n != maxTrackFaults {
		t.Errorf("a hundred wrong points are told in %d faults, want %d", n, maxTrackFaults)
	}
}

func judgeTrack(t *testing.T, file string, tr *Track, err error) {
	t.Helper()
	if err != nil {
		refused(t, file, err, tr == nil)
		return
	}
	fixes := tr.Fixes()
	from, to := tr.Span()
	if len(fixes) == 0 || from != fixes[0].At || to != fixes[len(fixes)-1].At {
		t.Fatalf("%d fixes from %v to %v", len(fixes), from, to)
	}
	sound := func(p earth.Point) bool {
		return math.Abs(p.Lat.Deg()) <= 90+1e-9 && math.Abs(p.Lon.Deg()) <= 180+1e-9
	}
	for i, f := range fixes {
		if i > 0 && !f.At.After(fixes[i-1].At) {
			t.Fatalf("fix %d at %v, after %v", i, f.At, fixes[i-1].At)
		}
		p, ok := tr.At(f.At)
		if !ok || p != f.Place || !sound(p) {
			t.Fatalf("fix %d: %v, At says %v %v", i, f.Place, p, ok)
		}
		if i > 0 {
			mid := fixes[i-1].At.Add(f.At.Sub(fixes[i-1].At) / 3)
			if p, ok := tr.At(mid); !ok || !sound(p) {
				t.Fatalf("between %v and %v: %v %v", fixes[i-1], f, p, ok)
			}
		}
	}
	if p, ok := tr.At(from.Add(-time.Nanosecond)); ok || p != fixes[0].Place {
		t.Fatalf("before the track: %v %v", p, ok)
	}
	if p, ok := tr.At(to.Add(time.Nanosecond)); ok || p != fixes[len(fixes)-1].Place {
		t.Fatalf("after the track: %v %v", p, ok)
	}
}

func FuzzParseGPX(f *testing.F) {
	f.Add([]byte(goodGPX))
	f.Add([]byte("\ufeff" + strings.ReplaceAll(goodGPX, "\n", "\r\n")))
	f.Add([]byte(strings.ReplaceAll(goodGPX, "trkseg", "rte")))
	f.Fuzz(func(t *testing.T, src []byte) {
		tr, err := ParseGPX("a.gpx", src)
		judgeTrack(t, "a.gpx", tr, err)
	})
}

func FuzzParseRTZ(f *testing.F) {
	f.Add([]byte(goodRTZ))
	f.Add([]byte(strings.ReplaceAll(goodRTZ, "scheduleElement", "sheduleElement")))
	f.Fuzz(func(t *testing.T, src []byte) {
		tr, err := ParseRTZ("a.rtz", src)
		judgeTrack(t, "a.rtz", tr, err)
	})
}

func FuzzParseTrackCSV(f *testing.F) {
	f.Add([]byte(goodTrackCSV))
	f.Add([]byte("\ufeffposition;time\r\nHM58qm;2026-11-26T06:00:00\r\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		tr, err := ParseTrackCSV("a.csv", src)
		judgeTrack(t, "a.csv", tr, err)
	})
}

func TestTrackWithoutFixes(t *testing.T) {
	var tr Track
	if p, ok := tr.At(on(0)); ok || p != (earth.Point{}) {
		t.Errorf("%v %v", p, ok)
	}
}
