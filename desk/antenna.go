package desk

import (
	"fmt"
	"strings"

	"farhail/forecast"
	"farhail/hf/antenna"
	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/unit"
)

// DefaultNoiseFigure of a receiver nobody has measured, dB. Common practice.
const DefaultNoiseFigure = 15.0

// ParseAntenna reads an antenna on a command line: a kind, then key=value.
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
	for _, w := range words[1:] {
		key, v, ok := strings.Cut(w, "=")
		if !ok {
			return antenna.Spec{}, bad("%q is not key=value", w)
		}
		switch key {
		case "height":
			s.Height, err = unit.ParseLength(v)
		case "length":
			s.Length, err = unit.ParseLength(v)
		case "top":
			s.Top, err = unit.ParseLength(v)
		case "apex":
			s.Apex, err = unit.ParseAngle(v)
		case "design":
			s.Design, err = unit.ParseFreq(v)
		case "bearing":
			s.Bearing, err = unit.ParseAngle(v)
		case "tuner_loss":
			s.TunerLoss, err = unit.ParseDB(v)
		case "earth_ohm":
			_, err = fmt.Sscanf(v, "%g", &s.EarthOhm)
		case "coil_q":
			_, err = fmt.Sscanf(v, "%g", &s.CoilQ)
		case "earth_lead":
			s.EarthLead = v == "yes"
		case "ground":
			s.Ground, ok = earth.GroundByName(v)
			if !ok {
				return antenna.Spec{}, bad("no ground %q: choose %s", v, groundNames())
			}
		default:
			return antenna.Spec{}, bad("unknown key %q", key)
		}
		if err != nil {
			return antenna.Spec{}, bad("%s: %v", key, err)
		}
	}
	if err := s.Check(); err != nil {
		return antenna.Spec{}, bad("%v", err)
	}
	return s, nil
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

// Antenna solves an antenna as the command line names it.
func Antenna(words []string, f unit.Freq) (*antenna.Pattern, error) {
	s, err := ParseAntenna(strings.Join(words, " "))
	if err != nil {
		return nil, err
	}
	if err := unit.Check("frequency", f.MHz(), circuit.MinMHz, circuit.MaxMHz, "MHz"); err != nil {
		return nil, err
	}
	p, err := antenna.Solve(s, f)
	if err != nil {
		return nil, &InputError{err.Error(), "farhail antenna --help lists kinds and keys"}
	}
	return p, nil
}
