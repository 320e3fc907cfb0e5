package noise

import (
	"fmt"
	"math"
	"testing"
)

// Our notes on P.372-17 §1: Fa 50 dB, 3 kHz; the field at 7 MHz.
func ExamplePowerDBW() {
	fmt.Printf("%.3f dBW\n", PowerDBW(50, 3000))
	fmt.Printf("%.3f dB(µV/m)\n", FieldVertical(50, 7, 3000))
	// Output:
	// -119.229 dBW
	// 6.173 dB(µV/m)
}

// The constants from first principles: power received = (E²/Z0)(λ²/4π)·gain. A short
// vertical on perfect ground has directivity 3 for the incoming wave, whose field is
// half of that on the ground: gain 3/4 for the field quoted. The half-wave dipole
// has 1.6409.
func TestFieldConstants(t *testing.T) {
	const Z0, c, k, t0 = 376.730313668, 299792458.0, 1.380649e-23, 290.0
	for _, a := range []struct {
		name string
		gain float64 // over the field quoted
		got  float64
	}{
		{"short vertical", 3.0 / 4, FieldVertical(0, 1, 1)},
		{"half-wave dipole", 1.6409, FieldDipole(0, 1, 1)},
	} {
		λ := c / 1e6
		E := math.Sqrt(k * t0 * Z0 * 4 * math.Pi / (λ * λ * a.gain))
		if want := 20 * math.Log10(E*1e6); math.Abs(a.got-want) > 0.1 {
			t.Errorf("%s: %.2f dB(µV/m), first principles give %.2f, apart more than rounding of 0.1", a.name, a.got, want)
		}
	}
}

func TestSystemFactor(t *testing.T) {
	for _, c := range []struct {
		fa, fc, ft, fr, want float64
		why                  string
	}{
		{50, 0, 0, 0, 50, "a perfect receiver adds nothing"},
		{0, 0, 0, 15, 15, "a resistor at t0: the noise figure itself"},
		{0, 3, 2, 10, 15, "losses at t0 add in dB"},
		{50, 10, 1, 15, 50.0172, "10⁵ − 1 + 10^2.6, by hand"},
		{math.Inf(-1), 0, 0, 10, 9.5424, "nothing outside: 10 − 1 by hand"},
	} {
		if got := SystemFactorDB(c.fa, c.fc, c.ft, c.fr); math.Abs(got-c.want) > 1e-4 {
			t.Errorf("%+v: %.4f", c, got)
		}
	}
	// the general form of our notes §1, circuit and line at t0
	fa, fc, ft, fr := 316.0, 7.0, 1.6, 31.6
	lc, lt := fc, ft
	want := fa + (fc - 1) + lc*(ft-1) + lc*lt*(fr-1)
	dB := func(x float64) float64 { return 10 * math.Log10(x) }
	if got := ratio(SystemFactorDB(dB(fa), dB(fc), dB(ft), dB(fr))); math.Abs(got/want-1) > 1e-12 {
		t.Errorf("f = %g, general form %g", got, want)
	}
}

// What the receiver reads of a site must give the site back, through any losses.
func TestFromDBmInvertsTheChain(t *testing.T) {
	for _, c := range []Chain{{}, {0, 0, 15}, {12, 1.5, 15}, {3, 0, 8}} {
		for Fa := 20.0; Fa <= 80; Fa += 7 {
			f := SystemFactorDB(Fa, c.AntennaLoss, c.LineLoss, c.NoiseFigure)
			reading := PowerDBW(f, 3000) - c.AntennaLoss - c.LineLoss + 30
			got, err := FromDBm(reading, 3000, c, Rural)
			if err != nil || math.Abs(got.Fam-Fa) > 1e-6 || got.Du != 9.2 || got.Dl != 4.6 {
				t.Errorf("Fa %g through %+v reads %.2f dBm and comes back as %v, %v", Fa, c, reading, got, err)
			}
		}
	}
	for _, dBm := range []float64{-125, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got, err := FromDBm(dBm, 3000, Chain{NoiseFigure: 15}, City); err == nil {
			t.Errorf("%g dBm in 3 kHz is below a 15 dB receiver's noise, yet gives %v", dBm, got)
		}
	}
}

func ExampleFromDBm() {
	// S5 in 2.4 kHz, on a good antenna: −97 dBm.
	site, err := FromDBm(-97, 2400, Chain{NoiseFigure: 15}, Residential)
	fmt.Printf("%.1f dB, +%.1f −%.1f, %v\n", site.Fam, site.Du, site.Dl, err)
	_, err = FromDBm(-128, 2400, Chain{NoiseFigure: 15}, Residential)
	fmt.Println(err)
	// Output:
	// 43.2 dB, +10.6 −5.3, <nil>
	// -128.0 dBm in 2400 Hz is not above the receiver's own -125.3 dBm
}

func TestMeasured(t *testing.T) {
	at := func(f, dB float64) Level {
		s := ManMade(Rural, f)
		s.Fam += dB
		return Level{f, s}
	}
	shift := func(site func(float64) Source, f float64) float64 { return site(f).Fam - ManMade(Rural, f).Fam }
	for _, c := range []struct {
		levels  []Level
		f, want float64
	}{
		{nil, 7, 0},
		{[]Level{at(7, 6)}, 3.5, 6},
		{[]Level{at(7, 6)}, 28, 6},
		{[]Level{at(14, -4), at(3.5, 6)}, 7, 1}, // half way in log f, in any order
		{[]Level{at(14, -4), at(3.5, 6)}, 3.5, 6},
		{[]Level{at(14, -4), at(3.5, 6)}, 14, -4},
		{[]Level{at(14, -4), at(3.5, 6)}, 2, 6},
		{[]Level{at(14, -4), at(3.5, 6)}, 20, -4},
		{[]Level{at(7, 3), at(7, 9), at(7, 0)}, 10, 4},
	} {
		if got := shift(Measured(Rural, c.levels...), c.f); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v at %g MHz: %g dB, want %g", c.levels, c.f, got, c.want)
		}
	}
}
