package logbook

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"farhail/unit"
)

// dialStep is how far a bare frequency may lie from the channel it means: dials
// are read, and called out, to the kilohertz.
const dialStep = 500 * unit.Hz

// withPlanned returns the stations with that of the planned call among them.
func withPlanned(a Around) []Station {
	if a.Planned == nil || slices.ContainsFunc(a.Stations, func(s Station) bool { return key(s.Name) == key(a.Planned.Station) }) {
		return a.Stations
	}
	return slices.Concat(a.Stations, []Station{{Name: a.Planned.Station, Channels: []Channel{{Freq: a.Planned.Freq}}}})
}

// call finds the channel the line means: what was typed, then what follows from it.
func (p *draft) call(listening bool) (Call, error) {
	typed := strings.Join(p.station, " ")
	if p.named && len(p.station) > 1 {
		return Call{}, wrong(typed, "name a station twice: give it once")
	}
	if typed == "" {
		return p.callByFreq()
	}
	s, err := find(typed, p.around.Stations)
	if err != nil {
		return Call{}, err
	}
	if s == nil {
		return p.stranger(typed, listening)
	}
	c := Call{Station: s.Name, Freq: p.freq, Waveform: p.wave}
	planned := p.around.Planned
	switch {
	case p.freq != 0 && !p.unlisted:
		ch := nearest(*s, p.freq)
		if ch == nil {
			return Call{}, wrong(mhz(p.freq), "MHz is no channel of %s, which has %s: write freq=%s if it was used all the same", s.Name, channels(*s), mhz(p.freq))
		}
		c.Freq = ch.Freq
	case p.freq != 0:
	case planned != nil && key(planned.Station) == key(s.Name):
		c.Freq = planned.Freq
	case len(s.Channels) == 1:
		c.Freq = s.Channels[0].Freq
	default:
		return Call{}, wrong("", "the line gives no frequency for %s, which has %s: add one", s.Name, channels(*s))
	}
	return p.withWaveform(c, *s)
}

// callByFreq serves a line without a station: the only one that has the channel,
// else the call that was planned.
func (p *draft) callByFreq() (Call, error) {
	planned := p.around.Planned
	if planned != nil && (p.freq == 0 || math.Abs(float64(planned.Freq-p.freq)) <= float64(dialStep) && !p.unlisted) {
		c := Call{Station: planned.Station, Freq: planned.Freq, Waveform: p.wave}
		i := slices.IndexFunc(p.around.Stations, func(s Station) bool { return key(s.Name) == key(planned.Station) })
		return p.withWaveform(c, p.around.Stations[i])
	}
	if p.freq == 0 {
		return Call{}, wrong("", "the line names neither a station nor a frequency: add them, like %q", "cabo-lume 12.6045")
	}
	var found []Station
	for _, s := range p.around.Stations {
		if ch := nearest(s, p.freq); ch != nil && !p.unlisted {
			found = append(found, s)
		}
	}
	if len(found) != 1 {
		return Call{}, wrong(mhz(p.freq), "MHz belongs to %d stations of the directory: name the station too", len(found))
	}
	return p.withWaveform(Call{Station: found[0].Name, Freq: nearest(found[0], p.freq).Freq, Waveform: p.wave}, found[0])
}

// stranger serves a name that is not in the directory. Anyone may be listened
// for; a call goes to a station the desk knows.
func (p *draft) stranger(typed string, listening bool) (Call, error) {
	if !listening {
		for _, w := range p.station {
			if v := verb(w); v != "" {
				return Call{}, wrong("", "the line says both %s and %s: say one", p.verb, v)
			}
		}
		return Call{}, wrong(typed, "is no station of the directory: %s", known(p.around.Stations))
	}
	if p.freq == 0 {
		return Call{}, wrong("", "the line gives no frequency for %s: add one, like 10 or 9996kHz", typed)
	}
	return Call{Station: typed, Freq: p.freq}, nil
}

// withWaveform takes the waveform typed, else the planned one, else the only one.
func (p *draft) withWaveform(c Call, s Station) (Call, error) {
	var takes []string
	for _, ch := range s.Channels {
		if round(ch.Freq) == round(c.Freq) {
			takes = append(takes, ch.Waveforms...)
		}
	}
	planned := p.around.Planned
	switch {
	case c.Waveform != "":
		if len(takes) == 0 {
			return c, nil
		}
		for _, w := range takes {
			if strings.EqualFold(w, c.Waveform) {
				c.Waveform = w
				return c, nil
			}
		}
		return c, wrong(c.Waveform, "is no waveform of %s on %s MHz, which takes %s", s.Name, mhz(c.Freq), strings.Join(takes, ", "))
	case planned != nil && key(planned.Station) == key(c.Station) && round(planned.Freq) == round(c.Freq):
		c.Waveform = planned.Waveform
	case len(takes) == 1:
		c.Waveform = takes[0]
	}
	return c, nil
}

// find returns the station a name means, or nil if no name begins so.
func find(typed string, all []Station) (*Station, error) {
	k := key(typed)
	if k == "" {
		return nil, wrong(typed, "is no name of a station")
	}
	var begin []*Station
	for i := range all {
		s := &all[i]
		if key(s.Name) == k || key(s.CallSign) == k {
			return s, nil
		}
		if strings.HasPrefix(key(s.Name), k) {
			begin = append(begin, s)
		}
	}
	switch len(begin) {
	case 0:
		return nil, nil
	case 1:
		return begin[0], nil
	}
	return nil, wrong(typed, "may mean %s or %s: type more of the name", begin[0].Name, begin[1].Name)
}

func nearest(s Station, f unit.Freq) *Channel {
	var best *Channel
	for i := range s.Channels {
		ch := &s.Channels[i]
		if off := math.Abs(float64(ch.Freq - f)); off <= float64(dialStep) && (best == nil || off < math.Abs(float64(best.Freq-f))) {
			best = ch
		}
	}
	return best
}

func mhz(f unit.Freq) string { return strconv.FormatFloat(f.MHz(), 'f', -1, 64) }

func channels(s Station) string {
	if len(s.Channels) == 0 {
		return "no channel"
	}
	list := make([]string, len(s.Channels))
	for i, ch := range s.Channels {
		list[i] = mhz(ch.Freq)
	}
	return strings.Join(list, ", ") + " MHz"
}

// known names the stations to choose from, as far as a sentence can hold them.
func known(all []Station) string {
	if len(all) == 0 {
		return "it holds none yet"
	}
	names := make([]string, 0, len(all))
	for _, s := range all {
		names = append(names, s.Name)
	}
	if len(names) > 12 {
		return "farhail stations lists them"
	}
	return "it holds " + strings.Join(names, ", ")
}
