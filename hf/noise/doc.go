// Package noise is the radio noise a receiver lives in after ITU-R P.372: man-made,
// galactic and atmospheric, each with its deviations, their log-normal sum, and what
// the receiver adds.
//
// Notation, as in the Recommendation: Fa noise figure of a short lossless vertical
// over perfect ground, dB above k t0 b (t0 = 290 K); Fam its median over the hours of
// a season and block; Du, Dl the distances from the median to the upper and the lower
// decile, dB, both positive; σDu, σDl, σFam how uncertain these are from place to
// place and year to year. φ latitude north, λ longitude east; seasons are quarters of the
// calendar from December in both hemispheres; blocks are four hours of local mean time
// UT + λ/15.
//
// The work is cut where its inputs change: a Site once a place and month, a Band once
// a frequency, a Source for each hour. None of it allocates.
//
// Atmospheric noise is continuous in time, longitude and frequency; the values of the
// six blocks stand at their centres. It steps where the method does: from season to
// season, and at the equator, where the frequency law and the deviations change
// hemisphere (the map at 1 MHz does not step).
//
// Constants are those of our notes on P.372-17, whose sections they cite; the maps are
// those of NTIA Report 85-173 (tables/noise). Not compared with the printed text.
package noise
