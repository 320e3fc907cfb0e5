package unit

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

func ExampleParseFreq() {
	f, _ := ParseFreq("10.145 MHz")
	fmt.Println(f.KHz())
	_, err := ParseFreq("14.1")
	fmt.Println(err)
	// Output:
	// 10145
	// "14.1" has no unit: write a frequency like "10.145 MHz" (Hz, kHz, MHz)
}

// What people write, and what is refused with one sentence.
func TestParse(t *testing.T) {
	num := func(v float64, err error) (float64, error) { return v, err }
	for _, c := range []struct {
		text string
		want float64
		got  func(string) (float64, error)
	}{
		{"80 W", 80, func(s string) (float64, error) { v, e := ParsePower(s); return num(v.W(), e) }},
		{"1kW", 1000, func(s string) (float64, error) { v, e := ParsePower(s); return num(v.W(), e) }},
		{"12 m", 12, func(s string) (float64, error) { v, e := ParseLength(s); return num(v.M(), e) }},
		{"40 ft", 12.192, func(s string) (float64, error) { v, e := ParseLength(s); return num(v.M(), e) }},
		{"90 min", 5400, func(s string) (float64, error) { v, e := ParseDuration(s); return num(v.Seconds(), e) }},
		{"1.5 h", 5400, func(s string) (float64, error) { v, e := ParseDuration(s); return num(v.Seconds(), e) }},
		{"400 Ah", 400, func(s string) (float64, error) { v, e := ParseCharge(s); return num(v.Ah(), e) }},
		{"1.2 A", 1.2, func(s string) (float64, error) { v, e := ParseCurrent(s); return num(v.A(), e) }},
		{"−6 dB", -6, func(s string) (float64, error) { v, e := ParseDB(s); return num(float64(v), e) }},
		{"-110 dBm", -140, func(s string) (float64, error) { v, e := ParseDBW(s); return num(float64(v), e) }},
		{"-140 dBW", -140, func(s string) (float64, error) { v, e := ParseDBW(s); return num(float64(v), e) }},
		{"120 deg", 120, func(s string) (float64, error) { v, e := ParseAngle(s); return num(v.Deg(), e) }},
		{"12 V", 12, func(s string) (float64, error) { v, e := ParseVoltage(s); return num(v.V(), e) }},
		{"18 kB", 18000, func(s string) (float64, error) { v, e := ParseBytes(s); return num(float64(v), e) }},
		{"1.001kB", 1001, func(s string) (float64, error) { v, e := ParseBytes(s); return num(float64(v), e) }}, // 25 Nov 2026: binary rounding
		{"8370 khz", 8.37, func(s string) (float64, error) { v, e := ParseFreq(s); return num(v.MHz(), e) }},
	} {
		v, err := c.got(c.text)
		if err != nil || math.Abs(v-c.want) > 1e-9*math.Max(1, math.Abs(c.want)) {
			t.Errorf("%q: %g, %v; want %g", c.text, v, err, c.want)
		}
		for _, bad := range []string{"", "12", "W", "12 parsec", "x" + c.text, c.text + c.text, "NaN W", "1e999 W"} {
			if v, err := c.got(bad); err == nil {
				t.Errorf("%q was read as %g", bad, v)
			} else if strings.Contains(err.Error(), "\n") {
				t.Errorf("%q: more than one sentence: %v", bad, err)
			}
		}
	}
	if _, err := ParseBytes("0.5 B"); err == nil {
		t.Error("half an octet was read")
	}
}

func TestQuantities(t *testing.T) {
	if e := (100 * Ah).At(12 * Volt); math.Abs(e.Wh()-1200) > 1e-9 {
		t.Errorf("100 Ah at 12 V hold %g Wh", e.Wh())
	}
	if e := (100 * Watt).Over(90 * time.Minute); math.Abs(e.Wh()-150) > 1e-9 {
		t.Errorf("100 W over 90 minutes: %g Wh", e.Wh())
	}
	if p := (1000 * Watt).DBW(); math.Abs(float64(p)-30) > 1e-12 || math.Abs(p.Power().W()-1000) > 1e-9 {
		t.Errorf("1 kW is %g dBW", float64(p))
	}
	if r := RatioDB(DB(3).Ratio()); math.Abs(float64(r)-3) > 1e-12 {
		t.Errorf("3 dB and back: %g", float64(r))
	}
	if s := Bytes(18_500).String() + " " + Bytes(2_000_000).String() + " " + Bytes(12).String(); s != "18.5 kB 2 MB 12 B" {
		t.Error(s)
	}
}

func TestCheck(t *testing.T) {
	var r *RangeError
	if err := Check("latitude", 91, -90, 90, "degrees"); !errors.As(err, &r) || err.Error() != "latitude of 91 degrees is out of range: give -90 to 90 degrees" {
		t.Error(err)
	}
	if Check("latitude", math.NaN(), -90, 90, "") == nil || Check("latitude", 90, -90, 90, "") != nil {
		t.Error("NaN passes or an end is refused")
	}
}

// A law: twice the number is twice the quantity, whatever the unit; never a panic.
func FuzzParseFreq(f *testing.F) {
	for _, s := range []string{"10.145 MHz", "7 khz", "-1 Hz", "1e3 Hz", ".5MHz", "  3.6  MHz "} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseFreq(s)
		if err != nil && v != 0 {
			t.Fatalf("%q: %v beside an error", s, v)
		}
		if err == nil && (math.IsNaN(v.Hz()) || math.IsInf(v.Hz(), 0)) {
			t.Fatalf("%q: %v", s, v)
		}
	})
}
