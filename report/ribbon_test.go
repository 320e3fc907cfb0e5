package report

import (
	"encoding/xml"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

var ribbonDay = time.Date(2026, 11, 25, 15, 0, 0, 0, time.UTC)

// sampleRibbon is invented and shaped like a day: the MUF falls at night, the LUF rises by
// day.
func sampleRibbon() *Ribbon { return ribbonOver(1) }

// ribbonOver is the same over several days.
func ribbonOver(days int) *Ribbon {
	r := &Ribbon{From: ribbonDay, To: ribbonDay.AddDate(0, 0, days), Now: ribbonDay.Add(158 * time.Minute), Focus: "Near", Slot: 15 * time.Minute}
	for h := range 24*days + 2 {
		light := math.Cos(float64(h-20) / 24 * 2 * math.Pi)
		e := Edge{At: ribbonDay.Add(time.Duration(h) * time.Hour)}
		for k, z := range []float64{1.28, 0.67, 0, -0.67, -1.28} {
			e.High[k], e.Low[k] = 12+5*light+1.5*z, 4+2*light-0.6*z
		}
		r.Edges = append(r.Edges, e)
	}
	wave := func(phase float64) (row []float64) {
		for i := range 96 * days {
			row = append(row, 0.5+0.49*math.Sin(phase+float64(i)/96*2*math.Pi))
		}
		return row
	}
	for i := range 96 * days {
		r.Steps = append(r.Steps, ribbonDay.Add(time.Duration(i)*r.Slot+r.Slot/2))
	}
	for i, f := range []float64{4.19, 6.325, 8.37, 12.61, 16.815} {
		r.Channels = append(r.Channels, Bar{f, wave(float64(i))})
	}
	shut := wave(2)
	for i := 20; i < 40; i++ {
		shut[i] = -1
	}
	for _, n := range []string{"Far Head", "Other Cay"} {
		mhz := make([]float64, 96*days)
		for i := range mhz {
			mhz[i] = 8.43
		}
		r.Strands = append(r.Strands, Strand{Station: n, HeadingDeg: 37, Chance: shut, MHz: mhz})
	}
	for n := range days {
		r.Nights = append(r.Nights, Night{ribbonDay.AddDate(0, 0, n).Add(215 * time.Minute), ribbonDay.AddDate(0, 0, n).Add(18 * time.Hour)})
	}
	r.Calls = []Planned{{No: 1, Start: r.Now, Minutes: 9, Station: "Near", MHz: 12.61}, {Start: r.Now.Add(5 * time.Minute), Station: "Near", MHz: 8.37, Fallback: true},
		{Start: r.Now.Add(9 * time.Minute), Station: "Far Head", MHz: 8.43, Fallback: true}, {No: 2, Start: ribbonDay.Add(9 * time.Hour), Minutes: 5, Station: "Far Head", MHz: 8.43}}
	r.Outcomes = []Outcome{{ribbonDay.Add(time.Hour), "Near", 8.37, "connected"}, {ribbonDay.Add(90 * time.Minute), "Other Cay", 8.43, "busy"}, {ribbonDay.Add(2 * time.Hour), "Far Head", 8.43, "broken off"}}
	r.Battery = &Lane{Reserve: 0.3}
	for i := range 96 * days {
		v := 0.8 - 0.003*float64(i)/float64(days)
		r.Battery.At = append(r.Battery.At, r.Now.Add(time.Duration(i)*r.Slot))
		r.Battery.Mid, r.Battery.Low, r.Battery.High = append(r.Battery.Mid, v), append(r.Battery.Low, v-0.02), append(r.Battery.High, v+0.02)
	}
	r.Load = &Load{KB: 96, Drops: []Drop{{r.Now, r.Now.Add(9 * time.Minute), 38}}, Due: []Due{{ribbonDay.Add(5 * time.Hour), "the doctor's answer"}, {ribbonDay.Add(5*time.Hour + 9*time.Minute), "weather"}}}
	return r
}

var widths = []float64{300, 328, 559, 560, 764, 899, 900, 1200, 1800}

// Everything lies on the picture, at every width.
func TestRibbonStaysOnThePicture(t *testing.T) {
	for _, w := range widths {
		p := Lay(sampleRibbon(), FrameFor(w))
		if len(p.Shapes) < 60 {
			t.Fatalf("width %g: %d shapes", w, len(p.Shapes))
		}
		for _, s := range p.Shapes {
			pts := s.Points
			if s.Kind == "rect" {
				pts = [][2]float64{pts[0], {pts[0][0] + pts[1][0], pts[0][1] + pts[1][1]}}
			}
			if s.Kind == "circle" {
				pts = pts[:1]
			}
			for _, q := range pts {
				if !(q[0] >= -1 && q[0] <= p.W+1 && q[1] >= -1 && q[1] <= p.H+1) {
					t.Fatalf("width %g: %s %q at %v is off the picture of %g × %g", w, s.Kind, s.Class, q, p.W, p.H)
				}
			}
		}
	}
}

// Over several days each midnight is named with its day, and no two words of the axis or
// of the Sun touch; the battery's lowest point says its day.
func TestRibbonOverDays(t *testing.T) {
	for _, days := range []int{1, 2, 3} {
		for _, w := range widths {
			r := ribbonOver(days)
			p := Lay(r, FrameFor(w))
			named := 0
			rows := map[float64][]box{}
			for _, s := range p.Shapes {
				for _, q := range s.Points[:1] {
					if !(q[0] >= -1 && q[0] <= p.W+1 && q[1] >= -1 && q[1] <= p.H+1) {
						t.Fatalf("%d days, width %g: %s %q at %v is off the picture", days, w, s.Kind, s.Class, q)
					}
				}
				if s.Class != "hour" && s.Class != "hour strong" && s.Class != "sun" {
					continue
				}
				if s.Class == "hour strong" {
					if want := r.From.AddDate(0, 0, named+1).Format("Mon 2"); !strings.Contains(s.Text, want) && (days > 1 || w >= 560) {
						t.Errorf("%d days, width %g: midnight is %q, want %s in it", days, w, s.Text, want)
					}
					named++
				}
				b := room(s.Points[0][0], s.Points[0][1], s.Anchor, s.Text, 13)
				for _, o := range rows[s.Points[0][1]] {
					if b.meets(o) {
						t.Errorf("%d days, width %g: %q touches its neighbour", days, w, s.Text)
					}
				}
				rows[s.Points[0][1]] = append(rows[s.Points[0][1]], b)
			}
			if named != days {
				t.Errorf("%d days, width %g: %d midnights are named", days, w, named)
			}
			if len(rows) != 2 {
				t.Errorf("%d days, width %g: words on %d levels, want those of the axis and of the Sun", days, w, len(rows))
			}
			low := slices.ContainsFunc(p.Shapes, func(s Shape) bool { return strings.Contains(s.Text, " % on ") })
			if w >= 560 && low != (days > 1) {
				t.Errorf("%d days, width %g: the lowest point says its day: %v", days, w, low)
			}
		}
	}
}

// A surer tint lies inside a less sure one.
func TestRibbonTintsNest(t *testing.T) {
	p := Lay(sampleRibbon(), FrameFor(1200))
	type span struct{ top, foot float64 }
	at := map[string]map[float64]span{}
	for _, s := range p.Shapes {
		if s.Kind != "area" || len(s.Class) != 2 || s.Class[0] != 'w' {
			continue
		}
		if at[s.Class] == nil {
			at[s.Class] = map[float64]span{}
		}
		for i := range len(s.Points) / 2 {
			a, b := s.Points[i], s.Points[len(s.Points)-1-i]
			at[s.Class][a[0]] = span{a[1], b[1]}
		}
	}
	if len(at) != 5 {
		t.Fatalf("%d tints, want 5", len(at))
	}
	n := 0
	for k := 5; k > 1; k-- {
		in, out := at["w"+string(rune('0'+k))], at["w"+string(rune('0'+k-1))]
		for x, s := range in {
			o, ok := out[x]
			if n++; !ok || s.top < o.top || s.foot > o.foot {
				t.Fatalf("tint %d at x = %g spans %v, outside tint %d's %v", k, x, s, k-1, o)
			}
		}
	}
	if n < 500 {
		t.Fatalf("only %d columns compared", n)
	}
}

// Where no frequency carries, nothing is tinted, and the picture says so.
func TestRibbonShut(t *testing.T) {
	r := sampleRibbon()
	for i := range r.Edges {
		for k := range r.Edges[i].Low {
			r.Edges[i].Low[k] = math.Inf(1)
		}
	}
	said := false
	for _, s := range Lay(r, FrameFor(1200)).Shapes {
		if s.Kind == "area" && strings.HasPrefix(s.Class, "w") {
			t.Fatalf("tint %s is painted on a sky that carries nothing", s.Class)
		}
		said = said || s.Text == "shut"
		if s.Text == "open" {
			t.Fatal("says open on a sky that carries nothing")
		}
	}
	if !said {
		t.Fatal("does not say shut")
	}
}

// Words that were given room do not lie on each other.
func TestRibbonWordsApart(t *testing.T) {
	placed := map[string]float64{"gatetime": 13, "best": 12.5, "best halo": 12.5, "when halo": 13.5, "number halo": 14.5, "number first halo": 18, "else halo": 13.5}
	for _, w := range widths {
		var all []box
		var words []string
		for _, s := range Lay(sampleRibbon(), FrameFor(w)).Shapes {
			if size, ok := placed[s.Class]; ok {
				b := room(s.Points[0][0], s.Points[0][1], s.Anchor, s.Text, size)
				for i, o := range all {
					if b.meets(o) {
						t.Errorf("width %g: %q lies on %q", w, s.Text, words[i])
					}
				}
				all, words = append(all, b), append(words, s.Text)
			}
		}
		if len(all) == 0 {
			t.Fatalf("width %g: no words", w)
		}
	}
}

// Where the station's hours end all channels shut at once: it is said once.
func TestRibbonHoursSaidOnce(t *testing.T) {
	r := sampleRibbon()
	r.Calls = nil
	for c := range r.Channels {
		for i := range r.Channels[c].Chance {
			if r.Channels[c].Chance[i] = 0.9; i >= 40 && i < 60 { // 01:00 to 06:00
				r.Channels[c].Chance[i] = -1
			}
		}
	}
	said := map[string]int{}
	for _, s := range Lay(r, FrameFor(1200)).Shapes {
		if s.Class == "gatetime" {
			said[s.Text]++
			if y := s.Points[0][1]; y > 120 {
				t.Errorf("%s is said at %g, not at the highest channel", s.Text, y)
			}
		}
	}
	if len(said) != 2 || said["01:00"] != 1 || said["06:00"] != 1 {
		t.Fatalf("hours said: %v", said)
	}
}

// No number or time of a call lies on the string where there is another place, and none
// over the line of now or left of it, where the past and the names are.
func TestRibbonNumbersClear(t *testing.T) {
	for _, w := range []float64{764, 1200} {
		r := sampleRibbon()
		r.Calls = nil
		for i, at := range []int{0, 15, 30, 45, 60, 700, 760} { // back and forth between two strands
			r.Calls = append(r.Calls, Planned{No: i + 1, Start: r.Now.Add(time.Duration(at) * time.Minute), Minutes: 1, Station: r.Strands[i%2].Station, MHz: 8.43})
		}
		pic := Lay(r, FrameFor(w))
		nowX := pic.X0 + float64(r.Now.Sub(r.From))/float64(r.To.Sub(r.From))*(pic.X1-pic.X0)
		var runs [][2][2]float64
		for _, s := range pic.Shapes {
			if s.Class == "string" {
				runs = append(runs, [2][2]float64{s.Points[0], s.Points[1]})
			}
		}
		numbers := 0
		for _, s := range pic.Shapes {
			size := map[string]float64{"number halo": 14.5, "when halo": 13.5}[s.Class]
			if size == 0 {
				continue
			}
			if s.Class == "number halo" {
				numbers++
			}
			b := room(s.Points[0][0], s.Points[0][1], s.Anchor, s.Text, size)
			if b.x0 < nowX {
				t.Errorf("width %g: %q begins at %g, left of now at %g", w, s.Text, b.x0, nowX)
			}
			for _, l := range runs {
				for k := 0.0; k <= 1; k += 0.01 {
					x, y := l[0][0]+k*(l[1][0]-l[0][0]), l[0][1]+k*(l[1][1]-l[0][1])
					if s.Class == "when halo" && x > b.x0 && x < b.x1 && y > b.y0 && y < b.y1 {
						t.Errorf("width %g: the string strikes %q", w, s.Text)
						break
					}
				}
			}
		}
		if len(runs) != 6 || numbers != 6 {
			t.Fatalf("width %g: %d pieces of string, %d numbers after the first", w, len(runs), numbers)
		}
	}
}

// The hour that the line of now would strike is left out.
func TestRibbonHourAtNow(t *testing.T) {
	for _, late := range []time.Duration{0, 12 * time.Minute, 90 * time.Minute} {
		r := sampleRibbon()
		r.Now = ribbonDay.Add(3*time.Hour + late)
		has := slices.ContainsFunc(Lay(r, FrameFor(1200)).Shapes, func(s Shape) bool { return s.Class == "hour" && s.Text == "18" })
		if has != (late > time.Hour) {
			t.Errorf("%v after 18: its word stands: %v", late, has)
		}
	}
}

// Words of deadlines too close for their own stand at the last of them.
func TestRibbonPennants(t *testing.T) {
	words := func(due ...Due) (out []string) {
		r := sampleRibbon()
		r.Load.Due = due
		for _, s := range Lay(r, FrameFor(1200)).Shapes {
			if s.Class == "due halo" {
				out = append(out, s.Text)
			}
		}
		return out
	}
	at := func(h float64, what string) Due {
		return Due{ribbonDay.Add(time.Duration(h * float64(time.Hour))), what}
	}
	for _, c := range []struct {
		due  []Due
		want []string
	}{
		{[]Due{at(5, "Forecast, please"), at(12, "Position")}, []string{"Forecast, please", "Position"}},
		{[]Due{at(5, "Forecast, please"), at(6, "Position")}, []string{"Forecast, please; Position"}},
		{[]Due{at(5, "Forecast, please"), at(6, "Position"), at(8.5, "Crew")}, []string{"2 due", "Crew"}},
		{[]Due{at(20, "The sea is mostly grey, thank you for asking, and more than that")}, []string{"The sea is mostly grey, thank…"}},
	} {
		if got := words(c.due...); !slices.Equal(got, c.want) {
			t.Errorf("%v: %q, want %q", c.due, got, c.want)
		}
	}
}

// A monotone cubic stays between its points: no swing is invented (Fritsch and Carlson
// 1980), and it goes through them.
func TestSplineStaysBetween(t *testing.T) {
	ts := []float64{0, 1, 2, 3, 4, 5, 6, 7}
	ys := []float64{5, 5, 9, 9.1, 3, 2.9, 2.9, 8}
	s := newSpline(ts, ys)
	for i := range ts {
		if d := math.Abs(s.at(ts[i]) - ys[i]); d > 1e-12 {
			t.Errorf("at %g: %g off the point", ts[i], d)
		}
	}
	for x := 0.0; x <= 7; x += 0.01 {
		i := min(int(x), 6)
		lo, hi := min(ys[i], ys[i+1]), max(ys[i], ys[i+1])
		if y := s.at(x); y < lo-1e-9 || y > hi+1e-9 {
			t.Fatalf("at %g: %g, outside %g to %g", x, y, lo, hi)
		}
	}
	if y := newSpline([]float64{0, 1}, []float64{4, math.Inf(1)}).at(0.2); y != 4 {
		t.Errorf("next to a point without value: %g, want the nearer point, 4", y)
	}
}

// The painted picture is well-formed and every word is text, whatever a station is called.
func TestRibbonSVG(t *testing.T) {
	r := sampleRibbon()
	r.Strands[0].Station = `<script>"&'`
	r.Load.Due[0].What = "</svg><script>"
	d := xml.NewDecoder(strings.NewReader(string(Lay(r, FrameFor(1200)).SVG(`a "label" <b>`, PlainInk))))
	elements := map[string]int{}
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if s, ok := tok.(xml.StartElement); ok {
			elements[s.Name.Local]++
		}
	}
	if elements["script"] != 0 || elements["svg"] != 1 || elements["path"] < 40 || elements["text"] < 20 {
		t.Fatalf("elements: %v", elements)
	}
}

// One station, no plan, nothing known: still a picture.
func TestRibbonOfNothing(t *testing.T) {
	for _, w := range widths {
		p := Lay(&Ribbon{From: ribbonDay, To: ribbonDay.Add(time.Hour), Now: ribbonDay}, FrameFor(w))
		if p.W != w || p.H < 100 {
			t.Fatalf("width %g: %g × %g", w, p.W, p.H)
		}
	}
}

func BenchmarkLay(b *testing.B) {
	r := sampleRibbon()
	for b.Loop() {
		Lay(r, FrameFor(1200))
	}
}
