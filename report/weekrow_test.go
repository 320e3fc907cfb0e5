package report

import (
	"testing"
	"time"
)

// A row says "every day" only where every window of every day agrees, also those that a
// narrow column leaves out.
func TestEveryDayMeansEveryWindow(t *testing.T) {
	from := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	var spans []Span
	for d := range 7 {
		for _, h := range []float64{5.5, 11.5, 17.5, 23.5} {
			long := time.Hour
			if d == 4 && h == 11.5 {
				long = 45 * time.Minute
			}
			open := from.AddDate(0, 0, d).Add(time.Duration(h * float64(time.Hour)))
			spans = append(spans, Span{open, open.Add(long)})
		}
	}
	c := aCard(0, 0)
	c.Week = Week{From: from, Days: 7}
	p := &paper{pen: newPen(leafWidth, leafHeight, c), card: c, spans: fewSpans}
	s := &WeekStation{Channels: []WeekChannel{{MHz: 7.61, Spans: spans}}}
	if r := p.rows(s)[0]; r.every != "" {
		t.Errorf("days that differ are printed as %q", r.every)
	}
	s.Channels[0].Spans = spans[:16] // four days that agree
	c.Week.Days = 4
	if r := p.rows(s)[0]; r.every != "every day 0530–0630, 1130–1230, 1730–1830, 2330–0030" {
		t.Errorf("days that agree are printed as %q, %v", r.every, r.cells)
	}
}
