// Package unit holds the quantities of the trade as types: a frequency cannot be
// added to a length, nor a ratio in decibels stand where a power is meant.
//
// Every type is a float64 of the SI unit named beside it, with methods that give
// the number in the units people use (f.MHz(), d.Km()). Formulas take the numbers
// out once, into names that carry the unit.
//
// Text is read as people write it, "10.145 MHz", "12 m", "90 min". A bare number
// is refused where a unit belongs: 14.1 might be anything.
package unit
