package unit

import (
	"math"
	"testing"
)

// IARU Region 1 R.1: S9 is −73 dBm (50 µV into 50 Ω: by Ohm's law −73.01), a unit 6 dB, above
// S9 decibels.
func TestSMeter(t *testing.T) {
	for s, wantDBm := range map[string]float64{
		"S9": -73, "S1": -121, "S0": -127, "S5.5": -94, "s7": -85, " S7 ": -85,
		"S9+20dB": -53, "S9 +10 dB": -63, "S9 + 10 dB": -63, "S9 +60 dB": -13, "S9 +0 dB": -73,
	} {
		if got, err := ParseSMeter(s); err != nil || float64(got)+30 != wantDBm {
			t.Errorf("%q is %g dBm, %v; want %g", s, float64(got)+30, err, wantDBm)
		}
	}
	if ohm := 10 * math.Log10(50e-6*50e-6/50/1e-3); math.Abs(ohm+73) > 0.02 {
		t.Errorf("50 µV into 50 Ω are %g dBm", ohm)
	}
	for _, s := range []string{"", "S", "9", "S10", "S-1", "S+1", "S7 +10 dB", "S9 +61 dB", "S9 10 dB", "S9 +10", "S9 -10 dB", "S9 + + 10 dB", "SS9", "S1e0", "S9 +x dB", "S 0x9", "SNaN"} {
		if got, err := ParseSMeter(s); err == nil {
			t.Errorf("%q is taken for %g dBW", s, float64(got))
		}
	}
}
