// Package earth holds what the sky and the sea stand on: great circles on the
// sphere of ITU-R P.533 (R0 = 6371 km), the Sun, the main magnetic field, places
// and kinds of ground.
//
// Notation: φ latitude positive north, λ longitude positive east, geodetic;
// σ arc from the start of a path; δ the Sun's declination; χ its zenith angle;
// time is UT unless LT (local mean time, UT + λ/15) is said.
package earth
