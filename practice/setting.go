package practice

import (
	"fmt"
	"slices"
	"sync"
	"time"

	"farhail/forecast"
	"farhail/hf/circuit"
	"farhail/hf/noise"
	"farhail/modem"
	"farhail/plan"
	"farhail/station"
	"farhail/unit"
)

// A Setting is what the operator has and believes, the same on every day that is played:
// the request and the prospect that came of it, traffic, battery and watch.
type Setting struct {
	Request  forecast.Request
	Prospect *forecast.Prospect
	Items    []Item // in the order of precedence
	Battery  plan.Battery
	Draw     float64   // W while calling, as in plan.Problem
	Wake     []float64 // per quarter, as in plan.Problem
	Minutes  []float64 // lengths a planned call may have, ascending

	once sync.Once
	err  error
	kit
}

// An Item is a message to be brought to one of some stations. A message for several
// peers is several items of one Message.
type Item struct {
	Message    string
	Precedence string
	Bytes      float64
	Worth      []float64 // per quarter, when it is delivered in it; 0 when too late
	Stations   []string  // names; any of them will do
}

// kit is what the days share: antennas, links, who takes what.
type kit struct {
	stations  []*station.Station
	of        []int // of channels: the station
	far       []*forecast.Aerial
	home      *forecast.Aerial
	ours      noise.Environment
	theirs    []noise.Environment
	site      func(fMHz float64) noise.Source // of home, when it was measured
	radios    [][]*radio                      // [channel][link]
	takes     [][]bool                        // [item][station]
	bands     []circuit.Band
	dark      []bool // the Sun is down, by quarter
	precedent []string
}

// prepare works the kit out once.
func (s *Setting) prepare() error {
	s.once.Do(func() { s.err = s.set() })
	return s.err
}

func (s *Setting) set() error {
	p := s.Prospect
	if len(s.Wake) != p.Slots || len(s.Battery.Drift) != p.Slots {
		return fmt.Errorf("prepare practice: %d quarters of prospect, %d of watch, %d of battery: they must be as many", p.Slots, len(s.Wake), len(s.Battery.Drift))
	}
	if len(s.Minutes) == 0 || s.Minutes[len(s.Minutes)-1] > slotMin {
		return fmt.Errorf("prepare practice: calls of %v minutes: give lengths up to %g", s.Minutes, slotMin)
	}
	h := s.Request.Home
	var err error
	if s.home, err = forecast.NewAerial(h.Antenna, h.FeederLoss, h.NoiseFigure); err != nil {
		return fmt.Errorf("home antenna: %w", err)
	}
	if s.ours, err = noise.ParseEnvironment(string(h.Noise.Environment)); err != nil {
		return err
	}
	// The operator's readings of the noise are the truth's median.
	if s.site, err = forecast.SiteNoise(h.Noise, s.ours, s.home); err != nil {
		return err
	}
	radios := map[radioKey]*radio{}
	for i := range p.Channels {
		c := &p.Channels[i]
		k := slices.IndexFunc(s.stations, func(x *station.Station) bool { return x.Name == c.Station.Name })
		if k < 0 {
			k = len(s.stations)
			s.stations = append(s.stations, c.Station)
			far, err := forecast.NewAerial(c.Station.Antenna, c.Station.FeederLoss, defaultNoiseFigure)
			if err != nil {
				return fmt.Errorf("antenna of %s: %w", c.Station.Name, err)
			}
			env, err := noise.ParseEnvironment(string(c.Station.Noise))
			if err != nil {
				return err
			}
			s.far, s.theirs = append(s.far, far), append(s.theirs, env)
		}
		s.of = append(s.of, k)
		s.bands = append(s.bands, circuit.NewBand(c.MHz))
		var of []*radio
		for _, l := range c.Links {
			key := radioKey{l.Waveform, c.Distance}
			if radios[key] == nil {
				w, err := s.waveform(l.Waveform)
				if err != nil {
					return err
				}
				radios[key] = newRadio(w, c.Distance)
			}
			of = append(of, radios[key])
		}
		s.radios = append(s.radios, of)
	}
	for t := range p.Slots {
		s.dark = append(s.dark, !sunUp(s.where(t), s.at(t)))
	}
	for _, it := range s.Items {
		if len(it.Worth) != p.Slots {
			return fmt.Errorf("prepare practice: message %s: worth of %d quarters, want %d", it.Message, len(it.Worth), p.Slots)
		}
		takes := make([]bool, len(s.stations))
		for k, st := range s.stations {
			takes[k] = slices.Contains(it.Stations, st.Name)
		}
		s.takes = append(s.takes, takes)
		if !slices.Contains(s.precedent, it.Precedence) {
			s.precedent = append(s.precedent, it.Precedence)
		}
	}
	return nil
}

func (s *Setting) waveform(name string) (modem.Waveform, error) {
	for _, w := range s.Request.Modems {
		if w.Name == name {
			return w, nil
		}
	}
	return modem.ByName(name)
}

type radioKey struct {
	waveform string
	path     unit.Length
}

// usable says whether a channel may be called at all in a quarter.
func (s *Setting) usable(c, t int) bool {
	ch := &s.Prospect.Channels[c]
	return ch.Excluded == "" && len(ch.Links) > 0 && t < len(ch.Cells) && ch.Cells[t].Open
}

// radio is the modem in use on a channel in a quarter: the one the prospect means.
func (s *Setting) radio(c, t int) *radio {
	return s.radios[c][s.Prospect.Channels[c].Cells[t].Link]
}

// takesOf says whether a channel's station takes an item.
func (s *Setting) takesOf(c, item int) bool { return s.takes[item][s.of[c]] }

// at is the beginning of a quarter.
func (s *Setting) at(t int) time.Time { return s.Prospect.Start.Add(time.Duration(t) * forecast.Slot) }

// slotMin is a quarter of an hour.
const slotMin = 15.0

// defaultNoiseFigure of a far receiver. Common practice, as in forecast.
const defaultNoiseFigure = unit.DB(15)
