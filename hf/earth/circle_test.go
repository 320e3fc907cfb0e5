package earth

import (
	"math"
	"testing"

	"farhail/unit"
)

// Great-circle table of our notes (geometry §1), computed on the sphere of 6371 km.
func TestBetween(t *testing.T) {
	for _, c := range []struct {
		a, b         Point
		d, az, back  float64
		mLat, mLon   float64
		kLat, kLon   float64
		anyLonAtHalf bool
	}{
		{At(51.5, 0), At(40.7, -74), 5579.374, 288.3980, 51.1823, 52.38047, -41.23336, 53.48489, -14.43465, false},
		{At(0, 0), At(0, 90), 10007.543, 90, 270, 0, 45, 0, 8.99322, false},
		{At(-33.9, 18.4), At(51.5, 0), 9664.724, 348.6512, 164.7891, 8.91050, 10.52542, -25.06714, 16.45393, false},
		{At(10, -170), At(10, 170), 2189.773, 271.7538, 88.2462, 10.15108, 180, 10.14994, -179.13310, false},
		{At(60, 10), At(60, -170), 6671.696, 0, 0, 90, 0, 68.99322, 10, true},
	} {
		s := Between(c.a, c.b)
		near := func(what string, got, want, tol float64) {
			t.Helper()
			if math.Abs(math.Remainder(got-want, 360)) > tol {
				t.Errorf("%v → %v: %s %.5f, want %.5f", c.a, c.b, what, got, want)
			}
		}
		near("distance", s.D.Km(), c.d, 6e-4)
		near("azimuth", s.Azimuth.Deg(), c.az, 6e-5)
		near("back azimuth", s.Back.Deg(), c.back, 6e-5)
		m, k := s.At(s.D/2), s.At(1000*unit.Km)
		near("midpoint latitude", m.Lat.Deg(), c.mLat, 6e-6)
		if !c.anyLonAtHalf {
			near("midpoint longitude", m.Lon.Deg(), c.mLon, 6e-6)
		}
		near("latitude at 1000 km", k.Lat.Deg(), c.kLat, 6e-6)
		near("longitude at 1000 km", k.Lon.Deg(), c.kLon, 6e-6)
	}
}

// A law: both ways round make one circumference, and the long way passes the
// antipodes of the short way's points.
func TestReverse(t *testing.T) {
	s := Between(At(38.5, -28.6), At(-8.1, -34.9))
	l := s.Reverse()
	if sum := s.D.Km() + l.D.Km(); math.Abs(sum-40030.1736) > 1e-3 {
		t.Errorf("short and long add to %.4f km, want 40030.174", sum)
	}
	end := l.At(l.D)
	if d := Between(end, At(-8.1, -34.9)).D; d > 1 {
		t.Errorf("the long way ends %g m from its end", d.M())
	}
}

func TestAzimuthAtEnds(t *testing.T) {
	s := Between(At(51.5, 0), At(40.7, -74))
	if d := math.Remainder(s.AzimuthAt(0).Deg()-s.Azimuth.Deg(), 360); math.Abs(d) > 1e-9 {
		t.Errorf("azimuth at the start is off by %g°", d)
	}
	if d := math.Remainder(s.AzimuthAt(s.D).Deg()-s.Back.Deg()-180, 360); math.Abs(d) > 1e-9 {
		t.Errorf("azimuth at the end is off by %g°", d)
	}
}

// Dipole latitudes of our notes (geometry §7).
func TestDipoleLatitude(t *testing.T) {
	for _, c := range [][3]float64{
		{51.5, 0, 54.3888}, {40, -105, 48.7791}, {64, -147.8, 63.7053}, {69.6, 19, 67.1996}, {-33.9, 18.4, -32.4616}, {-54.8, -68.3, -43.3}, {0, 0, 4.2460},
	} {
		if got := DipoleLatitude(At(c[0], c[1])).Deg(); math.Abs(got-c[2]) > 6e-5 {
			t.Errorf("%g %g: %.5f°, want %.4f", c[0], c[1], got, c[2])
		}
	}
}

// From a pole the longitude of the way is the azimuth's (25 Nov 2026: it was lost).
func TestFromAPole(t *testing.T) {
	for _, pole := range []float64{90, -90} {
		s := Between(At(pole, 0), At(40, 20))
		if end := s.At(s.D); math.Abs(end.Lat.Deg()-40) > 1e-9 || math.Abs(end.Lon.Deg()-20) > 1e-6 {
			t.Errorf("from %g° the way to 40N 20E ends at %v", pole, end)
		}
	}
}
