package earth

import (
	"math"
	"strings"
)

// The locator of the IARU (Maidenhead, 1980): pairs of characters, longitude
// first, each pair dividing the cell before: fields A–R of 20° × 10°, squares 0–9
// of 2° × 1°, subsquares a–x of 5′ × 2.5′, then 0–9 and a–x again.
//
// Source: IARU locator system, as in our notes (high; six places checked).
var locatorPairs = [5]struct {
	first byte
	parts float64
}{{'A', 18}, {'0', 10}, {'a', 24}, {'0', 10}, {'a', 24}}

// ParseLocator reads a locator of 4, 6, 8 or 10 characters in either case and
// returns the middle of its cell.
func ParseLocator(s string) (Point, error) {
	t := strings.TrimSpace(s)
	if !isLocator(t) {
		return Point{}, &PositionError{s, "a locator has two letters A to R, two figures, two letters A to X, and so on up to ten characters"}
	}
	lon, lat := -180.0, -90.0
	w, h := 360.0, 180.0
	for i, pair := range locatorPairs[:len(t)/2] {
		w /= pair.parts
		h /= pair.parts
		lon += w * float64(locatorDigit(t[2*i], i))
		lat += h * float64(locatorDigit(t[2*i+1], i))
	}
	return At(lat+h/2, lon+w/2), nil
}

// isLocator says whether a text has the form of a locator of 4 to 10 characters.
func isLocator(t string) bool {
	if len(t) < 4 || len(t) > 10 || len(t)%2 != 0 {
		return false
	}
	for i := range len(t) {
		if locatorDigit(t[i], i/2) < 0 {
			return false
		}
	}
	return true
}

// locatorDigit returns the value of a character in the given pair, −1 if it has none.
func locatorDigit(c byte, pair int) int {
	p := locatorPairs[pair]
	if p.first != '0' && 'A' <= c && c <= 'Z' {
		c += 'a' - 'A'
	}
	first := p.first
	if first == 'A' {
		first = 'a'
	}
	if d := int(c) - int(first); d >= 0 && d < int(p.parts) {
		return d
	}
	return -1
}

// Locator returns the locator of a place with n characters, n even from 2 to 10
// (others are brought to the nearest below, at least 2). The pole lies in the
// last row; 180° E is 180° W.
func Locator(p Point, n int) string {
	// A billionth of a degree is a tenth of a millimetre: it undoes what the turn to
	// radians and back took from a place on a cell's edge.
	tidy := func(deg float64) float64 { return math.Round(deg*1e9) / 1e9 }
	x := math.Mod(tidy(p.Lon.Deg())+180, 360)
	if x < 0 {
		x += 360
	}
	y := min(max(tidy(p.Lat.Deg())+90, 0), 180)
	if math.IsNaN(x) || math.IsNaN(y) {
		return ""
	}
	pairs := min(max(n/2, 1), len(locatorPairs))
	var b strings.Builder
	w, h := 360.0, 180.0
	const slack = 1e-9 // of a cell, for edges that are not binary fractions
	for _, pair := range locatorPairs[:pairs] {
		w /= pair.parts
		h /= pair.parts
		i := min(math.Floor(x/w+slack), pair.parts-1)
		j := min(math.Floor(y/h+slack), pair.parts-1)
		b.WriteByte(pair.first + byte(i))
		b.WriteByte(pair.first + byte(j))
		x = max(x-i*w, 0)
		y = max(y-j*h, 0)
	}
	return b.String()
}
