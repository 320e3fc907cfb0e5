package desk

import (
	"math"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
	"farhail/station"
	"farhail/unit"
)

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
	s, err := d.station(word)
	if err != nil {
		return party{}, err
	}
	return party{name: s.Name, far: s}, nil
}

// own are the addresses that are the station itself.
func (p party) own() []string {
	if p.home != nil {
		return []string{p.home.Call}
	}
	return p.far.Own()
}

// passes says whether the station passes on a message that bears one of several addresses.
func (p party) passes(bears []string) bool {
	return p.home != nil || slices.ContainsFunc(bears, p.far.Takes)
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
