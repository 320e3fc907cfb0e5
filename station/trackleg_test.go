package station

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// Source: a published collection of navigation formulas, worked example of a rhumb line
// from 33°57′N 118°24′W to 40°38′N 73°47′W (from memory, high): course 79.3°, 0.629650 rad.
func TestRhumbWorkedExample(t *testing.T) {
	l := leg{earth.At(33.95, -118.4), earth.At(40+38./60, -(73 + 47./60)), true}
	if d := l.length().Km() / earth.R0Km; math.Abs(d-0.629650) > 2e-6 {
		t.Errorf("length %.6f rad, want 0.629650 ± 0.000002", d)
	}
	if c := course(l.from, l.at(0.3)); math.Abs(c-79.3) > 0.05 {
		t.Errorf("course %.2f°, want 79.3 ± 0.05", c)
	}
}

// course is the angle of a straight line on the Mercator chart, by its usual formula
// Ψ = ln tan(π/4 + φ/2).
func course(a, b earth.Point) float64 {
	Ψ := func(p earth.Point) float64 { return math.Log(math.Tan(math.Pi/4 + p.Lat.Rad()/2)) }
	return math.Atan2(math.Remainder((b.Lon-a.Lon).Rad(), 2*math.Pi), Ψ(b)-Ψ(a)) * 180 / math.Pi
}

// A rhumb line keeps its course and an even speed: its length is that of its many short
// pieces, each nearly a great circle.
func TestRhumbKeepsCourseAndSpeed(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for range 300 {
		l := leg{earth.At(r.Float64()*160-80, r.Float64()*360-180), earth.At(r.Float64()*160-80, r.Float64()*360-180), true}
		const n = 400
		want, sum := course(l.from, l.to), 0.0
		step := l.length().Km() / n
		for i := range n {
			a, b := l.at(float64(i)/n), l.at(float64(i+1)/n)
			if c := course(a, b); math.Abs(math.Remainder(c-want, 360)) > 1e-6 {
				t.Fatalf("%v to %v: course %.8f° in piece %d, %.8f° from end to end", l.from, l.to, c, i, want)
			}
			// A piece of 50 km at 80° is shorter along its great circle by up to (d tan φ / R)²/24, 8e-5.
			d := earth.Between(a, b).D.Km()
			if math.Abs(d-step) > 1e-3*step {
				t.Fatalf("%v to %v: piece %d is %.4f km long, an even share %.4f", l.from, l.to, i, d, step)
			}
			sum += d
		}
		if L := l.length().Km(); math.Abs(sum-L) > 1e-4*L {
			t.Errorf("%v to %v: %.3f km, in pieces %.3f", l.from, l.to, L, sum)
		}
		if great := (leg{l.from, l.to, false}).length(); great > l.length()*(1+1e-12) {
			t.Errorf("%v to %v: the great circle is longer, %.3f and %.3f km", l.from, l.to, great.Km(), l.length().Km())
		}
	}
}

func TestLegCorners(t *testing.T) {
	for _, c := range []struct {
		name  string
		l     leg
		share float64
		want  earth.Point
	}{
		{"along the equator", leg{earth.At(0, 10), earth.At(0, 20), true}, 0.3, earth.At(0, 13)},
		{"along a parallel", leg{earth.At(60, 10), earth.At(60, 20), true}, 0.3, earth.At(60, 13)},
		{"nearly along a parallel", leg{earth.At(60, 10), earth.At(60+1e-11, 20), true}, 0.3, earth.At(60, 13)},
		{"over the date line", leg{earth.At(10, 178), earth.At(10, -178), true}, 0.75, earth.At(10, -179)},
		{"the great circle over the date line", leg{earth.At(0, 178), earth.At(0, -178), false}, 0.75, earth.At(0, -179)},
		{"to the pole", leg{earth.At(80, 30), earth.At(90, 120), true}, 0.5, earth.At(85, 30)},
		{"from the pole", leg{earth.At(-90, 30), earth.At(-70, 120), true}, 0.5, earth.At(-80, 120)},
		{"the great circle to the pole", leg{earth.At(80, 30), earth.At(90, 120), false}, 0.5, earth.At(85, 30)},
		{"no way at all", leg{earth.At(5, 6), earth.At(5, 6), true}, 0.5, earth.At(5, 6)},
	} {
		got := c.l.at(c.share)
		if d := earth.Between(got, c.want).D; !(d < unit.Metre/10) {
			t.Errorf("%s: %v, want %v within 0.1 m", c.name, got, c.want)
		}
		if c.l.at(0) != c.l.from || c.l.at(1) != c.l.to {
			t.Errorf("%s: the ends are %v and %v", c.name, c.l.at(0), c.l.at(1))
		}
	}
	if L := (leg{earth.At(80, 30), earth.At(90, 120), true}).length().Km(); math.Abs(L-10*math.Pi/180*earth.R0Km) > 1e-6 {
		t.Errorf("10° to the pole are %g km", L)
	}
}
