package noise

import "math"

// kt0 is k·t0 in dB(W/Hz) as the Recommendation rounds it (k·290 K = −203.975).
const kt0 = -204.0

// PowerDBW is the noise power in a bandwidth b Hz at the terminals of a lossless antenna.
//
//	Pn = Fa + B − 204    [dBW] ,  B = 10 log₁₀ b
//
// Source:   ITU-R P.372-17 §1.2, as in our notes §1 (agrees with an independent source).
// Domain:   b > 0.
// Accuracy: the source rounds k·t0 by 0.025 dB.
// Departs:  no.
func PowerDBW(faDB, bandwidthHz float64) float64 {
	return faDB + 10*math.Log10(bandwidthHz) + kt0
}

// FieldVertical is the field strength of the noise, rms, vertical component, for the
// short vertical to which Fa refers.
//
//	En = Fa + 20 log₁₀ f + B − 95.5    [dB(µV/m)]   f [MHz]
//
// Source:   ITU-R P.372-17 §1.2, as in our notes §1 (agrees with an independent source).
// Domain:   h ≪ λ over perfect ground.
// Departs:  no.
func FieldVertical(faDB, fMHz, bandwidthHz float64) float64 {
	return faDB + 20*math.Log10(fMHz) + 10*math.Log10(bandwidthHz) - 95.5
}

// FieldDipole is the field strength of the noise for a half-wave dipole in free space.
//
//	En = Fa + 20 log₁₀ f + B − 99.0    [dB(µV/m)]   f [MHz]
//
// Source:   ITU-R P.372-17 §1.2, as in our notes §1 (from memory, high).
// Domain:   free space.
// Departs:  no.
func FieldDipole(faDB, fMHz, bandwidthHz float64) float64 {
	return faDB + 20*math.Log10(fMHz) + 10*math.Log10(bandwidthHz) - 99.0
}

// SystemFactorDB is the noise factor of a whole receiving system, referred to the
// terminals of a lossless antenna: what comes in, and what antenna loss, line loss and
// receiver add. All in dB.
//
//	f = fa − 1 + fc ft fr
//
// Source:   ITU-R P.372-17 §1.2, as in our notes §1 (from memory, high): antenna
// circuit and line at t0.
// Domain:   fc, ft, fr ≥ 0 dB.
// Departs:  no. For Fa = −∞ and no losses f is 0: no noise at all.
func SystemFactorDB(faDB, fcDB, ftDB, frDB float64) float64 {
	return decibels(ratio(faDB) - 1 + ratio(fcDB+ftDB+frDB))
}

func ratio(dB float64) float64       { return math.Pow(10, dB/10) }
func decibels(ratio float64) float64 { return 10 * math.Log10(ratio) }
