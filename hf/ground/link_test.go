package ground

import (
	"fmt"
	"math"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// A skipper's 80 W into a quarter-wave whip, 100 km of sea, 3.5 MHz: the field for
// 1 kW is that of the check table (§11), 67.246; what arrives follows from §8.
func ExampleReceivedDBW() {
	E := NewCurve(3.5*unit.MHz, earth.Sea).FieldDBuVm(100)
	fmt.Printf("%.1f dBW\n", ReceivedDBW(E, 3.5, 5.16, 5.16, 80))
	// Output: -62.3 dBW
}

// Received power and the basic loss of ITU-R P.368 (Lb = 142 + 20 log f − E, from memory,
// high; 141.99 by derivation, notes §8) must tell one story: Pr = Pt + Gt + Gr − 6.02 − Lb.
func TestPowerAndLossAgree(t *testing.T) {
	for _, fMHz := range someMHz {
		for _, E := range []float64{-150, 0, 66.4} {
			got := ReceivedDBW(E, fMHz, -3, 2, 80*unit.Watt)
			want := 10*math.Log10(80) - 3 + 2 - 6.02 - (141.99 + 20*math.Log10(fMHz) - E)
			near(t, "Pr", got, want, 1e-9)
		}
	}
}

// Reciprocity from first principles: a short lossless monopole of effective height
// h_e and radiation resistance R = 160π²(h_e/λ)² gives h_e²E²/4R, whatever h_e.
func TestShortMonopoleReceives(t *testing.T) {
	for _, fMHz := range someMHz {
		λ := cMs / (fMHz * 1e6)
		E := 1e-3 // V/m = 60 dBµV/m
		he := 0.01 * λ
		R := 160 * math.Pi * math.Pi * (he / λ) * (he / λ)
		want := 10 * math.Log10(he*he*E*E/(4*R))
		near(t, fmt.Sprintf("Pr at %g MHz", fMHz), ReceivedDBW(60, fMHz, 4.77, 4.77, 1000*unit.Watt), want, 0.01)
	}
}

// The constants of ITU-R P.372 for noise field in a short vertical monopole and a
// half-wave dipole, −95.5 and −99.0 dB, follow from the same two constants (notes §8).
func TestNoiseConstants(t *testing.T) {
	const kT0 = -203.98 // dBW in 1 Hz
	for fMHz := 2.0; fMHz < 30; fMHz *= 2 {
		noise := -95.51 + 20*math.Log10(fMHz) // field, fa = 1, b = 1 Hz
		near(t, "monopole", ReceivedDBW(noise, fMHz, 4.77, 4.77, 1000*unit.Watt), kT0, 0.01)
		dipole := -98.91 + 20*math.Log10(fMHz) // incident field: nothing to subtract
		near(t, "dipole", ReceivedDBW(dipole, fMHz, 4.77, 2.15+6.02, 1000*unit.Watt), kT0, 0.01)
	}
}

func TestNoPower(t *testing.T) {
	if p := ReceivedDBW(60, 5, 4.77, 4.77, 0); !math.IsInf(p, -1) {
		t.Errorf("0 W arrive as %g dBW, want −Inf", p)
	}
}
