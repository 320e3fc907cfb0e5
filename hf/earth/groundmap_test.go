package earth

import (
	"math"
	"testing"

	"farhail/unit"
)

// Values read off the source map's file at its nodes, on land by the coast lines.
func TestGroundAt(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		want     Ground
	}{
		{-80, 0, Ground{1e-5, 3}},    // class 1
		{77, -40, Ground{1e-5, 3}},   // class 1
		{-20, 134, Ground{1e-3, 15}}, // class 5
		{-16.5, 35.5, Ground{1e-3, 15}},
		{0, 25, Ground{3e-3, 22}},   // class 6
		{25, 10, Ground{1e-2, 30}},  // class 7
		{44, -87, Ground{1e-2, 30}}, // class 7, Lake Michigan
		{51.5, 0, Ground{3e-2, 40}}, // class 8
		{51.5, 360, Ground{3e-2, 40}},
		{0, -30, Sea},
		{42, 51, Sea}, // the Caspian
		{90, 0, Sea},
	} {
		if got := GroundAt(At(c.lat, c.lon)); got != c.want {
			t.Errorf("(%g, %g): %v, want %v", c.lat, c.lon, got, c.want)
		}
	}
	if got := GroundAt(Point{unit.Angle(math.NaN()), 0}); got != Sea {
		t.Errorf("no place: %v, want sea", got)
	}
}

// Settled for this map: σ is the map's, ε_r that of the kind of ground nearest in log σ.
func TestClassPermittivity(t *testing.T) {
	for class, g := range classGround[1:] {
		if want := math.Pow(10, math.Floor(float64(class)/2)-5) * []float64{1, 3}[class%2]; math.Abs(g.SigmaSm/want-1) > 1e-12 {
			t.Errorf("class %d: σ %g S/m, want %g", class+1, g.SigmaSm, want)
		}
		best, ε := math.Inf(1), map[float64]bool{}
		for _, k := range []Ground{GoodLand, Wet, Average, MediumDry, Dry, VeryDry, Ice, {3e-5, 3}} { // the land of our notes, geometry §9
			d := math.Abs(math.Log(k.SigmaSm / g.SigmaSm))
			if d < best-1e-9 {
				best, ε = d, map[float64]bool{}
			}
			if d < best+1e-9 {
				ε[k.EpsR] = true
			}
		}
		if !ε[g.EpsR] {
			t.Errorf("class %d: ε_r %g, want one of %v", class+1, g.EpsR, ε)
		}
	}
}

// The map knows a class for all land of the coast lines, and its share of each class
// tells of a decoding gone wrong.
func TestClassMap(t *testing.T) {
	var n [len(classGround)]int
	for i := range classRows {
		for j := range classColumns {
			if coast().onLand(float64(j*nodeSteps)-around/2, float64(i*nodeSteps)-90*perDegree) {
				n[classes()[i*classColumns+j]]++
			}
		}
	}
	sum := 0
	for _, k := range n {
		sum += k
	}
	t.Logf("land nodes by class: %v", n[1:])
	if sum < 80_000 || n[7]*4 < sum || n[9] == 0 || n[1]*20 < sum {
		t.Errorf("land nodes by class %v: want all, a quarter or more of class 7, a twentieth of class 1", n[1:])
	}
}

func BenchmarkGroundAt(b *testing.B) {
	p := At(51.5, 0)
	GroundAt(p)
	for b.Loop() {
		GroundAt(p)
	}
}

func BenchmarkClassesDecode(b *testing.B) {
	for b.Loop() {
		readClasses(groundclassBin)
	}
}
