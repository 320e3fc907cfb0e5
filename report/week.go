package report

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Measures of the table of the week.
const (
	weekLabel = 43.0 // its first column
	weekSize  = 7.4
	weekLead  = 8.8
	weekHead  = 18.5 // of a station
	mostSpans = 3    // windows of a day that are printed
	fewSpans  = 2    // the same where that finds room for every station
)

// week prints when each channel of the chosen stations is usable.
func (p *paper) week() {
	w := &p.card.Week
	if len(w.Stations) == 0 {
		return
	}
	last := w.From.AddDate(0, 0, w.Days-1)
	title := func() float64 {
		y := p.leaf("Windows, ", w.From.Format("2 Jan")+" to "+last.Format("2 Jan"), "5 in 10 or better; UTC")
		return p.days(y)
	}
	y := p.leaf("Windows, ", w.From.Format("2 Jan")+" to "+last.Format("2 Jan"), "5 in 10 or better; UTC")
	note := "A window stands under the day it opens; a dot: shut; a plus: more of them that day; no end: it shuts on a later day. From the sky and their hours, if somebody is there."
	y = p.lines(p.x, y+11, footSize, footLead, p.wrap(footSize, fixed(measure), run{"I", note + " "}, run{"", p.card.rests()})) + 2
	y = p.days(y)
	if p.spans = mostSpans; p.all() > leafFoot-y && !w.Chosen {
		if p.spans = fewSpans; p.all() > leafFoot-y {
			p.spans = mostSpans
		}
	}
	shown, left := p.chosen(leafFoot - y)
	tail := p.wrap(footSize, fixed(measure), run{"I", left})
	for _, s := range shown {
		if y+p.tall(s) > leafFoot-float64(len(tail))*footLead {
			y = title()
		}
		y = p.station(y, s)
	}
	if len(tail) > 0 {
		y = p.lines(p.x, y+footLead+3, footSize, footLead, tail) + 2
	}
	foot := leafFoot
	if p.lanes != nil && y+5+lanesHead+p.lanes.H*ribbonScale <= leafFoot {
		foot -= lanesHead + p.lanes.H*ribbonScale
		p.under(foot)
		foot -= 8
	}
	p.pencil(y+6, foot, "In pencil")
}

// all is how high every station of the week stands.
func (p *paper) all() (h float64) {
	for i := range p.card.Week.Stations {
		h += p.tall(&p.card.Week.Stations[i])
	}
	return h
}

// chosen are the stations printed: all that the operator named; unasked, those of the
// plan and as many of the others as the leaf takes, the nearest first. What is left out
// is said.
func (p *paper) chosen(room float64) (shown []*WeekStation, left string) {
	w := &p.card.Week
	tall := 0.0
	take := map[int]bool{}
	if p.all() > room {
		room -= 2 * footLead // for what is left out
	}
	for i := range w.Stations {
		if w.Chosen || w.Stations[i].Planned {
			take[i] = true
			tall += p.tall(&w.Stations[i])
		}
	}
	for i := range w.Stations {
		if h := p.tall(&w.Stations[i]); !take[i] && tall+h <= room {
			take[i] = true
			tall += h
		}
	}
	var names []string
	for i := range w.Stations {
		if take[i] {
			shown = append(shown, &w.Stations[i])
		} else {
			names = append(names, w.Stations[i].Name)
		}
	}
	if len(names) > 0 {
		left = "No room for " + strings.Join(names, ", ") + ": farhail card --week prints the stations you name."
	}
	return shown, left
}

// days heads the columns.
func (p *paper) days(y float64) float64 {
	base := y + 11
	p.write(p.x+weekLabel-4, base, "end", "B", weekSize, "kHz")
	for d := range p.card.Week.Days {
		p.write(p.x+p.column(d)+p.columnWidth()/2, base, "middle", "B", weekSize, day(p.card.Week.From.AddDate(0, 0, d)))
	}
	p.rule(p.x, base+4.5, measure, 0.9, 0)
	return base + 5
}

func (p *paper) columnWidth() float64 { return (measure - weekLabel) / float64(p.card.Week.Days) }

func (p *paper) column(d int) float64 { return weekLabel + float64(d)*p.columnWidth() }

// A row of the table: what stands under each day, or once for all of them.
type row struct {
	mhz   string
	cells [][]string
	every string
}

func (r row) lines() int {
	n := 1
	for _, c := range r.cells {
		n = max(n, len(c))
	}
	return n
}

// rows lists a station's channels; channels that open and shut together stand in one row.
func (p *paper) rows(s *WeekStation) []row {
	w := &p.card.Week
	var out []row
	var before []Span
	for _, c := range s.Channels {
		r := row{mhz: khz(c.MHz)}
		same := true
		for d := range w.Days {
			from := w.From.AddDate(0, 0, d)
			cell := under(c.Spans, from, p.spans)
			same = same && slices.Equal(under(c.Spans, from, len(c.Spans)), under(c.Spans, w.From, len(c.Spans)))
			r.cells = append(r.cells, cell)
		}
		if same {
			switch all := under(c.Spans, w.From, len(c.Spans)); all[0] {
			case shut:
				r.every = "shut all week"
			case allDay:
				r.every = "open all week"
			default:
				r.every = "every day " + strings.Join(all, ", ")
			}
			r.cells = nil
		}
		if n := len(out); n > 0 && (slices.Equal(before, c.Spans) || r.every != "" && r.every == out[n-1].every) && p.width("B", weekSize, out[n-1].mhz+", "+r.mhz) < measure/2 {
			out[n-1].mhz += ", " + r.mhz
			continue
		}
		out, before = append(out, r), c.Spans
	}
	if len(out) == 0 {
		out = []row{{every: "no channel you may use"}}
	}
	return out
}

// What stands under a day without an opening.
const (
	shut   = "·"
	allDay = "all day"
)

// under says what stands under a day: the windows that open on it, in order of time; the
// longest, and a plus, where there are more than most.
func under(spans []Span, day time.Time, most int) []string {
	next := day.AddDate(0, 0, 1)
	var in []Span
	for _, s := range spans {
		switch {
		case !s.From.Before(day) && s.From.Before(next):
			in = append(in, s)
		case s.From.Before(day) && !s.To.Before(next):
			return []string{allDay}
		}
	}
	if len(in) == 0 {
		return []string{shut}
	}
	more := ""
	for len(in) > most {
		least := 0
		for i, s := range in {
			if s.To.Sub(s.From) < in[least].To.Sub(in[least].From) {
				least = i
			}
		}
		in, more = slices.Delete(in, least, least+1), "+"
	}
	var out []string
	for _, s := range in {
		end := s.To.UTC().Format("1504")
		if s.To.Sub(s.From) >= 24*time.Hour {
			end = "" // it shuts on a later day
		}
		out = append(out, s.From.UTC().Format("1504")+"–"+end)
	}
	out[len(out)-1] += more
	return out
}

// tall is how high a station stands.
func (p *paper) tall(s *WeekStation) float64 {
	h := weekHead
	for _, r := range p.rows(s) {
		h += float64(r.lines()) * weekLead
		if r.cells != nil && strings.Contains(r.mhz, ",") {
			h += weekLead
		}
	}
	return h + 1
}

// station prints a station's rows.
func (p *paper) station(y float64, s *WeekStation) float64 {
	base := y + 12
	x := p.x + p.write(p.x, base, "start", "B", 9.6, p.clip("B", 9.6, measure/2, s.Name)) + 7
	p.write(x, base, "start", "I", 7.8, p.directions(s))
	p.rule(p.x, base+3.2, measure, 0.5, 0.2)
	y += weekHead
	rows := p.rows(s)
	for _, r := range rows {
		base := y + weekSize - 1
		// The first of several frequencies keeps its place in the column.
		first, _, several := strings.Cut(r.mhz, ",")
		x := p.x + weekLabel - 4 - p.width("B", weekSize, first)
		wide := p.write(x, base, "start", "B", weekSize, r.mhz)
		if r.cells == nil {
			p.write(max(x+wide+8, p.x+weekLabel+4), base, "start", "", weekSize, r.every)
			y += weekLead
			continue
		}
		if several {
			y += weekLead
			base += weekLead
		}
		p.SetFillColor(242, 242, 242)
		for d := 1; d < p.card.Week.Days; d += 2 {
			p.Rect(p.x+p.column(d), y-1, p.columnWidth(), float64(r.lines())*weekLead, "F")
		}
		for d, cell := range r.cells {
			for n, s := range cell {
				p.write(p.x+p.column(d)+p.columnWidth()/2, base+float64(n)*weekLead, "middle", "", weekSize, s)
			}
		}
		y += float64(r.lines()) * weekLead
	}
	return y + 1
}

// directions says where to point over the week.
func (p *paper) directions(s *WeekStation) string {
	a, b := s.First, s.Last
	if a.Overhead || b.Overhead {
		return "straight up"
	}
	if bearing(a.TrueDeg) == bearing(b.TrueDeg) {
		return "point " + pointing(a)
	}
	last := p.card.Week.From.AddDate(0, 0, p.card.Week.Days-1)
	return fmt.Sprintf("point %s on %s, %s on %s", pointing(a), p.card.Week.From.Format("Mon"), pointing(b), last.Format("Mon"))
}
