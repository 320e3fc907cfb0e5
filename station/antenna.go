package station

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"farhail/hf/antenna"
	"farhail/hf/earth"
	"farhail/unit"
)

// antennaKeys are the figures that describe each kind of antenna, besides its kind
// and the loss of its feeder.
var antennaKeys = map[antenna.Kind][]string{
	antenna.Isotropic: {},
	antenna.Vertical:  {"length", "design", "ground", "earth_resistance", "radius", "tuner_loss"},
	antenna.Whip:      {"length", "ground", "earth_resistance", "coil_q", "radius", "tuner_loss"},
	antenna.Dipole:    {"height", "length", "design", "bearing", "ground", "radius", "tuner_loss"},
	antenna.InvertedV: {"height", "length", "design", "apex", "bearing", "ground", "radius", "tuner_loss"},
	antenna.Wire:      {"height", "top", "length", "bearing", "ground", "earth_resistance", "earth_lead", "radius", "tuner_loss"},
	antenna.Table:     {"gain"},
}

// AntennaKeys are the figures that describe a kind of antenna, besides the loss of its
// feeder; nil for a kind that is not known.
func AntennaKeys(k antenna.Kind) []string { return slices.Clone(antennaKeys[k]) }

// RequiredOf says whether an antenna of the kind cannot do without the figure.
func RequiredOf(k antenna.Kind, key string) bool {
	switch key {
	case "height", "top", "gain":
		return slices.Contains(antennaKeys[k], key)
	case "length":
		return k == antenna.Wire || k == antenna.Whip
	}
	return false
}

var antennaKinds = func() []string {
	names := make([]string, len(antenna.Kinds))
	for i, k := range antenna.Kinds {
		names[i] = string(k)
	}
	return names
}()

// antenna reads a description of an antenna: its kind and the figures that belong
// to the kind; a figure of another kind is a fault.
func (s *section) antenna(a *antenna.Spec, feeder *unit.DB) {
	faults := len(s.d.faults)
	var name string
	losses.optional(s, "feeder_loss", feeder)
	if !s.word("kind", antennaKinds, &name, true) {
		for _, keys := range antennaKeys {
			s.known = append(s.known, keys...)
		}
		return
	}
	*a = antenna.Spec{Kind: antenna.Kind(name)}
	for _, key := range antennaKeys[a.Kind] {
		switch key {
		case "height":
			heights.required(s, key, &a.Height)
		case "length":
			lengths.read(s, key, &a.Length, RequiredOf(a.Kind, key))
		case "top":
			heights.required(s, key, &a.Top)
		case "apex":
			apexes.optional(s, key, &a.Apex)
		case "design":
			channelFreq.optional(s, key, &a.Design)
		case "bearing":
			bearings.optional(s, key, &a.Bearing)
		case "ground":
			s.ground(&a.Ground)
		case "earth_resistance":
			resistances.optional(s, key, &a.EarthOhm)
		case "coil_q":
			s.number(key, 10, 2000, "200", &a.CoilQ, false)
		case "radius":
			radii.optional(s, key, &a.Radius)
		case "tuner_loss":
			tunerLosses.optional(s, key, &a.TunerLoss)
		case "earth_lead":
			s.truth(key, &a.EarthLead)
		case "gain":
			s.gainRows(a)
		}
	}
	s.foreign(a.Kind)
	if before := len(s.d.faults); before == faults {
		s.shape(a)
		if err := a.Check(); err != nil && len(s.d.faults) == before {
			s.d.fault(s.t.at, strings.TrimSuffix(s.path, "."), err.Error(), "")
		}
	}
}

// foreign faults the figures that belong to other kinds of antenna.
func (s *section) foreign(k antenna.Kind) {
	for _, e := range s.t.entries {
		if slices.Contains(s.known, e.key) || !anyKind(e.key) {
			continue
		}
		hint := "it has " + strings.Join(antennaKeys[k], ", ") + " and feeder_loss"
		if len(antennaKeys[k]) == 0 {
			hint = "it has nothing but feeder_loss"
		}
		s.d.fault(e.at, s.field(e.key), fmt.Sprintf("does not belong to the kind %q", k), hint)
		s.known = append(s.known, e.key)
	}
}

func anyKind(key string) bool {
	for _, keys := range antennaKeys {
		if slices.Contains(keys, key) {
			return true
		}
	}
	return false
}

func (s *section) ground(g *earth.Ground) {
	names := make([]string, len(earth.Grounds))
	for i, k := range earth.Grounds {
		names[i] = k.Name
	}
	var name string
	if s.word("ground", names, &name, false) {
		*g, _ = earth.GroundByName(name)
	}
}

// shape checks what the figures say together.
func (s *section) shape(a *antenna.Spec) {
	switch rise := math.Abs(float64(a.Top - a.Height)); {
	case a.Kind == antenna.Wire && rise > a.Length.M():
		s.fault(s.t.find("length"), "length", fmt.Sprintf("the ends are %g m apart in height, the wire is %g m long", rise, a.Length.M()), "measure again, the wire goes straight from end to end")
	case a.Kind == antenna.InvertedV && a.Length > 0:
		apex := a.Apex
		if apex == 0 {
			apex = 120 * unit.Degree
		}
		if drop := a.Length / 2 * unit.Length(math.Cos(apex.Rad()/2)); drop >= a.Height {
			s.fault(s.t.find("height"), "height", fmt.Sprintf("the ends of the arms come to %.3g m under the apex at %g m", drop.M(), a.Height.M()), "raise the apex, shorten the wire or open the angle")
		}
	}
}

// gainRows reads an operator's own figures.
func (s *section) gainRows(a *antenna.Spec) {
	rows := s.subs("gain")
	if len(rows) == 0 && s.t.find("gain") == nil {
		s.missing("gain", `[{ frequency = "7 MHz", elevation = "30 deg", gain = "2 dBi" }]`)
	}
	seen := map[[2]float64]bool{}
	for _, r := range rows {
		var row antenna.TableRow
		channelFreq.required(r, "frequency", &row.Freq)
		elevations.required(r, "elevation", &row.Elevation)
		gains.required(r, "gain", &row.Gain)
		if key := [2]float64{row.Freq.Hz(), row.Elevation.Deg()}; seen[key] {
			r.d.fault(r.t.at, strings.TrimSuffix(r.path, "."), "gives the same frequency and elevation a second time", "keep one of them")
		} else {
			seen[key] = true
		}
		r.close()
		a.Rows = append(a.Rows, row)
	}
}

// antenna writes the figures that belong to the kind, those left at their default
// left out.
func (w *writer) antenna(a antenna.Spec, feeder unit.DB) {
	kind := a.Kind
	if kind == "" {
		kind = antenna.Isotropic
	}
	w.key("kind", quote(string(kind)), strings.Join(antennaKinds, ", "))
	metres := func(key string, v unit.Length) {
		if v > 0 {
			w.text(key, exactly(v, unit.ParseLength, scale{"m", 1}))
		}
	}
	degrees := func(key string, v unit.Angle) {
		if v > 0 {
			w.text(key, exactly(v, unit.ParseAngle, scale{"deg", float64(unit.Degree)}, scale{"rad", 1}))
		}
	}
	for _, key := range antennaKeys[kind] {
		switch {
		case key == "height":
			metres(key, a.Height)
		case key == "length":
			metres(key, a.Length)
		case key == "top":
			metres(key, a.Top)
		case key == "apex":
			degrees(key, a.Apex)
		case key == "bearing":
			degrees(key, a.Bearing)
		case key == "design" && a.Design > 0:
			w.text(key, freqText(a.Design))
		case key == "ground" && a.Ground != (earth.Ground{}):
			w.optional(key, groundName(a.Ground))
		case key == "earth_resistance" && a.EarthOhm > 0:
			w.text(key, exactly(a.EarthOhm, ParseOhm, scale{"ohm", 1}))
		case key == "coil_q" && a.CoilQ > 0:
			w.number(key, a.CoilQ)
		case key == "tuner_loss" && a.TunerLoss > 0:
			w.text(key, dbText(a.TunerLoss))
		case key == "radius" && a.Radius > 0:
			w.text(key, exactly(a.Radius, unit.ParseLength, scale{"mm", 1e-3}, scale{"m", 1}))
		case key == "earth_lead" && a.EarthLead:
			w.line("earth_lead = true")
		case key == "gain":
			w.line("gain = [")
			for _, r := range a.Rows {
				w.line(fmt.Sprintf("  { frequency = %s, elevation = %s, gain = %s },", quote(freqText(r.Freq)),
					quote(exactly(r.Elevation, unit.ParseAngle, scale{"deg", float64(unit.Degree)}, scale{"rad", 1})),
					quote(exactly(r.Gain, unit.ParseDB, scale{"dBi", 1}))))
			}
			w.line("]")
		}
	}
	w.text("feeder_loss", dbText(feeder))
}

func groundName(g earth.Ground) string {
	for _, k := range earth.Grounds {
		if k.Ground == g {
			return k.Name
		}
	}
	return ""
}
