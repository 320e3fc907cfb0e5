package ground

import (
	"math"

	"farhail/unit"
)

// ReceivedDBW returns the power available at the receiving antenna's terminals from
// a ground wave whose field is fieldDBuVm for 1 kW.
//
//	E(actual) = E + (G_t − 4.77) + 10 log₁₀ P_kW
//	Pr = E(actual) − 20 log₁₀ f − 107.22 + (G_r − 6.02)      [dBW]
//
// Gains are those towards the horizon over perfect ground, losses included (short
// lossless monopole 4.77 dBi, quarter wave 5.16), of the vertical component only. E is
// the total field, which holds the ground's factor of 2 already: so the 6.02.
//
// Source:   notes §8 (6.02 by reciprocity; reproduces both noise constants of
// ITU-R P.372, −95.5 and −99.0, within 0.1 dB).
// Domain:   f > 0; no power gives −Inf.
// Accuracy: constants rounded to 0.005 dB.
func ReceivedDBW(fieldDBuVm, fMHz, gtDBi, grDBi float64, p unit.Power) float64 {
	E := fieldDBuVm + (gtDBi - 4.77) + float64(p.DBW()) - 30
	return E - 20*math.Log10(fMHz) - 107.22 + (grDBi - 6.02)
}
