package antenna

import (
	"fmt"
	"strings"

	"farhail/unit"
)

// KindError says that there is no antenna of that name.
type KindError struct{ Got Kind }

func (e *KindError) Error() string {
	names := make([]string, len(Kinds))
	for i, k := range Kinds {
		names[i] = string(k)
	}
	return fmt.Sprintf("antenna kind %q is not known: choose one of %s", string(e.Got), strings.Join(names, ", "))
}

// Bounds of what may be described. The lower height keeps wires off the ground;
// the upper ones and maxWavelengths are where a sinusoidal current on a straight
// wire over flat ground stops being a sensible model (our judgement).
const (
	minHeightM     = 0.1
	maxHeightM     = 200
	minLengthM     = 0.3
	maxLengthM     = 300
	maxWavelengths = 10 // of length and of height
	minApexDeg     = 45
	loFreqMHz      = 1.6
	hiFreqMHz      = 30
)

// Check returns an error naming the first field that cannot be: a *KindError, a
// *unit.RangeError, or, for a figure given twice in a table, a *RowError. What
// depends on the frequency in use, Solve checks.
func (s Spec) Check() error {
	known := false
	for _, k := range Kinds {
		known = known || s.Kind == k
	}
	if !known {
		return &KindError{s.Kind}
	}
	return firstError(s.checkHeights(), s.checkLengths(), s.checkRest(), s.checkRows())
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func (s Spec) checkHeights() error {
	lo := 0.0
	switch s.Kind {
	case Dipole, InvertedV, Wire:
		lo = minHeightM
	}
	what := map[Kind]string{InvertedV: "height of the apex", Wire: "height of the feed"}[s.Kind]
	if what == "" {
		what = "height of the antenna"
	}
	loTop := 0.0
	if s.Kind == Wire {
		loTop = minHeightM
	}
	return firstError(
		unit.Check(what, s.Height.M(), lo, maxHeightM, "m"),
		unit.Check("height of the far end", s.Top.M(), loTop, maxHeightM, "m"),
	)
}

func (s Spec) checkLengths() error {
	l := s.Length.M()
	switch {
	case l == 0 && s.Kind != Whip && s.Kind != Wire: // the default
	case s.Kind == Wire:
		rise := s.Top.M() - s.Height.M()
		if rise < 0 {
			rise = -rise
		}
		if err := unit.Check("length of the wire between its two heights", l, max(rise, minLengthM), maxLengthM, "m"); err != nil {
			return err
		}
	default:
		if err := unit.Check("length of the antenna", l, minLengthM, maxLengthM, "m"); err != nil {
			return err
		}
	}
	if s.Design != 0 {
		if err := unit.Check("design frequency", s.Design.MHz(), loFreqMHz, hiFreqMHz, "MHz"); err != nil {
			return err
		}
	}
	hiRadius := 50e-3
	if l > 0 {
		hiRadius = min(hiRadius, l/20) // a thin wire
	}
	return unit.Check("radius of the conductor", s.Radius.M()*1e3, 0, hiRadius*1e3, "mm")
}

func (s Spec) checkRest() error {
	if s.Apex != 0 {
		if err := unit.Check("apex angle", s.Apex.Deg(), minApexDeg, 180*(1+1e-12), "deg"); err != nil {
			return err
		}
	}
	if g := s.Ground; g.SigmaSm != 0 || g.EpsR != 0 {
		if err := firstError(
			unit.Check("conductivity of the ground", g.SigmaSm, 0, 1e9, "S/m"),
			unit.Check("relative permittivity of the ground", g.EpsR, 1, 200, ""),
		); err != nil {
			return err
		}
	}
	if s.CoilQ != 0 {
		if err := unit.Check("Q of the coil", s.CoilQ, 10, 2000, ""); err != nil {
			return err
		}
	}
	if s.SigmaWireSm != 0 {
		if err := unit.Check("conductivity of the wire", s.SigmaWireSm, 1e3, 1e9, "S/m"); err != nil {
			return err
		}
	}
	return firstError(
		unit.Check("bearing of the antenna", s.Bearing.Deg(), -360, 360, "deg"),
		unit.Check("earth resistance", s.EarthOhm, 0, 1000, "ohm"),
		unit.Check("tuner loss", float64(s.TunerLoss), 0, 40, "dB"),
	)
}
