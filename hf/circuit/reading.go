package circuit

import "fmt"

// A Reading is one consistent set of answers where careful readers of the method
// differ. Each line is one place in the code; docs/accuracy.md has what each is worth.
type Reading struct {
	Name string

	// StepAboveMUF is the loss, dB, with which the loss above the MUF begins.
	StepAboveMUF float64
	// AbsorptionFloor is the least value of the absorption index I.
	AbsorptionFloor float64
	// FieldYear is the date of the field that gives the modified dip; 0 the day's own.
	FieldYear float64
	// ByLength takes the lowest-order F2 mode by hop length ≤ 4,000 km alone, and
	// 4,000 km for dmax in the tables of control points. Otherwise the hop must not
	// exceed dmax of the midpoint nor leave below the horizon, and the tables use dmax.
	ByLength bool
	// OneIndex drives foF2 and M(3000)F2 by R12 too.
	OneIndex bool
	// NoiseFloor keeps the median of combined noise from falling below its largest part.
	NoiseFloor bool
	// DecilesByModip chooses the band of the foF2 deciles by modified dip; otherwise by
	// geographic latitude.
	DecilesByModip bool
	// OWFByDeciles takes the OWF from the decile table; otherwise 0.85 for F2.
	OWFByDeciles bool
	// HighLatitudeAnywhere takes P.842's high-latitude deciles when any control point
	// lies at 60° geomagnetic or more; otherwise when the midpoint does.
	HighLatitudeAnywhere bool
}

// Field is the reading of the product: the notes with departures argued by physics or
// by reception reports. Strict is the notes as printed.
var (
	Field = Reading{
		Name:            "field",
		StepAboveMUF:    0,    // heard at 1.0–1.3 MUF half again as often as the step allows
		AbsorptionFloor: 0.02, // the method's own F(χ) ≥ 0.02
		FieldYear:       0,    // monthly medians of 7 ionosondes: rms 0.75 against 0.86 MHz
		ByLength:        true, // otherwise the MUF jumps where D passes dmax

		NoiseFloor:           true, // a sum's median cannot lie below its largest part's
		DecilesByModip:       true,
		OWFByDeciles:         true,
		HighLatitudeAnywhere: true,
	}
	Strict = Reading{
		Name:            "strict",
		StepAboveMUF:    5,
		AbsorptionFloor: 0.1,
		FieldYear:       1960,
		OneIndex:        true,
	}
)

// ParseReading finds a reading by name.
func ParseReading(name string) (Reading, error) {
	switch name {
	case "", Field.Name:
		return Field, nil
	case Strict.Name:
		return Strict, nil
	}
	return Reading{}, fmt.Errorf("unknown reading %q: choose field or strict", name)
}
