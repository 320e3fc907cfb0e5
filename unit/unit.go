package unit

import (
	"math"
	"strconv"
	"time"
)

type (
	Freq    float64 // hertz
	Length  float64 // metres
	Angle   float64 // radians
	Power   float64 // watts
	Energy  float64 // joules
	Charge  float64 // coulombs
	Voltage float64 // volts
	Current float64 // amperes
	Bytes   int64   // octets

	DB  float64 // a ratio of powers, in decibels
	DBW float64 // a power, in decibels above one watt
)

const (
	Hz  Freq = 1
	KHz Freq = 1e3
	MHz Freq = 1e6

	Metre Length = 1
	Km    Length = 1e3

	Radian Angle = 1
	Degree Angle = math.Pi / 180

	Watt Power = 1

	Wh Energy = 3600
	Ah Charge = 3600

	Volt   Voltage = 1
	Ampere Current = 1

	KB Bytes = 1000 // the trade counts in thousands
)

func (f Freq) Hz() float64   { return float64(f) }
func (f Freq) KHz() float64  { return float64(f) / 1e3 }
func (f Freq) MHz() float64  { return float64(f) / 1e6 }
func (d Length) M() float64  { return float64(d) }
func (d Length) Km() float64 { return float64(d) / 1e3 }
func (a Angle) Rad() float64 { return float64(a) }
func (a Angle) Deg() float64 { return float64(a) * (180 / math.Pi) }
func (p Power) W() float64   { return float64(p) }
func (e Energy) Wh() float64 { return float64(e) / 3600 }
func (q Charge) Ah() float64 { return float64(q) / 3600 }

func (v Voltage) V() float64 { return float64(v) }
func (i Current) A() float64 { return float64(i) }
func (b Bytes) KB() float64  { return float64(b) / 1000 }
func (x DB) Ratio() float64  { return math.Pow(10, float64(x)/10) }
func (x DBW) Power() Power   { return Power(math.Pow(10, float64(x)/10)) }
func (p Power) DBW() DBW     { return DBW(10 * math.Log10(float64(p))) }
func RatioDB(r float64) DB   { return DB(10 * math.Log10(r)) }
func (p Power) Over(t time.Duration) Energy {
	return Energy(float64(p) * t.Seconds())
}

// Charge times voltage: what a battery of that size holds.
func (q Charge) At(v Voltage) Energy { return Energy(float64(q) * float64(v)) }

// Current times voltage: what a load draws.
func (i Current) At(v Voltage) Power { return Power(float64(i) * float64(v)) }

// String writes a size as the trade counts it: 18 kB.
func (b Bytes) String() string {
	switch {
	case b >= 1_000_000:
		return strconv.FormatFloat(float64(b)/1e6, 'f', -1, 64) + " MB"
	case b >= 1000:
		return strconv.FormatFloat(float64(b)/1e3, 'f', -1, 64) + " kB"
	}
	return strconv.FormatInt(int64(b), 10) + " B"
}
