package desk

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
	"farhail/station"
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

// homeWord names our own station where a station is asked for.
const homeWord = "home"

// sameFrequency is how far apart two stations may write the centre of what is one channel.
// Assumed; well under the 1.5 to 1.8 kHz between the dial of a single-sideband radio and
// the centre of the emission (common practice), which must not pass for the same.
const sameFrequency = 500 * unit.Hz

// A party is one end of a meeting.
type party struct {
	name string
	home *station.Home    // our own station
	far  *station.Station // or one of the directory
}

// party finds our own station or one of the directory.
func (d *Desk) party(word string) (party, error) {
	ours := party{name: d.Home.Name, home: d.Home}
	if strings.EqualFold(word, homeWord) {
		return ours, nil
	}
	if s, ok := d.Directory.Find(word); ok {
		return party{name: s.Name, far: s}, nil
	}
	if strings.EqualFold(word, d.Home.Name) || strings.EqualFold(word, d.Home.Call) {
		return ours, nil
	}
	return party{}, noStation(word)
}

// parties are our own station and then the directory's, in its order.
func (d *Desk) parties() []party {
	all := []party{{name: d.Home.Name, home: d.Home}}
	for i := range d.Directory.Stations {
		s := &d.Directory.Stations[i]
		all = append(all, party{name: s.Name, far: s})
	}
	return all
}

// attended is when somebody is or may be called to our radio.
func attended(h *station.Home) station.Spans {
	a := h.Watch
	for _, w := range h.Wake {
		a = a.Union(w.Hours)
	}
	return a
}

// common returns the frequencies that both may use, as channels of the called: within
// 500 Hz of each other, with the waveforms both take there, in the hours both keep. Our
// own station has no channels: it calls wherever the other listens and a permit allows.
func common(caller party, called *station.Station) []station.Channel {
	var out []station.Channel
	for i := range called.Channels {
		c := called.Channels[i]
		if caller.home != nil {
			c.Hours = c.Hours.Intersect(attended(caller.home))
			out = append(out, c)
			continue
		}
		best := -1
		for k := range caller.far.Channels {
			o := &caller.far.Channels[k]
			off := apart(o, &c)
			if off <= sameFrequency && len(both(o.Waveforms, c.Waveforms)) > 0 && (best < 0 || off < apart(&caller.far.Channels[best], &c)) {
				best = k
			}
		}
		if best < 0 {
			continue
		}
		o := &caller.far.Channels[best]
		c.Bandwidth = min(c.Bandwidth, o.Bandwidth)
		c.Waveforms = both(o.Waveforms, c.Waveforms)
		c.Hours = c.Hours.Intersect(caller.far.OpenHours(o))
		out = append(out, c)
	}
	return out
}

func apart(a, b *station.Channel) unit.Freq {
	return unit.Freq(math.Abs(float64(a.Centre - b.Centre)))
}

func both(a, b []string) []string {
	var out []string
	for _, w := range a {
		if slices.Contains(b, w) {
			out = append(out, w)
		}
	}
	return out
}

// asHome makes a far station the one that calls, with what the directory knows of it. It
// may use what its own entry lists: whether its licence allows that is its own affair.
func (p party) asHome() *station.Home {
	if p.home != nil {
		return p.home
	}
	s := p.far
	h := station.DefaultHome()
	h.Name, h.Call, h.Position, h.Power = s.Name, s.Call, s.Position, s.Power
	h.Antenna, h.FeederLoss = s.Antenna, s.FeederLoss
	h.Noise = station.Noise{Environment: s.Noise}
	for _, c := range s.Channels {
		for _, w := range c.Waveforms {
			if !slices.Contains(h.Waveforms, w) {
				h.Waveforms = append(h.Waveforms, w)
			}
		}
		// A channel may be written up to sameFrequency beside the other's.
		h.Permits = append(h.Permits, station.Permit{From: c.Centre - c.Bandwidth/2 - sameFrequency, To: c.Centre + c.Bandwidth/2 + sameFrequency, Bandwidth: c.Bandwidth, Power: s.Power})
	}
	return &h
}

// between works out what the common frequencies of a caller and each of several called
// stations promise, both directions. The called keep their order; those without a
// frequency in common, or at the caller's own place, have no channels in the prospect.
func (d *Desk) between(caller party, called []party, index IndexAnswer, at time.Time, span time.Duration) (*forecast.Prospect, error) {
	h := caller.asHome()
	var where func(time.Time) earth.Point
	if caller.home != nil {
		where = d.where()
	}
	dir := &station.Directory{}
	for _, p := range called {
		s := *p.far
		s.Channels = common(caller, p.far)
		if len(s.Channels) > 0 && (where != nil || earth.Between(h.Position, s.Position).D >= sameSpot) {
			dir.Stations = append(dir.Stations, s)
		}
	}
	return prospectOf(h, dir, where, index, at, span)
}

// sameSpot is nearer than which two stations need no radio.
const sameSpot = 100 * unit.Metre

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
