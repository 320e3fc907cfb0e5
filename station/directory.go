package station

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"farhail/hf/antenna"
	"farhail/hf/earth"
	"farhail/unit"
)

// Directory is whom we may call, in the order of the file.
type Directory struct {
	Stations []Station
}

// Station is a far station: anyone we may call.
type Station struct {
	ID       string // the name in small letters with hyphens, "cabo-lume"
	Name     string
	Call     string // may be empty
	Position earth.Point

	Hours      Spans         // of service
	Skeds      []int         // minutes of the day at which it listens; none: all its hours
	SkedMargin time.Duration // before and after each sked
	Dwell      time.Duration // on each channel while it scans

	Power      unit.Power
	Antenna    antenna.Spec
	FeederLoss unit.DB
	Noise      Environment

	Carries  []string // addresses it takes traffic for, its own first; * for anything
	Language string
	Note     string

	Channels []Channel
	At       Place
	where    places
	path     string // of its fields in where, "station[3]."
}

// Channel is a centre frequency of a far station. It is the middle of the
// emission, not what the dial of a single-sideband radio shows.
type Channel struct {
	Centre    unit.Freq
	Bandwidth unit.Freq
	Waveforms []string
	Emission  string // designator of the Radio Regulations, may be empty
	Hours     Spans  // of its own, inside the station's
	At        Place
}

// defaultStation holds what a file need not say.
//
// Source: 2 s of dwell, residential noise and half an hour around a sked are
// common practice; 100 W is the power of most field transmitters.
func defaultStation() Station {
	return Station{
		Hours: Always(), SkedMargin: 30 * time.Minute, Dwell: 2 * time.Second,
		Power: 100, Antenna: antenna.Spec{Kind: antenna.Isotropic}, Noise: Residential,
		Carries: []string{"*"},
	}
}

// Service returns when the station listens at all: its hours, cut to its skeds
// when it keeps any.
func (s *Station) Service() Spans {
	if len(s.Skeds) == 0 {
		return s.Hours
	}
	margin := int(s.SkedMargin / time.Minute)
	var around []Span
	for _, at := range s.Skeds {
		from := (at - margin + dayMin) % dayMin
		around = append(around, Span{from, from + 2*margin})
	}
	return s.Hours.Intersect(union(around...))
}

// OpenHours returns when the station listens on a channel.
func (s *Station) OpenHours(c *Channel) Spans { return s.Service().Intersect(c.Hours) }

// TakesAll says whether the station carries any traffic, as a gateway does.
func (s *Station) TakesAll() bool { return slices.Contains(s.Carries, "*") }

// Takes says whether the station carries traffic for an address.
func (s *Station) Takes(address string) bool {
	return slices.ContainsFunc(s.Carries, func(p string) bool { return fits(p, address) })
}

// Own returns the addresses that are the station itself: its call sign, and the first of
// what it carries unless that is anything. What else it carries it passes on.
func (s *Station) Own() []string {
	var own []string
	if s.Call != "" {
		own = append(own, s.Call)
	}
	if len(s.Carries) > 0 && s.Carries[0] != "*" {
		own = append(own, s.Carries[0])
	}
	return own
}

// Peer returns the station, gateways aside, that takes traffic for an address: the one
// whose own it is, else the first that passes it on.
func (d *Directory) Peer(address string) (*Station, bool) {
	var on *Station
	for i := range d.Stations {
		s := &d.Stations[i]
		if s.TakesAll() || !s.Takes(address) {
			continue
		}
		if fits(s.Carries[0], address) {
			return s, true
		}
		if on == nil {
			on = s
		}
	}
	return on, on != nil
}

// fits says whether a pattern fits a text: * stands for any characters, none
// included, and letters match in either case.
func fits(pattern, text string) bool {
	pattern, text = strings.ToLower(pattern), strings.ToLower(text)
	head, rest, star := strings.Cut(pattern, "*")
	if !star {
		return pattern == text
	}
	if !strings.HasPrefix(text, head) {
		return false
	}
	text = text[len(head):]
	parts := strings.Split(rest, "*")
	for _, p := range parts[:len(parts)-1] {
		i := strings.Index(text, p)
		if i < 0 {
			return false
		}
		text = text[i+len(p):]
	}
	return strings.HasSuffix(text, parts[len(parts)-1])
}

// Find returns the station of an ID, a name or a call sign, in either case.
func (d *Directory) Find(word string) (*Station, bool) {
	id := slug(word)
	for i := range d.Stations {
		s := &d.Stations[i]
		if s.ID == id && id != "" || strings.EqualFold(s.Call, word) && word != "" {
			return s, true
		}
	}
	return nil, false
}

// Beginning returns the stations whose name begins with a word, in either case.
func (d *Directory) Beginning(word string) (found []*Station) {
	id := slug(word)
	for i := range d.Stations {
		if id != "" && strings.HasPrefix(d.Stations[i].ID, id) {
			found = append(found, &d.Stations[i])
		}
	}
	return found
}

// Join puts several directories together; a station that is in two of them is a
// fault, and then there is no directory.
func Join(parts ...*Directory) (*Directory, error) {
	var all Directory
	var faults Faults
	for _, d := range parts {
		all.Stations = append(all.Stations, d.Stations...)
	}
	faults = duplicates(all.Stations)
	if len(faults) > 0 {
		return nil, faults
	}
	return &all, nil
}

// duplicates finds stations of one name or one call sign.
func duplicates(stations []Station) Faults {
	var faults Faults
	seen := map[string]*Station{}
	look := func(s *Station, key, field, text string) {
		first := seen[key]
		if first == nil {
			seen[key] = s
			return
		}
		at, ok := s.where[s.path+field]
		if !ok {
			at = s.At
		}
		where := fmt.Sprintf("line %d", first.At.Line)
		if first.At.File != at.File {
			where = fmt.Sprintf("%s line %d", first.At.File, first.At.Line)
		}
		faults = append(faults, Fault{at.File, at.Line, at.Col, s.path + field, fmt.Sprintf("%q is already the station of %s", text, where), "give each station once, all its channels under it", Error})
	}
	for i := range stations {
		s := &stations[i]
		if s.ID != "" {
			look(s, "name "+s.ID, "name", s.Name)
		}
		if s.Call != "" {
			look(s, "call "+s.Call, "call", s.Call)
		}
	}
	return faults
}

// slug turns a name into the word a command line takes.
func slug(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r):
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.TrimSuffix(b.String(), "-")
}
