package desk

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
	"farhail/unit"
)

// A MeetAnswer is what `farhail meet --json` prints: when two stations can talk.
type MeetAnswer struct {
	At         time.Time       `json:"at"`
	Days       int             `json:"days"`
	A          string          `json:"a"`
	B          string          `json:"b"`
	DistanceKm float64         `json:"distance_km"`
	HeadingDeg float64         `json:"heading_deg"`      // from A
	BackDeg    float64         `json:"back_heading_deg"` // from B
	Sentence   string          `json:"sentence"`
	Windows    []MeetingWindow `json:"windows"` // in order of opening
	Excluded   []Exclusion     `json:"excluded"`
	Notes      []string        `json:"notes"`
}

// A MeetingWindow is a span in which both ends listen on a frequency and it carries both
// ways.
type MeetingWindow struct {
	WindowAnswer
	// At the peak, by the day's sky: below the forecast, as forecast, above.
	ByState [forecast.States]float64 `json:"connect_by_state"`
	RateBA  float64                  `json:"bytes_per_minute_back"` // from B to A at the peak; bytes_per_minute is from A to B
}

// Meet finds when two stations, of the directory or our own ("home"), can talk: the
// frequencies both have, in the hours both keep, while a call connects with a chance of at
// least a half, each direction with its own power, antennas and noise.
func (d *Desk) Meet(ctx context.Context, at time.Time, a, b string, days int) (*MeetAnswer, error) {
	if err := unit.Check("days", float64(days), 1, 14, ""); err != nil {
		return nil, err
	}
	one, err := d.party(a)
	if err != nil {
		return nil, err
	}
	two, err := d.party(b)
	if err != nil {
		return nil, err
	}
	if one == two {
		return nil, &InputError{fmt.Sprintf("%s and %s are the same station", a, b), "name two stations, or home and one"}
	}
	index, err := d.believed(ctx, at)
	if err != nil {
		return nil, err
	}
	// The pair is always worked out the same way round, so that who is named first changes
	// nothing but the order of the answer.
	caller, called, turned := one, two, false
	if called.home != nil || caller.home == nil && called.far.ID < caller.far.ID {
		caller, called, turned = two, one, true
	}
	m := &MeetAnswer{At: at, Days: days, A: one.name, B: two.name, Windows: []MeetingWindow{}, Excluded: []Exclusion{}, Notes: []string{}}
	from := caller.asHome().Position
	if caller.home != nil {
		from = d.At(at)
	}
	arc := earth.Between(from, called.far.Position)
	if arc.D < sameSpot {
		return nil, &InputError{fmt.Sprintf("%s and %s are at the same place", one.name, two.name), "correct one of the two positions"}
	}
	m.DistanceKm, m.HeadingDeg, m.BackDeg = math.Round(arc.D.Km()), round(arc.Azimuth.Deg()), round(arc.Back.Deg())
	if turned {
		m.HeadingDeg, m.BackDeg = m.BackDeg, m.HeadingDeg
	}
	pr, err := d.between(caller, []party{called}, index, at, time.Duration(days)*24*time.Hour)
	if err != nil {
		return nil, err
	}
	for i := range pr.Channels {
		c := &pr.Channels[i]
		if c.Excluded != "" {
			m.Excluded = append(m.Excluded, Exclusion{c.Station.Name, c.MHz, c.Excluded})
			continue
		}
		m.Windows = append(m.Windows, meetings(c, pr.Start, at, turned)...)
	}
	slices.SortStableFunc(m.Windows, func(x, y MeetingWindow) int { return x.Opens.Compare(y.Opens) })
	if len(pr.Channels) == 0 {
		m.Notes = append(m.Notes, fmt.Sprintf("they have no frequency in common: none within %.0f Hz of each other with a waveform both take", sameFrequency.Hz()))
	}
	if caller.home != nil && caller.home.Watch.Minutes() < attended(caller.home).Minutes() {
		m.Notes = append(m.Notes, fmt.Sprintf("outside the watch, %s, somebody must be woken at %s", caller.home.Watch, caller.home.Name))
	}
	if index.Note != "" {
		m.Notes = append(m.Notes, index.Note)
	}
	m.Sentence = m.sentence()
	return m, nil
}

// meetings are the windows of a channel. Turned, the called was named first.
func meetings(c *forecast.Channel, start, now time.Time, turned bool) []MeetingWindow {
	var out []MeetingWindow
	for _, w := range windowsOf(c, start, 0, len(c.Cells)) {
		cell := &c.Cells[int(w.Peaks.Sub(start)/forecast.Slot)]
		m := MeetingWindow{WindowAnswer: w, RateBA: math.Round(backRate(cell))}
		for k, p := range cell.Connect {
			m.ByState[k] = round(p)
		}
		m.Opens, m.Peaks = later(m.Opens, now), later(m.Peaks, now)
		if turned {
			m.Rate, m.RateBA = m.RateBA, m.Rate
		}
		out = append(out, m)
	}
	return out
}

// backRate is the user's bytes a connected minute inward, over the states.
func backRate(c *forecast.Cell) (rate float64) {
	total := 0.0
	for k, w := range forecast.StatePrior {
		w *= c.Connect[k]
		total += w
		rate += w * c.RateIn[k]
	}
	if total == 0 {
		return 0
	}
	return rate / total
}

// sentence names the moment to agree on: of the windows about as sure as the surest, to a
// tenth, those that open first, and of these the one that carries most both ways.
func (m *MeetAnswer) sentence() string {
	if len(m.Windows) == 0 {
		return fmt.Sprintf("%s and %s have no common window in the coming %s.", m.A, m.B, countOf(m.Days, "day"))
	}
	best := slices.MaxFunc(m.Windows, func(x, y MeetingWindow) int {
		return cmp.Or(cmp.Compare(math.Round(10*x.Best), math.Round(10*y.Best)), y.Opens.Compare(x.Opens), cmp.Compare(min(x.Rate, x.RateBA), min(y.Rate, y.RateBA)))
	})
	agree := later(best.Peaks.Truncate(forecast.Slot), best.Opens)
	hour := func(t time.Time) string {
		if t.UTC().YearDay() != agree.UTC().YearDay() {
			return t.UTC().Format("15:04 on 2 January")
		}
		return t.UTC().Format("15:04")
	}
	return fmt.Sprintf("%s and %s agree on %s, %s kHz, open from %s to %s: %s to connect.", m.A, m.B,
		agree.UTC().Format("2 January 15:04"), KHz(best.MHz), hour(best.Opens), hour(best.Shuts), Chance(best.Best))
}

func countOf(n int, word string) string {
	if n == 1 {
		return fmt.Sprintf("%d %s", n, word)
	}
	return fmt.Sprintf("%d %ss", n, word)
}

func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}
