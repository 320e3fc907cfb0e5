package unit

import (
	"strconv"
	"strings"
)

// S9 of a signal-strength meter below 30 MHz, and what one S-unit under it is.
//
// Source: IARU Region 1 Technical Recommendation R.1 (−73 dBm into 50 Ω, 6 dB a unit; from
// memory, high); common practice.
const (
	s9    = DBW(-73 - 30)
	sUnit = DB(6)
)

// ParseSMeter reads what a signal-strength meter shows, "S7", "S6.5" or "S9 +10 dB", as the
// power at the receiver's input. Decibels are counted above S9 only, to 60.
//
//	−73 dBm + 6 dB (s − 9) + over
//
// Accuracy: few meters keep to it, least of all below S9.
func ParseSMeter(s string) (DBW, error) {
	bad := &SyntaxError{"reading of an S-meter", s, "S9 +10 dB", "S0 to S9, above it S9 and dB"}
	t := strings.TrimSpace(s)
	if t == "" || t[0] != 'S' && t[0] != 's' {
		return 0, bad
	}
	units, over, above := strings.Cut(t[1:], "+")
	n, ok := figures(units)
	if !ok || n > 9 {
		return 0, bad
	}
	level := s9 + DBW(sUnit)*DBW(n-9)
	if !above {
		return level, nil
	}
	dB, isDB := strings.CutSuffix(strings.TrimSpace(over), "dB")
	x, ok := figures(dB)
	if !isDB || !ok || x > 60 || n != 9 {
		return 0, bad
	}
	return level + DBW(x), nil
}

// figures reads a number without a sign.
func figures(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	if s == "" || strings.Trim(s, ".0123456789") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}
