package desk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
	"farhail/modem"
	"farhail/station"
	"farhail/unit"
)

// A WindowsAnswer is what `farhail windows --json` prints.
type WindowsAnswer struct {
	At       time.Time       `json:"at"`
	Stations []StationWindow `json:"stations"`
}

// StationWindow is one station's windows.
type StationWindow struct {
	Station    string   `json:"station"`
	HeadingDeg float64  `json:"heading_deg"`
	DistanceKm float64  `json:"distance_km"`
	Days       []DayWin `json:"days"`
}

// DayWin is one UTC day of a station.
type DayWin struct {
	Day     string         `json:"day"`
	Windows []WindowAnswer `json:"windows"`
}

// A WindowAnswer is a span in which a channel is usable; it opens, peaks and shuts.
type WindowAnswer struct {
	MHz      float64   `json:"mhz"`
	Waveform string    `json:"waveform"`
	Opens    time.Time `json:"opens"`
	Peaks    time.Time `json:"peaks"`
	Shuts    time.Time `json:"shuts"`
	Best     float64   `json:"connect_probability"` // at the peak of expected bytes, the usual presence of a station in it
	Rate     float64   `json:"bytes_per_minute"`    // at the peak, once connected
}

// usable is the chance to connect with a station that is there at which a window opens.
const usable = 0.5

// Windows finds when each channel opens, peaks and shuts over the coming days: of the
// stations named, in the order of the directory; of all, if none is.
func (d *Desk) Windows(ctx context.Context, at time.Time, days int, only []string) (*WindowsAnswer, error) {
	if err := unit.Check("days", float64(days), 1, 14, ""); err != nil {
		return nil, err
	}
	names, err := d.named(only)
	if err != nil {
		return nil, err
	}
	if len(names) > 0 {
		part := *d
		part.Directory = &station.Directory{}
		for _, s := range d.Directory.Stations {
			if slices.Contains(names, s.Name) {
				part.Directory.Stations = append(part.Directory.Stations, s)
			}
		}
		return part.Windows(ctx, at, days, nil)
	}
	start := at.UTC().Truncate(24 * time.Hour)
	pr, _, err := d.prospect(ctx, at, start, time.Duration(days)*24*time.Hour)
	if err != nil {
		return nil, err
	}
	a := &WindowsAnswer{At: at, Stations: []StationWindow{}}
	var cur *StationWindow
	for i := range pr.Channels {
		c := &pr.Channels[i]
		if cur == nil || cur.Station != c.Station.Name {
			a.Stations = append(a.Stations, StationWindow{Station: c.Station.Name, HeadingDeg: round(c.Heading.Deg()), DistanceKm: math.Round(c.Distance.Km())})
			cur = &a.Stations[len(a.Stations)-1]
			for n := range days {
				cur.Days = append(cur.Days, DayWin{Day: start.AddDate(0, 0, n).Format("2006-01-02"), Windows: []WindowAnswer{}})
			}
		}
		if c.Excluded != "" {
			continue
		}
		for n := range cur.Days {
			perDay := int(24 * time.Hour / forecast.Slot)
			cur.Days[n].Windows = append(cur.Days[n].Windows, windowsOf(c, pr.Start, n*perDay, (n+1)*perDay)...)
		}
	}
	return a, nil
}

func windowsOf(c *forecast.Channel, start time.Time, from, to int) []WindowAnswer {
	var out []WindowAnswer
	var w *WindowAnswer
	at := func(t int) time.Time { return start.Add(time.Duration(t) * forecast.Slot) }
	for t := from; t <= to; t++ {
		p := 0.0
		if t < to && c.Cells[t].Open {
			p = c.Cells[t].Likely(forecast.StatePrior)
		}
		if p < usable {
			if w != nil {
				w.Shuts = at(t)
				w = nil
			}
			continue
		}
		if w == nil {
			out = append(out, WindowAnswer{MHz: c.MHz, Opens: at(t)})
			w = &out[len(out)-1]
		}
		cell := &c.Cells[t]
		if rate := cell.MeanRate(forecast.StatePrior); p*rate > w.Best*w.Rate {
			w.Best, w.Peaks, w.Waveform, w.Rate = p, at(t).Add(forecast.Slot/2), c.Links[cell.Link].Waveform, rate
		}
	}
	for i := range out {
		out[i].Best, out[i].Rate = round(out[i].Best*modem.UsualPresence.Free()), math.Round(out[i].Rate)
	}
	return out
}

// station finds the station of the directory that somebody names: by name, ID or call
// sign, or by the beginning of its name where no other begins so.
func (d *Desk) station(word string) (*station.Station, error) {
	if s, ok := d.Directory.Find(word); ok {
		return s, nil
	}
	found := d.Directory.Beginning(word)
	if len(found) == 1 {
		return found[0], nil
	}
	problem := fmt.Sprintf("no station %q in the directory", word)
	if len(found) > 1 {
		names := make([]string, len(found))
		for i, s := range found {
			names[i] = s.Name
		}
		problem = fmt.Sprintf("%q may be %s", word, strings.Join(names, " or "))
	}
	return nil, &MissingError{problem, "farhail stations lists them"}
}

// A StationAnswer is one far station as listed.
type StationAnswer struct {
	Station    string          `json:"station"`
	ID         string          `json:"id"`
	Call       string          `json:"call"`
	Position   string          `json:"position"`
	LatDeg     float64         `json:"lat_deg"`
	LonDeg     float64         `json:"lon_deg"`
	HeadingDeg float64         `json:"heading_deg"`
	Compass    float64         `json:"compass_deg"`
	DistanceKm float64         `json:"distance_km"`
	Carries    []string        `json:"carries"`
	Hours      string          `json:"hours"`
	Channels   []ChannelAnswer `json:"channels"`
	ExpectedIn unit.Bytes      `json:"expected_bytes_in,omitempty"`
	Note       string          `json:"note,omitempty"`
}

type ChannelAnswer struct {
	MHz       float64  `json:"mhz"`
	Waveforms []string `json:"waveforms"`
	Open      bool     `json:"open"`
	Connect   float64  `json:"connect_probability"`
	Rate      float64  `json:"bytes_per_minute"`
	Excluded  string   `json:"excluded,omitempty"`
}

// Stations lists the directory as it stands at a moment: bearing, distance, and what
// each channel promises now. Compass bearings are true less the declination of the day.
func (d *Desk) Stations(ctx context.Context, at time.Time) ([]StationAnswer, error) {
	pr, _, err := d.prospect(ctx, at, at, forecast.Slot)
	if err != nil {
		return nil, err
	}
	past, err := d.pastOf(ctx, at)
	if err != nil {
		return nil, err
	}
	waits, err := d.expected(ctx)
	if err != nil {
		return nil, err
	}
	year := earth.DecimalYear(at.Year(), int(at.Month()), at.Day())
	decl := earth.FieldAt(year).At(d.At(at), 0).Declination() * 180 / math.Pi
	out := []StationAnswer{}
	for i := range pr.Channels {
		c := &pr.Channels[i]
		s := c.Station
		if len(out) == 0 || out[len(out)-1].ID != s.ID {
			out = append(out, StationAnswer{Station: s.Name, ID: s.ID, Call: s.Call, Position: s.Position.String(),
				LatDeg: round(s.Position.Lat.Deg()), LonDeg: round(s.Position.Lon.Deg()), HeadingDeg: round(c.Heading.Deg()),
				Compass: round(math.Mod(c.Heading.Deg()-decl+360, 360)), DistanceKm: math.Round(c.Distance.Km()), Carries: s.Carries, Hours: s.Service().String(), Note: s.Note, ExpectedIn: waits[s.Name]})
		}
		last := &out[len(out)-1]
		ch := ChannelAnswer{MHz: c.MHz, Waveforms: c.Channel.Waveforms, Excluded: c.Excluded}
		if c.Excluded == "" {
			cell := &c.Cells[0]
			ch.Open, ch.Connect, ch.Rate = cell.Open, round(past.free(s.Name)*cell.Likely(past.prior)), math.Round(cell.MeanRate(past.prior))
		}
		last.Channels = append(last.Channels, ch)
	}
	return out, nil
}
