package noise

import (
	"fmt"
	"math"
	"testing"
)

// systemFactor is the noise factor of a whole chain in dB by the general form of our notes
// on P.372-17 §1, circuit and line at t0: the road FromDBm goes back.
func systemFactor(Fa float64, c Chain) float64 {
	fc, ft, fr := ratio(c.AntennaLoss), ratio(c.LineLoss), ratio(c.NoiseFigure)
	return decibels(ratio(Fa) + (fc - 1) + fc*(ft-1) + fc*ft*(fr-1))
}

// What the receiver reads of a site must give the site back, through any losses.
func TestFromDBmInvertsTheChain(t *testing.T) {
	for _, c := range []Chain{{}, {0, 0, 15}, {12, 1.5, 15}, {3, 0, 8}} {
		for Fa := 20.0; Fa <= 80; Fa += 7 {
			f := systemFactor(Fa, c)
			reading := f + 10*math.Log10(3000) - 204 - c.AntennaLoss - c.LineLoss + 30
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
