package earth

import (
	"fmt"
	"math"
	"testing"

	"farhail/unit"
)

func sum(path []Stretch) (d unit.Length) {
	for _, s := range path {
		d += s.Length
	}
	return d
}

var paths = []struct {
	name string
	a, b Point
}{
	{"across the Channel", At(51.5, 0), At(48.9, 2.3)},
	{"across the Channel, south", At(51.0, -2), At(48.0, -1)},
	{"along the coast of Norway", At(60, 5.2), At(68, 15)},
	{"from the Caribbean to an island", At(18.3, -64.8), At(10.5, -61)},
	{"over Fiji and 180°", At(-18.1, 177), At(-16.5, -179)},
	{"Chukotka over 180°", At(67, 175), At(65, -172)},
	{"over the Aegean", At(41, 29), At(35.3, 25)},
	{"over Antarctica by the pole", At(-84, 20), At(-83, -165)},
	{"over the north pole", At(82, -40), At(80, 140)},
	{"along a meridian on the map's grid", At(60, 10), At(52, 10)},
	{"along a parallel's arc in Africa", At(5, 0), At(5, 18)},
	{"inland", At(-16.5, 35.5), At(-14.2, 33.9)},
	{"at sea", At(0, -30), At(10, -35)},
}

// An independent road: the ground every 20 m, kind by kind. Without slivers they agree
// to a sampling step at each of the changes; slivers are told by the sampling itself.
func TestStretchesBySampling(t *testing.T) {
	for _, c := range paths {
		s := Between(c.a, c.b)
		const every = 20 * unit.Metre
		n := int(s.D / every)
		var sampled []Stretch
		byKind := map[Ground]float64{}
		for i := range n {
			g := GroundAt(s.At(s.D * unit.Length(float64(i)+0.5) / unit.Length(n)))
			byKind[g] += s.D.M() / float64(n)
			sampled = join(sampled, Stretch{g, s.D / unit.Length(n)})
		}
		slack := 0.0
		for _, x := range sampled {
			slack += 2 * every.M()
			if x.Length < sliver+2*every {
				slack += x.Length.M()
			}
		}
		got := s.Stretches(2 * unit.Km)
		t.Logf("%s, %.0f km: %d stretches, %d sampled", c.name, s.D.Km(), len(got), len(sampled))
		for _, x := range got {
			byKind[x.Ground] -= x.Length.M()
		}
		for g, d := range byKind {
			if math.Abs(d) > slack {
				t.Errorf("%s: %v differs from sampling every 20 m by %.0f m, want within %.0f m", c.name, g, d, slack)
			}
		}
	}
}

// Laws: lengths sum to the path, neighbours differ, nothing is shorter than a sliver,
// the other way round shows the same, and the step does not matter.
func TestStretchesLaws(t *testing.T) {
	for _, c := range paths {
		s := Between(c.a, c.b)
		path := s.Stretches(2 * unit.Km)
		if d := sum(path) - s.D; math.Abs(d.M()) > 1e-3 {
			t.Errorf("%s: lengths sum to %.4f m more than the path", c.name, d.M())
		}
		for i, x := range path {
			if i > 0 && x.Ground == path[i-1].Ground {
				t.Errorf("%s: stretches %d and %d are both %v", c.name, i-1, i, x.Ground)
			}
			if x.Length < sliver {
				t.Errorf("%s: stretch %d has %.1f m, want 200 m or more", c.name, i, x.Length.M())
			}
		}
		same := func(what string, other []Stretch, tol float64, at func(i int) int) {
			t.Helper()
			if len(other) != len(path) {
				t.Errorf("%s: %d stretches, %d %s", c.name, len(path), len(other), what)
				return
			}
			for i, x := range path {
				if y := other[at(i)]; x.Ground != y.Ground || math.Abs((x.Length-y.Length).M()) > tol {
					t.Errorf("%s: stretch %d is %v %.2f m, %s %v %.2f m, tolerance %g m", c.name, i, x.Ground, x.Length.M(), what, y.Ground, y.Length.M(), tol)
				}
			}
		}
		same("from the other end", Between(c.b, c.a).Stretches(2*unit.Km), 0.01, func(i int) int { return len(path) - 1 - i })
		// A step of 2 km leaves its circle by centimetres; where a coast is met at a sharp
		// angle the crossing moves by more, on these paths by 9 m at most.
		same("in steps of 100 m", s.Stretches(100*unit.Metre), 20, func(i int) int { return i })
		same("in steps of 50 km, cut to 2", s.Stretches(50*unit.Km), 0, func(i int) int { return i })
		same("with no step given", s.Stretches(unit.Length(math.NaN())), 0, func(i int) int { return i })
	}
}

// Land, sea, land: two coasts whose places an atlas tells (common geography: near
// Hastings, 50.86 N 0.58 E, and near Dieppe, 49.92 N 1.08 E).
func TestStretchesAcrossTheChannel(t *testing.T) {
	a, b := At(51.2, 0.4), At(49.0, 1.6)
	s := Between(a, b)
	var sides []bool
	var ends []unit.Length
	var d unit.Length
	for _, x := range s.Stretches(2 * unit.Km) {
		d += x.Length
		if sea := x.Ground == Sea; len(sides) == 0 || sides[len(sides)-1] != sea {
			sides, ends = append(sides, sea), append(ends, d)
		} else {
			ends[len(ends)-1] = d
		}
	}
	if len(sides) != 3 || sides[0] || !sides[1] || sides[2] {
		t.Fatalf("%.0f km over the Channel: sea %v, want land, sea, land", s.D.Km(), sides)
	}
	for i, c := range []Point{At(50.86, 0.58), At(49.92, 1.08)} {
		if off := Between(s.At(ends[i]), c).D; off > 10*unit.Km {
			t.Errorf("coast %d is %.1f km from %v, want within 10 km", i, off.Km(), c)
		}
	}
}

// The long way round is the rest of the great circle, and has an ocean on it.
func TestStretchesTheLongWay(t *testing.T) {
	s := Between(At(38.5, -28.6), At(-8.1, -34.9)).Reverse()
	path := s.Stretches(2 * unit.Km)
	if d := sum(path) - s.D; math.Abs(d.M()) > 1e-2 {
		t.Errorf("lengths sum to %.4f m more than the path of %.0f km", d.M(), s.D.Km())
	}
	var sea unit.Length
	for _, x := range path {
		if x.Ground == Sea {
			sea += x.Length
		}
	}
	if sea < s.D/2 || sea > s.D*9/10 || len(path) < 20 {
		t.Errorf("%d stretches, %.0f of %.0f km sea", len(path), sea.Km(), s.D.Km())
	}
}

func TestStretchesOfOneKind(t *testing.T) {
	if got := Between(At(0, -30), At(10, -35)).Stretches(2 * unit.Km); len(got) != 1 || got[0].Ground != Sea {
		t.Errorf("at sea: %v, want one stretch of sea", got)
	}
	if got := Between(At(51.5, 0), At(51.5, 0)).Stretches(2 * unit.Km); len(got) != 1 || got[0] != (Stretch{GoodLand, 0}) {
		t.Errorf("no way to go: %v, want good land, 0 m", got)
	}
	nowhere := Point{unit.Angle(math.NaN()), 0}
	if got := Between(nowhere, At(0, 0)).Stretches(2 * unit.Km); len(got) != 1 || !math.IsNaN(got[0].Length.M()) {
		t.Errorf("from no place: %v, want one stretch of no length", got)
	}
	if got := Between(At(52, -9.5), At(52, -9.499)).Stretches(2 * unit.Km); len(got) != 1 || math.Abs(sum(got).M()-68.5) > 1 {
		t.Errorf("70 m: %v, want one stretch", got)
	}
}

// Slivers by hand: lengths in metres, grounds a, b, c.
func TestWithoutSlivers(t *testing.T) {
	a, b, c := Average, Sea, Dry
	for _, x := range []struct{ path, want []Stretch }{
		{[]Stretch{{a, 5000}}, []Stretch{{a, 5000}}},
		{[]Stretch{{a, 50}}, []Stretch{{a, 50}}},
		{[]Stretch{{a, 1000}, {b, 100}, {a, 500}}, []Stretch{{a, 1600}}},
		{[]Stretch{{a, 1000}, {b, 100}, {c, 500}}, []Stretch{{a, 1050}, {c, 550}}},
		{[]Stretch{{a, 199}, {b, 1000}}, []Stretch{{b, 1199}}},
		{[]Stretch{{a, 1000}, {b, 199}}, []Stretch{{a, 1199}}},
		{[]Stretch{{a, 1000}, {b, 200}, {a, 1000}}, []Stretch{{a, 1000}, {b, 200}, {a, 1000}}},
		{[]Stretch{{a, 1000}, {b, 150}, {c, 100}, {b, 160}, {a, 1000}}, []Stretch{{a, 1000}, {b, 410}, {a, 1000}}},
		{[]Stretch{{a, 100}, {b, 100}}, []Stretch{{b, 200}}}, // of equals the poorer ground gives
		{[]Stretch{{b, 100}, {a, 100}}, []Stretch{{b, 200}}},
	} {
		got := withoutSlivers(append([]Stretch(nil), x.path...))
		same := len(got) == len(x.want)
		for i := range got {
			same = same && got[i].Ground == x.want[i].Ground && math.Abs((got[i].Length-x.want[i].Length).M()) < 1e-9
		}
		if !same {
			t.Errorf("%v becomes %v, want %v", x.path, got, x.want)
		}
	}
}

func benchmarkStretches(b *testing.B, from, to Point) {
	s := Between(from, to)
	s.Stretches(2 * unit.Km)
	for b.Loop() {
		s.Stretches(2 * unit.Km)
	}
	b.ReportMetric(s.D.Km(), "km")
}

func BenchmarkStretches500Km(b *testing.B)  { benchmarkStretches(b, At(51.5, -2), At(48, 2)) }
func BenchmarkStretches2000Km(b *testing.B) { benchmarkStretches(b, At(60, 5), At(43, -5)) }

// From the south of England to the north of France.
func ExampleArc_Stretches() {
	for _, s := range Between(At(51.2, 0.4), At(49.0, 1.6)).Stretches(2 * unit.Km) {
		fmt.Printf("%.1f km of %g S/m\n", s.Length.Km(), s.Ground.SigmaSm)
	}
	// Output:
	// 39.5 km of 0.03 S/m
	// 106.9 km of 5 S/m
	// 112.7 km of 0.01 S/m
}
