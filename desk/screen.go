package desk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
	"farhail/logbook"
	"farhail/station"
	"farhail/unit"
)

// A Screen is what there is to draw of a watch beside its plan: the sky to one station,
// the chance of every channel by the quarter-hour, the nights, the battery, what
// happened. Chances are those of the plan: sky, both directions, hours and presence.
type Screen struct {
	From, To, Now time.Time
	Focus         string // name of the station whose sky is worked out
	Sky           []SkyEdge
	Steps         []time.Time // the middle of each quarter-hour
	Stations      []ScreenStation
	Nights        []ScreenNight
	Battery       *ScreenBattery
	Outcomes      []ScreenOutcome
	GiveUpMinutes float64 // of the next call, if nobody answers
}

// ScreenStation is a far station's channels; by distance.
type ScreenStation struct {
	Name, ID   string
	HeadingDeg float64
	DistanceKm float64
	Channels   []ScreenChannel
}

// ScreenChannel is the chance of a channel in each step; negative where the station's
// hours are shut.
type ScreenChannel struct {
	MHz    float64
	Chance []float64
}

// ScreenNight is from sunset to sunrise at home.
type ScreenNight struct{ Sunset, Sunrise time.Time }

// ScreenOutcome is a logged call that stands.
type ScreenOutcome struct {
	At      time.Time
	Station string
	MHz     float64
	What    string
}

// A ScreenQuery says what to draw.
type ScreenQuery struct {
	Focus       string // a station's name or id; empty: that of the next call, else the nearest
	Back, Ahead time.Duration
	Horizon     time.Duration // of the plan; 0: a day
}

func (q ScreenQuery) horizon() time.Duration {
	if q.Horizon == 0 {
		return 24 * time.Hour
	}
	return q.Horizon
}

// Screen plans the watch from a moment on and gathers what there is to draw of it.
func (d *Desk) Screen(ctx context.Context, at time.Time, q ScreenQuery) (*PlanAnswer, *Screen, error) {
	w, err := d.begin(ctx, at, q.horizon())
	if err != nil {
		return nil, nil, err
	}
	a, err := w.plan()
	if err != nil {
		return nil, nil, err
	}
	if q.Focus == "" && len(a.Calls) > 0 {
		q.Focus = a.Calls[0].Station
	}
	s, err := d.screen(ctx, w, d.Home, q)
	if err != nil {
		return nil, nil, err
	}
	s.Battery = w.fan()
	if len(a.Calls) > 0 {
		if sv, st, ok := w.stepOf(a.Calls[0]); ok {
			s.GiveUpMinutes = round(w.pr.Channels[sv.q.channels[st.Action.Call]].Cells[st.Slot].GiveUp)
		}
	}
	return a, s, nil
}

// ScreenWith draws the sky and the chances as they would be with another home: no plan
// is made, so that it is there at once.
func (d *Desk) ScreenWith(ctx context.Context, at time.Time, home *station.Home, q ScreenQuery) (*Screen, error) {
	w, err := d.begin(ctx, at, q.horizon())
	if err != nil {
		return nil, err
	}
	return d.screen(ctx, w, home, q)
}

func (d *Desk) screen(ctx context.Context, w *watch, home *station.Home, q ScreenQuery) (*Screen, error) {
	from := w.at.Add(-q.Back).Truncate(forecast.Slot)
	span := w.at.Add(q.Ahead).Sub(from)
	s := &Screen{From: from, To: from.Add(span), Now: w.at}
	pr, err := prospectOf(home, d.Directory, w.where, w.index, from, span)
	if err != nil {
		return nil, err
	}
	for t := range pr.Slots {
		s.Steps = append(s.Steps, pr.Start.Add(time.Duration(t)*forecast.Slot+forecast.Slot/2))
	}
	var cur *ScreenStation
	for i := range pr.Channels {
		c := &pr.Channels[i]
		if cur == nil || cur.Name != c.Station.Name {
			s.Stations = append(s.Stations, ScreenStation{Name: c.Station.Name, ID: c.Station.ID, HeadingDeg: c.Heading.Deg(), DistanceKm: c.Distance.Km()})
			cur = &s.Stations[len(s.Stations)-1]
		}
		if c.Excluded != "" {
			continue
		}
		x := ScreenChannel{MHz: c.MHz}
		for t := range c.Cells {
			p := -1.0
			if c.Cells[t].Open {
				p = round(w.past.free(c.Station.Name) * c.Cells[t].Likely(w.past.prior))
			}
			x.Chance = append(x.Chance, p)
		}
		cur.Channels = append(cur.Channels, x)
	}
	slices.SortStableFunc(s.Stations, func(a, b ScreenStation) int { return int(a.DistanceKm - b.DistanceKm) })
	if focus := d.focus(q.Focus, s.Stations); focus != nil {
		s.Focus = focus.Name
		if s.Sky, err = skyTo(home, focus, w.index, from, span, w.past.prior); err != nil {
			return nil, err
		}
	}
	s.Nights = nights(home.Position, from, s.To)
	s.Outcomes, err = d.outcomes(ctx, from, w.at)
	return s, err
}

// focus is the station asked for, else the nearest that has a channel we may use.
func (d *Desk) focus(name string, all []ScreenStation) *station.Station {
	if s, ok := d.Directory.Find(name); name != "" && ok {
		return s
	}
	for i := range all {
		if s, ok := d.Directory.Find(all[i].Name); ok && len(all[i].Channels) > 0 {
			return s
		}
	}
	return nil
}

// nightAfter is the night that follows a day, by the Sun's upper limb; ok is false where the
// Sun does not set or not rise.
func nightAfter(at earth.Point, day time.Time) (n ScreenNight, ok bool) {
	next := day.AddDate(0, 0, 1)
	_, set, ok1 := earth.RiseSet(at, day.Year(), int(day.Month()), day.Day(), earth.SunriseZenith)
	rise, _, ok2 := earth.RiseSet(at, next.Year(), int(next.Month()), next.Day(), earth.SunriseZenith)
	return ScreenNight{hours(day, set), hours(next, rise)}, ok1 && ok2
}

// nights are the spans without sun at home that meet a stretch of time.
func nights(at earth.Point, from, to time.Time) []ScreenNight {
	var out []ScreenNight
	day := from.UTC().Truncate(24*time.Hour).AddDate(0, 0, -1)
	for ; day.Before(to); day = day.AddDate(0, 0, 1) {
		n, ok := nightAfter(at, day)
		if !ok {
			if noon := hours(day, 12-at.Lon.Deg()/15); earth.SunOn(noon.Year(), int(noon.Month()), noon.Day()).CosZenith(at, 12-at.Lon.Deg()/15) < 0 {
				out = append(out, ScreenNight{noon, noon.Add(24 * time.Hour)}) // no day at all
			}
			continue
		}
		if n.Sunrise.After(from) && n.Sunset.Before(to) {
			out = append(out, n)
		}
	}
	return out
}

// outcomes are the calls logged in a stretch of time that were not struck out.
func (d *Desk) outcomes(ctx context.Context, from, to time.Time) ([]ScreenOutcome, error) {
	entries, err := d.DB.Entries(ctx, EntriesSince(from))
	if err != nil {
		return nil, err
	}
	book, err := logbook.Fold(entries)
	if err != nil {
		return nil, err
	}
	var out []ScreenOutcome
	for row := range book.Standing() {
		if e := row.Entry; e.Attempt != nil && !e.At.After(to) {
			out = append(out, ScreenOutcome{e.At, e.Attempt.Station, e.Attempt.Freq.MHz(), string(e.Attempt.Outcome)})
		}
	}
	return out, nil
}

// Undo takes back an entry just made: it is struck out, and what it took off the queue
// stands there again.
func (d *Desk) Undo(ctx context.Context, id string) (*Logged, error) {
	b, err := d.book(ctx)
	if err != nil {
		return nil, err
	}
	r, err := b.Find(id)
	if err != nil {
		return nil, err
	}
	if r.Struck != nil {
		return nil, &InputError{fmt.Sprintf("entry %s is struck out already", id), "nothing is left to undo"}
	}
	out, err := d.Log(ctx, "strike "+id+" taken back at once")
	if err != nil || r.Attempt == nil {
		return out, err
	}
	for _, m := range r.Attempt.Delivered {
		if _, err := d.SetTraffic(ctx, "queued", []string{m}); err != nil {
			return out, fmt.Errorf("put %s back into the queue: %w", m, err)
		}
	}
	return out, nil
}

// everywhere is a permit for working out what the sky would carry, licence aside.
func everywhere() []station.Permit {
	return []station.Permit{{From: 1 * unit.MHz, To: 31 * unit.MHz, Bandwidth: 25 * unit.KHz, Power: unit.Power(math.Inf(1))}}
}

// Declination is how far east of true north a compass points at a place, degrees.
func Declination(at earth.Point, t time.Time) float64 {
	return earth.FieldAt(earth.DecimalYear(t.Year(), int(t.Month()), t.Day())).At(at, 0).Declination() * 180 / math.Pi
}

// BestRate is the most bytes a minute any channel of the coming watch carries.
func (d *Desk) BestRate(ctx context.Context, at time.Time) (float64, error) {
	w, err := d.begin(ctx, at, 24*time.Hour)
	if err != nil {
		return 0, err
	}
	if err := w.ready(); err != nil {
		return 0, err
	}
	return w.bestRate(), nil
}

// PictureVersion is the first picture of a message cut to a budget, JPEG.
func (d *Desk) PictureVersion(ctx context.Context, ref string, budget unit.Bytes) ([]byte, error) {
	row, m, i, err := d.picture(ctx, ref)
	if err != nil {
		return nil, err
	}
	v, err := d.cuts.versions(row.ID, m.Attachments[i].Bytes(), []unit.Bytes{budget})
	if err != nil {
		return nil, err
	}
	return v[0].Data, nil
}
