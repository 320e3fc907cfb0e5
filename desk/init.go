package desk

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"farhail/hf/earth"
	"farhail/modem"
	"farhail/station"
	"farhail/unit"
)

// An InitAnswer says what was written.
type InitAnswer struct {
	Dir   string   `json:"dir"`
	Files []string `json:"files"`
	Next  string   `json:"next"`
}

// Start is what init asks for.
type Start struct {
	Name, Call, Position, Power, Antenna, Waveforms, Noise, Battery string
}

// A Question is one thing init asks, with what it takes when nothing is said.
type Question struct {
	Key, Text, Usual string
	To               *string
}

// Questions lists what init asks, in order.
func (s *Start) Questions() []Question {
	return []Question{
		{"name", "What is your station called?", "", &s.Name},
		{"call", "Its call sign?", "", &s.Call},
		{"position", "Where is it? (degrees, degrees and minutes, or a locator)", "", &s.Position},
		{"power", "Transmitter power?", "100 W", &s.Power},
		{"antenna", "Antenna? (a kind, then key=value: farhail antenna --help)", "dipole height=8m", &s.Antenna},
		{"waveforms", "What can the modem do? (" + strings.Join(modem.Names(), ", ") + ")", "serial-3k", &s.Waveforms},
		{"noise", "What stands around it? (city, residential, rural, quiet-rural)", "residential", &s.Noise},
		{"battery", "Battery? (volts and ampere-hours, or none)", "12 V 100 Ah", &s.Battery},
	}
}

// Init writes a commented starting set into a folder that has none.
func Init(dir string, s Start) (*InitAnswer, error) {
	h := station.DefaultHome()
	h.Name, h.Call = s.Name, s.Call
	bad := func(key string, err error) error {
		return &InputError{fmt.Sprintf("%s: %v", key, err), "nothing was written; say it again"}
	}
	if strings.TrimSpace(s.Name) == "" {
		return nil, bad("name", fmt.Errorf("a station needs a name"))
	}
	var err error
	if h.Position, err = earth.ParsePosition(s.Position); err != nil {
		return nil, bad("position", err)
	}
	if h.Power, err = unit.ParsePower(s.Power); err != nil {
		return nil, bad("power", err)
	}
	if h.Antenna, err = ParseAntenna(s.Antenna); err != nil {
		return nil, bad("antenna", err)
	}
	for _, w := range strings.FieldsFunc(s.Waveforms, func(r rune) bool { return r == ',' || r == ' ' }) {
		if _, err := modem.ByName(w); err != nil {
			return nil, bad("waveforms", err)
		}
		h.Waveforms = append(h.Waveforms, w)
	}
	h.Noise.Environment = station.Environment(s.Noise)
	if err := battery(&h, s.Battery); err != nil {
		return nil, bad("battery", err)
	}
	home := station.HomeTemplate(h)
	if _, err := station.ParseHome(HomeFile, home); err != nil {
		return nil, &InputError{"what was said does not make a home station: " + err.Error(), "nothing was written; say it again"}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("make folder: %w", err)
	}
	for _, f := range []string{HomeFile, StationsFile} {
		if p := filepath.Join(dir, f); exists(p) {
			return nil, &InputError{fmt.Sprintf("%s is there already: nothing was written", p), "edit it, or give another folder with --dir"}
		}
	}
	a := &InitAnswer{Dir: dir, Next: "write what your licence permits into " + HomeFile + " and whom you may call into " + StationsFile + ", then: farhail check"}
	for _, f := range []struct {
		name string
		b    []byte
	}{{HomeFile, home}, {StationsFile, station.DirectoryTemplate(station.Directory{})}} {
		p := filepath.Join(dir, f.name)
		if err := os.WriteFile(p, f.b, 0o644); err != nil {
			return nil, fmt.Errorf("write %s: %w", p, err)
		}
		a.Files = append(a.Files, p)
	}
	return a, nil
}

// battery reads "12 V 100 Ah" or "none".
func battery(h *station.Home, s string) error {
	s = strings.TrimSpace(s)
	if s == "" || s == "none" {
		h.Consumption.Receive, h.Consumption.Transmit = 25*unit.Watt, 250*unit.Watt
		return nil
	}
	i := strings.IndexAny(s, "Vv")
	if i < 0 {
		return fmt.Errorf("%q is not a battery: write it like \"12 V 100 Ah\", or none", s)
	}
	v, err := unit.ParseVoltage(s[:i+1])
	if err != nil {
		return err
	}
	q, err := unit.ParseCharge(s[i+1:])
	if err != nil {
		return err
	}
	h.Battery = station.Battery{Voltage: v, Capacity: q, Reserve: 0.4, Charge: 1}
	// A common radio draws 18 W listening and 2.4 times its output with the carrier up.
	h.Consumption.Receive, h.Consumption.Transmit = 18*unit.Watt, 2.4*h.Power
	return nil
}
