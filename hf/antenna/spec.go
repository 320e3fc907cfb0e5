package antenna

import (
	"farhail/hf/earth"
	"farhail/unit"
)

// Kind names what a field station puts up.
type Kind string

const (
	Isotropic Kind = "isotropic"  // 0 dBi at every angle; a reference, not an antenna
	Vertical  Kind = "vertical"   // grounded, Length high (0: a quarter wave at Design)
	Whip      Kind = "whip"       // grounded short vertical with a loading coil
	Dipole    Kind = "dipole"     // horizontal, centre-fed, Height above ground
	InvertedV Kind = "inverted-v" // apex at Height, two arms at the Apex angle
	Wire      Kind = "wire"       // end-fed: feed at Height, far end at Top, straight, Length long (a backstay, a sloper)
	Table     Kind = "table"      // the operator's own figures
)

// Kinds lists what a file or a flag may name.
var Kinds = []Kind{Isotropic, Vertical, Whip, Dipole, InvertedV, Wire, Table}

// Spec describes an antenna as an operator would: what it is and where it hangs.
// A zero field means the default said beside it.
type Spec struct {
	Kind   Kind
	Height unit.Length // dipole: of the wire; inverted V: of the apex; wire: of the feed
	Length unit.Length // whole conductor; 0: half wave (dipole, inverted V) or quarter wave (vertical) at Design
	Top    unit.Length // wire: height of the far end
	Apex   unit.Angle  // inverted V: angle between the arms; 0: 120°
	Design unit.Freq   // cut for this frequency; 0: cut anew for the frequency in use

	// Bearing, true: dipole and inverted V: along the wire; wire: towards which it leans.
	Bearing unit.Angle
	Ground  earth.Ground // under the antenna; zero: earth.Average

	EarthOhm  float64 // R_g of the earth connection of a grounded antenna; 0: 10 Ω
	CoilQ     float64 // of the whip's loading coil; 0: 200
	TunerLoss unit.DB // loss of a tuner at the feed
	EarthLead bool    // wire: the feed stands on a vertical lead down to sea or earth

	// Radius of the conductor. 0: the loss of the wire is not counted, and
	// reactances are those of 1 mm (whip 3 mm).
	Radius unit.Length
	// SigmaWireSm is the wire's conductivity, S/m; 0: copper. For a magnetic metal
	// give it divided by the relative permeability.
	SigmaWireSm float64

	Rows []TableRow // Kind Table: the operator's figures
}

// TableRow is one figure of an operator's own table: gain at an elevation, for
// all bearings, at and around a frequency (interpolated between rows).
type TableRow struct {
	Freq      unit.Freq
	Elevation unit.Angle
	Gain      unit.DB
}

// defaults returns the Spec with the defaults said beside its fields filled in.
func (s Spec) defaults() Spec {
	if s.Apex == 0 {
		s.Apex = 120 * unit.Degree
	}
	if s.Ground == (earth.Ground{}) {
		s.Ground = earth.Average
	}
	if s.EarthOhm == 0 {
		s.EarthOhm = 10
	}
	if s.CoilQ == 0 {
		s.CoilQ = 200
	}
	if s.SigmaWireSm == 0 {
		s.SigmaWireSm = 5.8e7 // S/m, annealed copper
	}
	return s
}

// radiusM is the conductor's radius for reactances, in metres.
func (s Spec) radiusM() float64 {
	switch {
	case s.Radius > 0:
		return s.Radius.M()
	case s.Kind == Whip:
		return 3e-3
	}
	return 1e-3
}
