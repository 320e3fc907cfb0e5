package earth

// Ground is what the wave sees of a surface: conductivity and relative permittivity.
type Ground struct {
	SigmaSm float64 // S/m
	EpsR    float64
}

// Kinds of ground by the names of ITU-R P.368 and P.832, values as in our notes
// (from memory; sea, wet and dry high, the others medium confidence).
var (
	Sea        = Ground{5, 70}
	SeaLow     = Ground{1, 80} // low salinity
	FreshWater = Ground{3e-3, 80}
	GoodLand   = Ground{3e-2, 40}
	Wet        = Ground{1e-2, 30}
	Average    = Ground{3e-3, 22}
	MediumDry  = Ground{1e-3, 15}
	Dry        = Ground{3e-4, 7}
	VeryDry    = Ground{1e-4, 3}
	Ice        = Ground{1e-5, 3} // fresh-water ice at −10 °C
)

// Grounds lists the names a file or a flag may use, in order of conductivity.
var Grounds = []struct {
	Name string
	Ground
}{
	{"sea", Sea}, {"low-salinity-sea", SeaLow}, {"good-land", GoodLand}, {"wet", Wet}, {"average", Average}, {"fresh-water", FreshWater},
	{"medium-dry", MediumDry}, {"dry", Dry}, {"very-dry", VeryDry}, {"ice", Ice},
}

// GroundByName finds a kind of ground; ok is false when there is none of that name.
func GroundByName(name string) (g Ground, ok bool) {
	for _, k := range Grounds {
		if k.Name == name {
			return k.Ground, true
		}
	}
	return Ground{}, false
}
