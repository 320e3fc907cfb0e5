package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// SyntaxError says that a text is not the quantity that was expected.
type SyntaxError struct {
	Quantity string // "frequency"
	Got      string // the text as written
	Example  string // "10.145 MHz"
	Units    string // "Hz, kHz, MHz"
}

func (e *SyntaxError) Error() string {
	if _, err := strconv.ParseFloat(strings.TrimSpace(e.Got), 64); err == nil {
		return fmt.Sprintf("%q has no unit: write %s like %q (%s)", e.Got, withArticle(e.Quantity), e.Example, e.Units)
	}
	return fmt.Sprintf("%q is not %s: write it like %q (%s)", e.Got, withArticle(e.Quantity), e.Example, e.Units)
}

func withArticle(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// RangeError says that a value lies outside what the quantity may be.
type RangeError struct {
	Quantity string
	Got      float64
	Lo, Hi   float64
	Unit     string
}

func (e *RangeError) Error() string {
	u := ""
	if e.Unit != "" {
		u = " " + e.Unit
	}
	if math.IsNaN(e.Got) {
		return fmt.Sprintf("%s is not a number: give %g to %g%s", e.Quantity, e.Lo, e.Hi, u)
	}
	return fmt.Sprintf("%s of %g%s is out of range: give %g to %g%s", e.Quantity, e.Got, u, e.Lo, e.Hi, u)
}

// Check returns a *RangeError unless lo ≤ v ≤ hi (NaN fails).
func Check(quantity string, v, lo, hi float64, unit string) error {
	if v >= lo && v <= hi {
		return nil
	}
	return &RangeError{quantity, v, lo, hi, unit}
}

type scale struct {
	name string
	to   float64 // SI units in one
}

// quantity reads "<number><space?><unit>"; units are matched exactly first, then
// without regard to case where that is unambiguous (so "mhz" reads as MHz).
func quantity(what, s, example string, scales []scale) (float64, error) {
	names := make([]string, len(scales))
	for i, u := range scales {
		names[i] = u.name
	}
	bad := &SyntaxError{what, s, example, strings.Join(names, ", ")}
	t := strings.TrimSpace(s)
	cut := len(t)
	for cut > 0 && !strings.ContainsRune("0123456789.", rune(t[cut-1])) {
		cut--
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(t[:cut]), "−", "-"), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, bad
	}
	u := strings.TrimSpace(t[cut:])
	for _, c := range scales {
		if u == c.name {
			return v * c.to, nil
		}
	}
	for _, c := range scales {
		if u != "" && strings.EqualFold(u, c.name) {
			return v * c.to, nil
		}
	}
	return 0, bad
}

func ParseFreq(s string) (Freq, error) {
	v, err := quantity("frequency", s, "10.145 MHz", []scale{{"Hz", 1}, {"kHz", 1e3}, {"MHz", 1e6}})
	return Freq(v), err
}

func ParseLength(s string) (Length, error) {
	v, err := quantity("length", s, "12 m", []scale{{"m", 1}, {"km", 1e3}, {"cm", 1e-2}, {"mm", 1e-3}, {"ft", 0.3048}, {"NM", 1852}})
	return Length(v), err
}

func ParseAngle(s string) (Angle, error) {
	v, err := quantity("angle", s, "120 deg", []scale{{"deg", float64(Degree)}, {"°", float64(Degree)}, {"rad", 1}})
	return Angle(v), err
}

func ParsePower(s string) (Power, error) {
	v, err := quantity("power", s, "80 W", []scale{{"W", 1}, {"mW", 1e-3}, {"kW", 1e3}})
	return Power(v), err
}

func ParseCharge(s string) (Charge, error) {
	v, err := quantity("charge", s, "100 Ah", []scale{{"Ah", 3600}, {"mAh", 3.6}})
	return Charge(v), err
}

func ParseVoltage(s string) (Voltage, error) {
	v, err := quantity("voltage", s, "12 V", []scale{{"V", 1}, {"mV", 1e-3}})
	return Voltage(v), err
}

func ParseCurrent(s string) (Current, error) {
	v, err := quantity("current", s, "1.2 A", []scale{{"A", 1}, {"mA", 1e-3}})
	return Current(v), err
}

func ParseBytes(s string) (Bytes, error) {
	v, err := quantity("size", s, "18 kB", []scale{{"B", 1}, {"kB", 1e3}, {"MB", 1e6}})
	n := math.Round(v) // 1.001 kB is 1001 octets whatever the binary fraction says
	if err == nil && (n < 0 || math.Abs(v-n) > 1e-6*math.Max(1, n)*1e-3 || n > 1e15) {
		return 0, &SyntaxError{"size", s, "18 kB", "B, kB, MB"}
	}
	return Bytes(n), err
}

func ParseDB(s string) (DB, error) {
	v, err := quantity("ratio", s, "6 dB", []scale{{"dB", 1}, {"dBi", 1}})
	return DB(v), err
}

// ParseDBW reads a power level; "dBm" is 30 dB below.
func ParseDBW(s string) (DBW, error) {
	t := strings.TrimSpace(s)
	if n, ok := strings.CutSuffix(t, "dBm"); ok {
		v, err := quantity("power level", n+"dBW", "-110 dBm", []scale{{"dBW", 1}})
		return DBW(v - 30), err
	}
	v, err := quantity("power level", s, "-110 dBm", []scale{{"dBW", 1}, {"dBm", 1}})
	return DBW(v), err
}

// ParseDuration reads one number and unit, "90 min"; not the run-together "1h30m".
func ParseDuration(s string) (time.Duration, error) {
	v, err := quantity("time span", s, "90 min", []scale{{"s", 1}, {"min", 60}, {"h", 3600}, {"d", 86400}, {"ms", 1e-3}})
	if err == nil && math.Abs(v) > 3e9 {
		return 0, &RangeError{"time span", v, -3e9, 3e9, "s"}
	}
	return time.Duration(math.Round(v * float64(time.Second))), err
}
