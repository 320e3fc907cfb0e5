package desk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/report"
	"farhail/unit"
)

// straightUp is the distance under which a call goes by way of the sky overhead, and a
// bearing means nothing. Common practice for near-vertical work.
const straightUp = 400 * unit.Km

// weekDays are the days of windows on a card.
const weekDays = 7

// Paper reads a size of paper; field is what it is called where it was written.
func Paper(field, word string) (report.Size, error) {
	size := report.Size(word)
	if !slices.Contains(report.Sizes, size) {
		return "", &InputError{What: fmt.Sprintf("%s: no paper %q", field, word), Hint: "choose a5 or a4"}
	}
	return size, nil
}

// PrintCard is the card as PDF.
func (d *Desk) PrintCard(ctx context.Context, at time.Time, week []string, size report.Size) ([]byte, error) {
	c, err := d.Card(ctx, at, week)
	if err != nil {
		return nil, err
	}
	return c.PDF(size)
}

// Card gathers a watch for paper: its calls, its picture, and the windows of the week
// for the stations named; none named: for all, as many as the paper takes.
func (d *Desk) Card(ctx context.Context, at time.Time, week []string) (*report.Card, error) {
	named, err := d.named(week)
	if err != nil {
		return nil, err
	}
	w, err := d.begin(ctx, at, 24*time.Hour)
	if err != nil {
		return nil, err
	}
	a, err := w.plan()
	if err != nil {
		return nil, err
	}
	q := ScreenQuery{Back: time.Hour, Ahead: 23 * time.Hour}
	if len(a.Calls) > 0 {
		q.Focus = a.Calls[0].Station
	}
	s, err := d.screen(ctx, w, d.Home, q)
	if err != nil {
		return nil, err
	}
	s.Battery = w.fan()
	if len(a.Calls) > 0 {
		s.GiveUpMinutes = w.giveUp(a.Calls[0])
	}
	here := d.At(at)
	c := &report.Card{Name: d.Home.Name, Call: d.Home.Call, Position: here.String(), At: at, Until: at.Add(24 * time.Hour),
		VariationDeg: Declination(here, at), Sentence: a.Sentence, Ribbon: Ribbon(a, s, nil)}
	for _, n := range s.Nights {
		if n.Sunset.After(at) && c.Sunset.IsZero() {
			c.Sunset = n.Sunset
		}
		if n.Sunrise.After(at) && c.Sunrise.IsZero() {
			c.Sunrise = n.Sunrise
		}
	}
	if c.Sunset.IsZero() || c.Sunrise.IsZero() {
		c.Sunset, c.Sunrise = time.Time{}, time.Time{} // a day without one of them
	}
	if h := d.Home.Battery; h.Limited() {
		c.Battery = fmt.Sprintf("Battery %.0f\u00a0%%, never below %.0f\u00a0%%.", 100*h.Charge, 100*h.Reserve)
	}
	c.Traffic = waiting(a)
	subjects := map[string]string{}
	for _, m := range a.Messages {
		subjects[m.ID] = m.Subject
	}
	for i := range a.Calls {
		c.Calls = append(c.Calls, w.cardCall(a, i, subjects, c.VariationDeg))
	}
	for _, b := range a.Bearer {
		c.Also = append(c.Also, fmt.Sprintf("At %s by %s: “%s”.", b.At.Format("15:04"), b.Bearer, subjects[b.Message]))
	}
	c.Assumed = d.assumed(a)
	c.Week, err = d.week(w.index, at, named, inPlan(a))
	return c, err
}

// named finds the stations of a list.
func (d *Desk) named(list []string) ([]string, error) {
	var out []string
	for _, n := range list {
		s, err := d.station(strings.TrimSpace(n))
		if err != nil {
			return nil, err
		}
		out = append(out, s.Name)
	}
	return out, nil
}

// inPlan are the stations that calls and fallbacks name.
func inPlan(a *PlanAnswer) map[string]bool {
	out := map[string]bool{}
	for _, c := range a.Calls {
		out[c.Station] = true
		for _, f := range c.Fallbacks {
			out[f.Station] = true
		}
	}
	return out
}

// waiting says how much there is to send.
func waiting(a *PlanAnswer) string {
	sum, large := 0.0, 0
	for _, m := range a.Messages {
		if m.Note == "" {
			sum += float64(m.BytesOnAir)
		} else {
			large++
		}
	}
	switch n := len(a.Messages) - large; {
	case n == 0 && large == 0:
		return "Nothing to send."
	case large == 0:
		return fmt.Sprintf("To send: %s, %s.", messages(n), spaced(kB(sum)))
	default:
		return fmt.Sprintf("To send: %s, %s; %d more cannot go now.", messages(n), spaced(kB(sum)), large)
	}
}

func messages(n int) string {
	if n == 1 {
		return "1\u00a0message"
	}
	return fmt.Sprintf("%d\u00a0messages", n)
}

func spaced(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }

// giveUp is how many minutes a call is tried when nobody answers.
func (w *watch) giveUp(c CallAnswer) float64 {
	sv, st, ok := w.stepOf(c)
	if !ok {
		return 0
	}
	return w.pr.Channels[sv.q.channels[st.Action.Call]].Cells[st.Slot].GiveUp
}

func (w *watch) cardCall(a *PlanAnswer, i int, subjects map[string]string, variation float64) report.CardCall {
	c := &a.Calls[i]
	out := report.CardCall{Start: c.Start, Minutes: c.Minutes, Station: c.Station, MHz: c.MHz, Waveform: c.Waveform, Connect: c.Connect, EnergyWh: c.EnergyWh,
		Bearing: towards(c.HeadingDeg, unit.Length(c.DistanceKm)*unit.Km, variation), GiveUp: c.Start.Add(time.Duration(math.Ceil(w.giveUp(*c))) * time.Minute)}
	out.Messages, out.Bytes, out.BytesIn = len(c.Messages), c.ExpectedBytes, c.ExpectedIn
	if out.Messages > 0 {
		out.First = subjects[c.Messages[0]]
	}
	for _, f := range c.Fallbacks {
		far := unit.Length(math.Inf(1))
		for k := range w.pr.Channels {
			if p := &w.pr.Channels[k]; p.Station.Name == f.Station {
				far = p.At(c.Start).Distance
			}
		}
		out.Fallbacks = append(out.Fallbacks, report.CardFallback{Station: f.Station, MHz: f.MHz, Connect: f.Connect, Bearing: towards(f.HeadingDeg, far, variation)})
	}
	return out
}

func towards(trueDeg float64, far unit.Length, variation float64) report.Bearing {
	return report.Bearing{TrueDeg: trueDeg, CompassDeg: trueDeg - variation, Overhead: far < straightUp}
}

// assumed says what the chances rest on.
func (d *Desk) assumed(a *PlanAnswer) []string {
	x := a.Index
	out := []string{fmt.Sprintf("Index IG12 %.0f\u00a0±\u00a0%.0f: %s.", x.IG12, x.SD, x.Why)}
	if n := len(x.Bulletin); n > 0 {
		last := x.Bulletin[0].At
		for _, b := range x.Bulletin {
			if b.At.After(last) {
				last = b.At
			}
		}
		out = append(out, fmt.Sprintf("Last bulletin heard %s, %.0f\u00a0h before.", last.Format("2 Jan 15:04"), a.At.Sub(last).Hours()))
	} else {
		out = append(out, "No bulletin heard in 27 days.")
	}
	if x.Note != "" {
		out = append(out, "Note: "+x.Note+".")
	}
	noise := string(d.Home.Noise.Environment)
	if len(d.Home.Noise.Measured) > 0 {
		noise += ", and as measured"
	}
	return append(out, fmt.Sprintf("Sending %.0f\u00a0W; noise %s; bearings from where you are at each call.", d.Home.Power.W(), noise))
}

// week finds the windows of some stations, by distance; none named: of all.
func (d *Desk) week(index IndexAnswer, at time.Time, named []string, planned map[string]bool) (report.Week, error) {
	from := at.UTC().Truncate(24 * time.Hour)
	w := report.Week{From: from, Days: weekDays, Chosen: len(named) > 0}
	// A day on either side, so that a window that reaches over the edge has both its ends.
	pr, err := prospectOf(d.Home, d.Directory, d.where(), index, from.AddDate(0, 0, -1), (weekDays+2)*24*time.Hour)
	if err != nil {
		return w, err
	}
	distance := map[string]unit.Length{}
	var cur *report.WeekStation
	for i := range pr.Channels {
		c := &pr.Channels[i]
		name := c.Station.Name
		if len(named) > 0 && !slices.Contains(named, name) {
			continue
		}
		if cur == nil || cur.Name != name {
			first, last := c.At(at), c.At(from.AddDate(0, 0, weekDays-1).Add(12*time.Hour))
			w.Stations = append(w.Stations, report.WeekStation{Name: name, Planned: planned[name],
				First: towards(first.Heading.Deg(), first.Distance, Declination(d.At(at), at)),
				Last:  towards(last.Heading.Deg(), last.Distance, Declination(d.At(from.AddDate(0, 0, weekDays-1)), at))})
			cur = &w.Stations[len(w.Stations)-1]
			distance[name] = first.Distance
		}
		if c.Excluded != "" {
			continue
		}
		ch := report.WeekChannel{MHz: c.MHz}
		for _, x := range windowsOf(c, pr.Start, 0, int((weekDays+2)*24*time.Hour/forecast.Slot)) {
			ch.Spans = append(ch.Spans, report.Span{From: x.Opens, To: x.Shuts})
		}
		cur.Channels = append(cur.Channels, ch)
	}
	slices.SortStableFunc(w.Stations, func(a, b report.WeekStation) int { return int(distance[a.Name].Km() - distance[b.Name].Km()) })
	for i := range w.Stations {
		slices.SortFunc(w.Stations[i].Channels, func(a, b report.WeekChannel) int { return int(1e4 * (a.MHz - b.MHz)) })
	}
	return w, nil
}
