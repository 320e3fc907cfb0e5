// Package iono is the ionosphere of the month after ITU-R P.1239: foF2 and
// M(3000)F2 from the numerical maps, foE, foF1, foEs, the height of the F2 peak,
// the day-to-day deciles of foF2, and the solar index that drives them.
//
// Notation: φ geographic latitude, λ east longitude, μ modified dip (radians), δ
// solar declination, χ solar zenith angle, T = 15 UT − 180° the maps' hour angle,
// R12 the 12-month smoothed sunspot number on the scale the maps were made for, IG12
// the index fitted to foF2 itself. Frequencies in MHz unless a type says otherwise.
package iono
