package iono

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/hf/earth"
)

// Worked values of P.1239-3 §4 (our notes): foE from latitude, R12, δ, χ and hours
// after sunset.
func TestFoEWorked(t *testing.T) {
	for _, c := range []struct{ φ, R12, δ, χ, h, want float64 }{
		{0, 0, 0, 0, 0, 3.4149}, {51.5, 100, 23.44, 28.06, 0, 3.6384}, {51.5, 0, -23.44, 74.94, 0, 2.3195}, {40, 50, 0, 60, 0, 2.9375},
		{40, 50, 0, 80, 0, 2.1646}, {40, 50, 0, 95, 0.5, 1.3788}, {40, 50, 0, 130, 6, 0.4463}, {20, 150, 10, 45, 0, 3.7193}, {70, 20, -23, 93, 0, 1.2398},
	} {
		// δ is given, not a date: build the Sun from it.
		e := NewELayer(c.φ*math.Pi/180, sunOf(c.δ), c.R12)
		h := e.set + c.h*math.Pi/12
		if h > math.Pi {
			h -= 2 * math.Pi
		}
		if got := e.FoE(math.Cos(c.χ*math.Pi/180), h); math.Abs(got-c.want) > 6e-5 {
			t.Errorf("%+v: foE %.5f MHz", c, got)
		}
	}
}

// sunOf finds a date whose declination is the one wanted, closely enough for the
// worked values (δ enters B and the hour of sunset only).
func sunOf(δDeg float64) earth.Sun {
	best := earth.SunOn(2025, 1, 1)
	for h := range 365 * 24 * 20 {
		s := earth.SunAt(earth.JulianDay(2025, 1, 1) + float64(h)/480)
		if math.Abs(s.Declination.Deg()-δDeg) < math.Abs(best.Declination.Deg()-δDeg) {
			best = s
		}
	}
	return best
}

// Joints of the formula (our notes): at 73° and 90° D moves by 0.3 % and 0.6 %.
func TestFoEIsContinuous(t *testing.T) {
	e := NewELayer(40*math.Pi/180, earth.SunOn(2026, 3, 15), 50)
	for _, χ := range []float64{73, 90} {
		lo := e.FoE(math.Cos((χ-1e-9)*math.Pi/180), e.set)
		hi := e.FoE(math.Cos((χ+1e-9)*math.Pi/180), e.set)
		if math.Abs(hi/lo-1) > 0.002 {
			t.Errorf("at χ = %g°: foE %.5f then %.5f MHz", χ, lo, hi)
		}
	}
}

func TestFoEEverywhere(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 20000 {
		φ, R := math.Pi*(rng.Float64()-0.5), 420*rng.Float64()-20
		sun := earth.SunOn(2026, 1+rng.IntN(12), 1+rng.IntN(28))
		e := NewELayer(φ, sun, R)
		H := 2 * math.Pi * (rng.Float64() - 0.5)
		got := e.FoE(sun.CosZenithAt(math.Sin(φ), math.Cos(φ), math.Cos(H)), H)
		if !(got > 0.3 && got < 9) {
			t.Fatalf("φ %.3f R12 %.0f H %.2f: foE %g MHz", φ, R, H, got)
		}
	}
}

// Worked values of P.1239-3 §5 and Bilitza et al. (our notes).
func TestF1AndPeakHeightWorked(t *testing.T) {
	for _, c := range [][4]float64{{0, 0, 0, 4.35}, {50, 0, 40, 4.12735}, {50, 100, 30, 5.15756}, {30, 150, 45, 5.54044}} {
		if f, ok := FoF1(c[0], c[2], c[1]); !ok || math.Abs(f-c[3]) > 6e-6 {
			t.Errorf("foF1%v: %.6f %v", c, f, ok)
		}
	}
	if _, ok := FoF1(50, 67.5, 0); ok {
		t.Error("F1 beyond χm = 67.4°")
	}
	for _, c := range [][5]float64{{50, 0, 2.5, 3.0, 296.527}, {0, 100, 3, 2.8, 333.132}, {50, 100, 5, 3.2, 269.113}} {
		if h := HmF2Km(c[2], 1, c[3], c[0], c[1]); math.Abs(h-c[4]) > 6e-4 {
			t.Errorf("hmF2%v: %.4f km", c, h)
		}
	}
}

// The embedded maps of foEs against the published coefficients at 300 points.
func TestEsAgainstPublishedCoefficients(t *testing.T) {
	var s [3]spread
	for _, r := range rows(t, "testdata/foes.txt", 9) {
		if r[4] > IndexCap {
			continue
		}
		d := AtUTC(r[3])
		lo, med, up := NewEsMaps(Month(int(r[2]), r[4])).At(earth.At(r[0], r[1]), r[5]*math.Pi/180, &d)
		// Where the published maps cross, the median stands.
		m := max(r[7], 0)
		for i, want := range [3]float64{min(max(r[6], 0), m), m, max(r[8], m)} {
			s[i].add([3]float64{lo, med, up}[i] - want)
		}
	}
	t.Logf("n %d; rms %.4f %.4f %.4f, peak %.4f %.4f %.4f MHz", s[0].n, s[0].rms(), s[1].rms(), s[2].rms(), s[0].peak, s[1].peak, s[2].peak)
	for i := range s {
		if s[i].n < 200 || s[i].rms() > 0.01 || s[i].peak > 0.05 {
			t.Errorf("foEs map %d: rms %g peak %g MHz over %d", i, s[i].rms(), s[i].peak, s[i].n)
		}
	}
}
