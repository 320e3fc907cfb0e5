package report

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// aCard has n calls, m stations of the week, and the things mail brings.
func aCard(n, m int) *Card {
	at := time.Date(2026, 11, 25, 17, 38, 0, 0, time.UTC)
	c := &Card{Name: "Saltmarsh", Call: "QX2SM", Position: "38°30.0′N 028°36.0′W", At: at, Until: at.Add(24 * time.Hour), VariationDeg: -8.2,
		Sunset: at.Add(57 * time.Minute), Sunrise: at.Add(15 * time.Hour), Battery: "Battery 81 %, never below 30 %.", Traffic: "To send: 13 messages, 113 kB.",
		Sentence: "Rest: no call in the next 24 hours is worth its energy.", Assumed: []string{"Index IG12 82 ± 17: the table.", "Sending 100 W; noise rural."}}
	r := &Ribbon{From: at.Add(-time.Hour), To: at.Add(23 * time.Hour), Now: at, Focus: "Station 1", Slot: 15 * time.Minute}
	for t := r.From.Add(r.Slot / 2); t.Before(r.To); t = t.Add(r.Slot) {
		r.Steps = append(r.Steps, t)
	}
	wave := func(phase float64) (out []float64) {
		for i := range r.Steps {
			out = append(out, 0.5+0.5*math.Sin(phase+float64(i)/12))
		}
		return out
	}
	for t := r.From; !t.After(r.To.Add(time.Hour)); t = t.Add(time.Hour) {
		e := Edge{At: t}
		for k := range Shares {
			e.High[k], e.Low[k] = 16-float64(k)+4*math.Sin(float64(t.Hour())/4), 4+0.5*float64(k)
		}
		r.Edges = append(r.Edges, e)
	}
	for i, f := range []float64{4.19, 6.325, 8.37, 12.61, 16.815} {
		r.Channels = append(r.Channels, Bar{MHz: f, Chance: wave(float64(i))})
	}
	c.Ribbon = r
	c.Week = Week{From: at.Truncate(24 * time.Hour), Days: 7}
	for i := range m {
		s := WeekStation{Name: fmt.Sprintf("Station %d", i+1), First: Bearing{TrueDeg: 359.7, CompassDeg: 7.9}, Last: Bearing{TrueDeg: 29, CompassDeg: 37}, Planned: i < n}
		for k := range 4 {
			ch := WeekChannel{MHz: 4.19 + 4*float64(k)}
			for d := range 7 {
				open := c.Week.From.AddDate(0, 0, d).Add(time.Duration(5*60+15*d*k) * time.Minute)
				ch.Spans = append(ch.Spans, Span{open, open.Add(7 * time.Hour)})
			}
			s.Channels = append(s.Channels, ch)
		}
		c.Week.Stations = append(c.Week.Stations, s)
		if i > 0 && i < 9 {
			mhz := make([]float64, len(r.Steps))
			for k := range mhz {
				mhz[k] = 8.37
			}
			r.Strands = append(r.Strands, Strand{Station: s.Name, HeadingDeg: 120, Chance: wave(float64(i)), MHz: mhz})
		}
	}
	for i := range n {
		start := at.Add(time.Duration(i*23) * time.Minute)
		call := CardCall{Start: start, Minutes: 3.1, Station: fmt.Sprintf("Station %d", i%max(m, 1)+1), MHz: 12.61, Waveform: "serial-3k", Bearing: Bearing{TrueDeg: 67, CompassDeg: 75.2},
			Connect: 0.72, EnergyWh: 9.1, Messages: 12, First: "Rudder bearing: what would you do?", Bytes: 86253, GiveUp: start.Add(2 * time.Minute)}
		switch i % 4 {
		case 0:
			call.Fallbacks = []CardFallback{{Station: call.Station, MHz: 8.37, Bearing: call.Bearing, Connect: 0.64}, {Station: "Station 2", MHz: 6.325, Bearing: Bearing{Overhead: true}, Connect: 0.99}}
		case 1:
			call.Station, call.First, call.Connect = "A station with a name that is longer than any line has room for", "日本 العربية 🚣 \x1b[31m\nΚαλημέρα", 0.01
		case 2:
			call.Bearing.Overhead, call.Messages, call.BytesIn = true, 0, 4000
		}
		c.Calls = append(c.Calls, call)
		r.Calls = append(r.Calls, Planned{No: i + 1, Start: start, Minutes: 3, Station: call.Station, MHz: 12.61})
	}
	return c
}

// tool finds a program of poppler-utils, which CI has.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is not there: apt-get install poppler-utils", name)
		}
		t.Skipf("%s is not there: apt-get install poppler-utils", name)
	}
	return path
}

type placed struct {
	x0, y0, x1, y1 float64
	s              string
}

var (
	wordMark = regexp.MustCompile(`<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">([^<]*)</word>`)
)

// pages reads a PDF back by another program: where every word stands.
func pages(t *testing.T, pdf []byte) (out [][]placed) {
	t.Helper()
	pdftotext := tool(t, "pdftotext")
	file := filepath.Join(t.TempDir(), "card.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	b, err := exec.Command(pdftotext, "-bbox", file, "-").Output()
	if err != nil {
		t.Fatalf("pdftotext: %v", err)
	}
	for i, part := range strings.Split(string(b), "<page ") {
		if i == 0 {
			continue
		}
		var words []placed
		for _, m := range wordMark.FindAllStringSubmatch(part, -1) {
			var v [4]float64
			for k := range v {
				v[k], _ = strconv.ParseFloat(m[k+1], 64)
			}
			words = append(words, placed{v[0], v[1], v[2], v[3], m[5]})
		}
		if len(words) == 0 {
			t.Fatalf("page %d has no words", i)
		}
		out = append(out, words)
	}
	if len(out) == 0 {
		t.Fatal("no pages")
	}
	return out
}

func TestCardNeverOverflows(t *testing.T) {
	for _, c := range []struct {
		calls, stations int
		chosen          bool
		a5, a4          int // pages
	}{{0, 0, false, 1, 1}, {0, 3, false, 2, 1}, {2, 7, false, 2, 1}, {5, 7, false, 2, 1}, {9, 9, false, 3, 2}, {40, 3, false, 0, 0}, {3, 30, false, 2, 1}, {3, 30, true, 0, 0}} {
		for _, size := range Sizes {
			t.Run(fmt.Sprintf("%d calls, %d stations, %s", c.calls, c.stations, size), func(t *testing.T) {
				card := aCard(c.calls, c.stations)
				card.Week.Chosen = c.chosen
				pdf, err := card.PDF(size)
				if err != nil {
					t.Fatal(err)
				}
				ps := pages(t, pdf)
				want := c.a5
				if size == A4 {
					want = c.a4
				}
				if want > 0 && len(ps) > want {
					t.Errorf("%d pages, want at most %d", len(ps), want)
				}
				var all strings.Builder
				for n, words := range ps {
					for _, w := range words {
						left, right := side-1, leafWidth-side+1
						if size == A4 && w.x0 > leafWidth {
							left, right = left+leafWidth, right+leafWidth
						}
						if w.x0 < left || w.x1 > right || w.y0 < 18 || w.y1 > leafHeight-14 {
							t.Errorf("page %d: %q stands at %.0f…%.0f, %.0f…%.0f, outside %.0f…%.0f, 18…%.0f", n+1, w.s, w.x0, w.x1, w.y0, w.y1, left, right, leafHeight-14)
						}
						all.WriteString(w.s + " ")
					}
				}
				text := all.String()
				for i := range c.calls {
					if s := hm(card.Calls[i].Start); !strings.Contains(text, s) {
						t.Errorf("call %d at %s is not on the card", i+1, s)
					}
				}
				for i, s := range card.Week.Stations {
					if (c.chosen || s.Planned) && !strings.Contains(text, "Station "+strconv.Itoa(i+1)+" ") {
						t.Errorf("%s has no windows on the card", s.Name)
					}
				}
				for _, caution := range Cautions {
					if !strings.Contains(text, caution[:12]) {
						t.Errorf("no caution %q", caution)
					}
				}
			})
		}
	}
}

// No words of the calls or of the week stand on one another. The picture is left out:
// there numbers stand on shapes.
func TestCardWordsStandApart(t *testing.T) {
	for _, calls := range []int{0, 2, 5, 12} {
		card := aCard(calls, 7)
		card.Ribbon = nil
		pdf, err := card.PDF(A5)
		if err != nil {
			t.Fatal(err)
		}
		for n, words := range pages(t, pdf) {
			for i, a := range words {
				for _, b := range words[:i] {
					across, down := min(a.x1, b.x1)-max(a.x0, b.x0), min(a.y1, b.y1)-max(a.y0, b.y0)
					if across > 1 && down > 0.4*min(a.y1-a.y0, b.y1-b.y0) {
						t.Errorf("%d calls, page %d: %q and %q stand on one another by %.1f × %.1f pt", calls, n+1, a.s, b.s, across, down)
					}
				}
			}
		}
	}
}

func TestCardSameBytes(t *testing.T) {
	for _, size := range Sizes {
		a, err := aCard(5, 7).PDF(size)
		if err != nil {
			t.Fatal(err)
		}
		b, err := aCard(5, 7).PDF(size)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two printings of one card differ", size)
		}
	}
}

// Nothing on the card depends on colour: every page is grey.
func TestCardIsGrey(t *testing.T) {
	pdftoppm := tool(t, "pdftoppm")
	pdf, err := aCard(5, 7).PDF(A5)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "c.pdf"), pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := exec.Command(pdftoppm, "-r", "60", filepath.Join(dir, "c.pdf"), filepath.Join(dir, "c")).Run(); err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(filepath.Join(dir, "c-*.ppm"))
	if len(files) != 2 {
		t.Fatalf("%d pages rendered, want 2", len(files))
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var w, h, most int
		if _, err := fmt.Sscanf(string(b), "P6\n%d %d\n%d\n", &w, &h, &most); err != nil {
			t.Fatal(err)
		}
		px := b[len(b)-3*w*h:]
		dark := 0
		for i := 0; i < len(px); i += 3 {
			if px[i] != px[i+1] || px[i] != px[i+2] {
				t.Fatalf("%s: a pixel of colour %v", filepath.Base(f), px[i:i+3])
			}
			if px[i] < 80 {
				dark++
			}
		}
		if share := float64(dark) / float64(w*h); share < 0.005 || share > 0.3 {
			t.Errorf("%s: %.1f %% of it is ink, want 0.5 to 30", filepath.Base(f), 100*share)
		}
	}
}

func TestCardRefusesUnknownPaper(t *testing.T) {
	if _, err := aCard(1, 1).PDF("a3"); err == nil {
		t.Error("printed on a3")
	}
}

// Every class the ribbon uses has an ink.
func TestEveryClassHasInk(t *testing.T) {
	r := aCard(9, 9).Ribbon
	at := r.Now
	r.Battery = &Lane{At: []time.Time{at, at.Add(9 * time.Hour), at.Add(22 * time.Hour)}, Mid: []float64{0.8, 0.5, 0.6}, Low: []float64{0.7, 0.4, 0.5}, High: []float64{0.8, 0.6, 0.7}, Reserve: 0.3}
	r.Load = &Load{KB: 90, Stays: 1900, Drops: []Drop{{at, at.Add(5 * time.Minute), 40}}, Due: []Due{{at.Add(3 * time.Hour), "one"}, {at.Add(9 * time.Hour), "two"}}}
	r.Nights = []Night{{at.Add(time.Hour), at.Add(14 * time.Hour)}}
	r.Before, r.Hidden = r.Edges, "3 more"
	for _, w := range []string{"connected", "no answer", "busy", "broken off"} {
		r.Outcomes = append(r.Outcomes, Outcome{at.Add(-20 * time.Minute), "Station 1", 12.61, w})
	}
	r.Calls = append(r.Calls, Planned{Start: at.Add(2 * time.Minute), Station: "Station 1", MHz: 8.37, Fallback: true})
	for _, width := range []float64{360, 700, 1200} {
		for _, s := range Lay(r, FrameFor(width)).Shapes {
			inkOf(s.Class)
		}
	}
}

func TestWindowsUnderTheirDays(t *testing.T) {
	day := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	h := func(x float64) time.Time { return day.Add(time.Duration(x * float64(time.Hour))) }
	for _, c := range []struct {
		name  string
		spans []Span
		want  string
	}{
		{"none", nil, "·"},
		{"one", []Span{{h(6), h(9.5)}}, "0600–0930"},
		{"over midnight", []Span{{h(22.25), h(26)}}, "2215–0200"},
		{"of the day before", []Span{{h(-2), h(3)}}, "·"},
		{"the whole day", []Span{{h(-30), h(60)}}, "all day"},
		{"shuts on a later day", []Span{{h(14), h(60)}}, "1400–"},
		{"the longest three of four", []Span{{h(1), h(2)}, {h(4), h(4.5)}, {h(8), h(9)}, {h(12), h(13)}}, "0100–0200 0800–0900 1200–1300+"},
	} {
		if got := strings.Join(under(c.spans, day, mostSpans), " "); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

func TestBearings(t *testing.T) {
	for deg, want := range map[float64]string{359.7: "000°", -1: "359°", 7.4: "007°", 720: "000°"} {
		if got := bearing(deg); got != want {
			t.Errorf("bearing %g is written %s, want %s", deg, got, want)
		}
	}
}

func BenchmarkCardPDF(b *testing.B) {
	c := aCard(5, 7)
	for b.Loop() {
		if _, err := c.PDF(A5); err != nil {
			b.Fatal(err)
		}
	}
}
