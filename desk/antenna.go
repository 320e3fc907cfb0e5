package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"farhail/forecast"
	"farhail/hf/antenna"
	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/station"
	"farhail/unit"
)

// DefaultNoiseFigure of a receiver nobody has measured, dB. Common practice.
const DefaultNoiseFigure = 15.0

// ParseAntenna reads an antenna on a command line: a kind, then key=value, with the keys
// that the home file has for the kind (station.AntennaKeys).
//
//	isotropic
//	dipole height=10m bearing=90deg ground=wet
//	wire height=3m top=14m length=12.5m bearing=190deg ground=sea tuner_loss=2.5dB
func ParseAntenna(text string) (s antenna.Spec, err error) {
	words := strings.Fields(strings.ReplaceAll(text, ",", " "))
	if len(words) == 0 {
		return antenna.Spec{Kind: antenna.Isotropic}, nil
	}
	s.Kind = antenna.Kind(words[0])
	bad := func(format string, args ...any) error {
		return &InputError{fmt.Sprintf("antenna %q: ", text) + fmt.Sprintf(format, args...), "farhail antenna --help lists kinds and keys"}
	}
	keys := station.AntennaKeys(s.Kind)
	if keys == nil {
		return antenna.Spec{}, bad("%v", &antenna.KindError{Got: s.Kind})
	}
	if s.Kind == antenna.Table {
		return antenna.Spec{}, bad("a table of figures stands in the home file: farhail antenna home draws it")
	}
	said := map[string]bool{}
	for _, w := range words[1:] {
		key, v, ok := strings.Cut(w, "=")
		switch {
		case !ok:
			return antenna.Spec{}, bad("%q is not key=value", w)
		case !slices.Contains(keys, key):
			return antenna.Spec{}, bad("%q is no key of the kind %q, which has %s", key, s.Kind, cmp.Or(strings.Join(keys, ", "), "none"))
		case said[key]:
			return antenna.Spec{}, bad("%s is said twice", key)
		}
		said[key] = true
		if err := antennaKey(&s, key, v); err != nil {
			return antenna.Spec{}, bad("%s: %v", key, err)
		}
	}
	for _, key := range keys {
		if station.RequiredOf(s.Kind, key) && !said[key] {
			return antenna.Spec{}, bad("%s= is missing: add one like %s=8m", key, key)
		}
	}
	if err := s.Check(); err != nil {
		return antenna.Spec{}, bad("%v", err)
	}
	return s, nil
}

// antennaKey reads one key of an antenna.
func antennaKey(s *antenna.Spec, key, v string) (err error) {
	switch key {
	case "height":
		s.Height, err = unit.ParseLength(v)
	case "length":
		s.Length, err = unit.ParseLength(v)
	case "top":
		s.Top, err = unit.ParseLength(v)
	case "radius":
		s.Radius, err = unit.ParseLength(v)
	case "apex":
		s.Apex, err = unit.ParseAngle(v)
	case "design":
		s.Design, err = unit.ParseFreq(v)
	case "bearing":
		s.Bearing, err = unit.ParseAngle(v)
	case "tuner_loss":
		s.TunerLoss, err = unit.ParseDB(v)
	case "earth_resistance":
		s.EarthOhm, err = station.ParseOhm(v)
	case "coil_q":
		if s.CoilQ, err = strconv.ParseFloat(v, 64); err != nil {
			return fmt.Errorf("%q is not a number", v)
		}
	case "earth_lead":
		if v != "yes" && v != "no" {
			return fmt.Errorf("%q is neither yes nor no", v)
		}
		s.EarthLead = v == "yes"
	case "ground":
		var ok bool
		if s.Ground, ok = earth.GroundByName(v); !ok {
			return fmt.Errorf("no ground %q: choose %s", v, groundNames())
		}
	}
	return err
}

// AntennaHelp lists kinds and what may be said of each, for the command's help.
func AntennaHelp() string {
	var b strings.Builder
	for _, k := range antenna.Kinds {
		if k == antenna.Table {
			continue
		}
		fmt.Fprintf(&b, "  %-10s", k)
		for _, key := range station.AntennaKeys(k) {
			if station.RequiredOf(k, key) {
				fmt.Fprintf(&b, " %s=", key)
			} else {
				fmt.Fprintf(&b, " [%s=]", key)
			}
		}
		b.WriteByte('\n')
	}
	return b.String() + "ground: " + groundNames()
}

func groundNames() string {
	var n []string
	for _, g := range earth.Grounds {
		n = append(n, g.Name)
	}
	return strings.Join(n, ", ")
}

func transmitting(s antenna.Spec) (circuit.Terminal, error) {
	a, err := forecast.NewAerial(s, 0, 0)
	if err != nil {
		return circuit.Terminal{}, &InputError{err.Error(), ""}
	}
	return a.Transmitting(), nil
}

func receiving(s antenna.Spec, feeder, noiseFigure unit.DB) (circuit.Terminal, error) {
	a, err := forecast.NewAerial(s, feeder, noiseFigure)
	if err != nil {
		return circuit.Terminal{}, &InputError{err.Error(), ""}
	}
	return a.Receiving(), nil
}

// Pattern is what an antenna does at a frequency (antenna.Pattern).
type Pattern = antenna.Pattern

// Antenna solves an antenna as the command line names it.
func Antenna(words []string, f unit.Freq) (*Pattern, error) {
	s, err := ParseAntenna(strings.Join(words, " "))
	if err != nil {
		return nil, err
	}
	return patternOf(s, f)
}

// Antenna solves the station's own antenna.
func (d *Desk) Antenna(f unit.Freq) (*Pattern, error) { return patternOf(d.Home.Antenna, f) }

func patternOf(s antenna.Spec, f unit.Freq) (*Pattern, error) {
	if err := unit.Check("frequency", f.MHz(), circuit.MinMHz, circuit.MaxMHz, "MHz"); err != nil {
		return nil, err
	}
	p, err := antenna.Solve(s, f)
	if err != nil {
		return nil, &InputError{err.Error(), "farhail antenna --help lists kinds and keys"}
	}
	return p, nil
}
