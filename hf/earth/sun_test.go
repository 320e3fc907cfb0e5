package earth

import (
	"math"
	"testing"
)

// Meeus, Astronomical Algorithms, examples 25.a and 28.b: 1992 October 13, 0 h.
func TestSunMeeus(t *testing.T) {
	s := SunAt(2448908.5)
	if d := s.Declination.Deg(); math.Abs(d-(-7.78507)) > 1e-5 {
		t.Errorf("declination %.6f°, want −7.78507 (example 25.a)", d)
	}
	if e := s.EoT.Minutes(); math.Abs(e-13.71) > 0.001 {
		t.Errorf("equation of time %.4f min, want 13 min 42.6 s (example 28.b)", e)
	}
}

// NREL/TP-560-34302 (SPA) worked example: zenith 50.11162° with refraction, which
// the geometric value lacks: 0.016°.
func TestSunAgainstSPA(t *testing.T) {
	jd := 2452930.312847
	s := SunAt(jd)
	utc := (12 + 7) + 30.0/60 + 30.0/3600
	if z := s.Zenith(At(39.742476, -105.1786), utc).Deg(); math.Abs(z-50.12754) > 0.001 {
		t.Errorf("zenith %.5f°, want 50.1275 without refraction", z)
	}
}

// Mid-month declination and equation of time of 2025 (our notes, geometry §2).
func TestSunOfTheMonths(t *testing.T) {
	for m, c := range [][2]float64{
		{-21.023, -9.494}, {-12.836, -14.156}, {-1.925, -8.814}, {9.960, 0.035}, {18.995, 3.629}, {23.330, -0.573},
		{21.434, -6.038}, {13.876, -4.452}, {2.816, 4.855}, {-8.714, 14.300}, {-18.616, 15.403}, {-23.291, 4.744},
	} {
		s := SunOn(2025, m+1, MidMonth(m+1))
		if math.Abs(s.Declination.Deg()-c[0]) > 6e-4 || math.Abs(s.EoT.Minutes()-c[1]) > 6e-4 {
			t.Errorf("month %d: δ %.4f°, EoT %.4f min, want %v", m+1, s.Declination.Deg(), s.EoT.Minutes(), c)
		}
	}
}

// Zenith checks of our notes (geometry §2). They do not say at which instant δ and EoT
// were taken; away from noon that is worth up to 0.006°.
func TestZenith(t *testing.T) {
	for _, c := range []struct {
		lat, lon  float64
		m, d      int
		utc, want float64
	}{
		{51.5, 0, 6, 15, 12, 28.1700}, {51.5, 0, 12, 15, 12, 74.7988}, {-33.9, 18.4, 3, 15, 15, 65.2977}, {0, -75, 9, 15, 0, 106.1516},
	} {
		s := SunAt(JulianDay(2025, c.m, c.d) + c.utc/24)
		if z := s.Zenith(At(c.lat, c.lon), c.utc).Deg(); math.Abs(z-c.want) > 0.006 {
			t.Errorf("%+v: χ %.4f°", c, z)
		}
	}
}

// Rise, set and twilight of our notes (geometry §3) at 51.5 N 0.
func TestRiseSet(t *testing.T) {
	for _, c := range []struct {
		m, d        int
		z, rise, st float64
	}{
		{3, 20, SunriseZenith, 6.0386, 18.2236}, {3, 20, CivilZenith, 5.4843, 18.7796}, {3, 20, NauticalZenith, 4.8293, 19.4374},
		{6, 21, SunriseZenith, 3.7111, 20.3512}, {6, 21, CivilZenith, 2.9150, 21.1472}, {6, 21, NauticalZenith, 1.6714, 22.3905},
	} {
		r, s, ok := RiseSet(At(51.5, 0), 2025, c.m, c.d, c.z)
		if !ok || math.Abs(r-c.rise) > 1e-3 || math.Abs(s-c.st) > 1e-3 {
			t.Errorf("%+v: rise %.4f set %.4f %v", c, r, s, ok)
		}
	}
	if _, _, ok := RiseSet(At(51.5, 0), 2025, 6, 21, 108); ok {
		t.Error("no astronomical night at 51.5 N in June")
	}
	if _, _, ok := RiseSet(At(72.6, -38.5), 2026, 11, 25, SunriseZenith); ok {
		t.Error("no sunrise at 72.6 N in late November")
	}
}
