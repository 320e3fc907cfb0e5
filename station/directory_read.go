package station

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"farhail/unit"
)

// ParseDirectory reads far stations from TOML. The error is Faults, all that is
// wrong with the file; with any there is no directory.
func ParseDirectory(file string, src []byte) (*Directory, error) {
	return bindDirectory(parseTOML(file, src), "add [[station]] with name, position and channels")
}

// bindDirectory reads the stations of a tree; hint is what to do when it has none.
func bindDirectory(d *document, hint string) (*Directory, error) {
	if len(d.faults) > 0 && len(d.root.entries) == 0 {
		return nil, d.faults
	}
	var dir Directory
	root := &section{d: d, t: d.root, where: places{}}
	subs := root.subs("station")
	if len(subs) == 0 && len(d.faults) == 0 {
		d.faults = append(d.faults, Fault{File: d.file, Field: "station", Problem: "there is no station in the file", Hint: hint})
	}
	for _, s := range subs {
		dir.Stations = append(dir.Stations, s.station())
	}
	root.close()
	d.faults = append(d.faults, duplicates(dir.Stations)...)
	if len(d.faults) > 0 {
		return nil, d.faults.sorted()
	}
	return &dir, nil
}

func (s *section) station() Station {
	f := defaultStation()
	f.At, f.where, f.path = s.d.place(s.t.at), s.where, s.path
	s.identity(&f.Name, &f.Call, false)
	f.ID = slug(f.Name)
	s.position(&f.Position)
	s.spans("hours", &f.Hours)
	s.skeds(&f)
	dwells.optional(s, "dwell", &f.Dwell)
	senderPower.optional(s, "power", &f.Power)
	if a := s.sub("antenna"); a != nil {
		a.antenna(&f.Antenna, &f.FeederLoss)
		a.close()
	}
	var env string
	if s.word("noise", environments, &env, false) {
		f.Noise = Environment(env)
	}
	if list := s.texts("carries", `["*"]`, false); len(list) > 0 {
		f.Carries = nil
		for _, e := range list {
			f.Carries = append(f.Carries, e.text)
		}
	}
	s.text("language", "en", &f.Language, false)
	s.text("note", "asks for a position report first", &f.Note, false)
	channels := s.subs("channel")
	if len(channels) == 0 && s.t.find("channel") == nil {
		s.d.fault(s.t.at, strings.TrimSuffix(s.path, "."), "has no channel", "add [[station.channel]] with frequency, bandwidth and waveforms")
	}
	for _, c := range channels {
		ch := c.channel()
		c.apart(ch, f.Channels)
		f.Channels = append(f.Channels, ch)
	}
	s.close()
	return f
}

func (s *section) skeds(f *Station) {
	for i, e := range s.texts("skeds", `["00:00", "12:00"]`, false) {
		m, ok := minuteOf(e.text)
		if !ok || m == dayMin {
			s.fault(e, fmt.Sprintf("skeds[%d]", i+1), fmt.Sprintf("%q is not a time of day", e.text), `write it in UTC like "12:00"`)
			continue
		}
		if slices.Contains(f.Skeds, m) {
			s.fault(e, fmt.Sprintf("skeds[%d]", i+1), fmt.Sprintf("%q is listed twice", e.text), "keep one of them")
			continue
		}
		f.Skeds = append(f.Skeds, m)
	}
	margins.optional(s, "sked_margin", &f.SkedMargin)
	if e := s.t.find("sked_margin"); e != nil && s.t.find("skeds") == nil {
		s.fault(e, "sked_margin", "there are no skeds to which it belongs", `add skeds = ["00:00", "12:00"] or take it away`)
	}
	if e := s.t.find("skeds"); e != nil && len(f.Skeds) > 0 && len(f.Service()) == 0 {
		s.fault(e, "skeds", fmt.Sprintf("none of them lies in the station's hours, %s", f.Hours), "change hours or skeds")
	}
}

func (s *section) channel() Channel {
	c := Channel{Bandwidth: 3 * unit.KHz, Hours: Always(), At: s.d.place(s.t.at)}
	channelFreq.required(s, "frequency", &c.Centre)
	if c.Centre > 0 {
		e := s.t.find("frequency")
		c.At = s.d.place(max(e.from, e.at))
	}
	bandwidths.optional(s, "bandwidth", &c.Bandwidth)
	if lo, hi := c.Centre-c.Bandwidth/2, c.Centre+c.Bandwidth/2; c.Centre > 0 && (!channelFreq.valid(lo) || !channelFreq.valid(hi)) {
		s.fault(s.t.find("frequency"), "frequency", fmt.Sprintf("an edge of %s lies outside 1.6 to 30 MHz", channelText(c.Centre, c.Bandwidth)), "give the centre of the emission")
	}
	c.Waveforms = s.waveforms(true)
	if s.text("emission", "2K80J2D", &c.Emission, false) && !emission.MatchString(c.Emission) {
		s.fault(s.t.find("emission"), "emission", fmt.Sprintf("%q is not an emission", c.Emission), `write its designator like "2K80J2D" or its class like "J2D"`)
	}
	s.spans("hours", &c.Hours)
	s.close()
	return c
}

// apart faults a frequency that the station has already.
func (s *section) apart(c Channel, others []Channel) {
	for _, o := range others {
		if c.Centre > 0 && math.Abs(float64(c.Centre-o.Centre)) < 1 {
			s.fault(s.t.find("frequency"), "frequency", fmt.Sprintf("%s kHz is already the channel of line %d", thousands(c.Centre.KHz()), o.At.Line), "give each channel once, with all its waveforms")
			return
		}
	}
}
