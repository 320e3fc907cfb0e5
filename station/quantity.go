package station

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"farhail/unit"
)

// The quantities of our files: how each is read and what it may be. The limits
// catch slips of the pen (kW for W), they are not those of a licence.
var (
	channelFreq = measure[unit.Freq]{readFreq, between(1.6*unit.MHz, 30*unit.MHz), "1.6 MHz to 30 MHz", "10.145 MHz"}
	bandwidths  = measure[unit.Freq]{readFreq, between(50*unit.Hz, 48*unit.KHz), "50 Hz to 48 kHz", "3 kHz"}
	senderPower = measure[unit.Power]{unit.ParsePower, between(0.1*unit.Watt, 20e3*unit.Watt), "0.1 W to 20 kW", "100 W"}
	loadPower   = measure[unit.Power]{unit.ParsePower, between(0, 20e3*unit.Watt), "0 W to 20 kW", "30 W"}
	losses      = measure[unit.DB]{unit.ParseDB, between(unit.DB(0), 60), "0 dB to 60 dB", "1 dB"}
	tunerLosses = measure[unit.DB]{unit.ParseDB, between(unit.DB(0), 40), "0 dB to 40 dB", "2.5 dB"}
	noiseFigure = measure[unit.DB]{unit.ParseDB, between(unit.DB(0), 40), "0 dB to 40 dB", "15 dB"}
	gains       = measure[unit.DB]{unit.ParseDB, between(unit.DB(-60), 30), "-60 dBi to 30 dBi", "2 dBi"}
	voltages    = measure[unit.Voltage]{unit.ParseVoltage, between(1*unit.Volt, 1000), "1 V to 1000 V", "12 V"}
	capacities  = measure[unit.Charge]{unit.ParseCharge, between(0.1*unit.Ah, 1e5*unit.Ah), "0.1 Ah to 100000 Ah", "100 Ah"}
	heights     = measure[unit.Length]{unit.ParseLength, between(0.1*unit.Metre, 200), "0.1 m to 200 m", "6 m"}
	lengths     = measure[unit.Length]{unit.ParseLength, between(0.3*unit.Metre, 300), "0.3 m to 300 m", "12.5 m"}
	radii       = measure[unit.Length]{unit.ParseLength, between(1e-5*unit.Metre, 0.05), "0.01 mm to 50 mm", "1 mm"}
	bearings    = measure[unit.Angle]{unit.ParseAngle, between(0, 360*unit.Degree), "0 deg to 360 deg", "120 deg"}
	apexes      = measure[unit.Angle]{unit.ParseAngle, between(45*unit.Degree, 180*unit.Degree), "45 deg to 180 deg", "120 deg"}
	elevations  = measure[unit.Angle]{unit.ParseAngle, between(0, 90.000001*unit.Degree), "0 deg to 90 deg", "10 deg"}
	resistances = measure[float64]{ParseOhm, between(0.1, 1000), "0.1 ohm to 1000 ohm", "10 ohm"}
	dwells      = measure[time.Duration]{unit.ParseDuration, between(100*time.Millisecond, time.Minute), "0.1 s to 60 s", "2 s"}
	margins     = measure[time.Duration]{wholeMinutes, between(time.Minute, 6*time.Hour), "1 min to 6 h", "30 min"}
	deadlines   = measure[time.Duration]{unit.ParseDuration, between(time.Minute, 365*24*time.Hour), "1 min to 365 d", "24 h"}
	shares      = measure[float64]{parsePercent, between(0.0, 1), "0 % to 100 %", "80 %"}
	reserves    = measure[float64]{parsePercent, between(0.0, 0.95), "0 % to 95 %, most give 30 % to 50 %", "30 %"}
	noiseLevels = measure[NoiseLevel]{ParseNoiseLevel, NoiseLevel.plausible, "-200 dBm to 0 dBm in 10 Hz to 48 kHz, at 1.6 MHz to 30 MHz", noiseExample}
)

// readFreq reads a frequency and keeps it to a tenth of a hertz, so that one
// written in kHz is the same number as the one in MHz.
func readFreq(s string) (unit.Freq, error) {
	f, err := unit.ParseFreq(s)
	if err != nil {
		return 0, err
	}
	tenths, _ := strconv.ParseFloat(strconv.FormatFloat(f.Hz(), 'f', 1, 64), 64)
	return unit.Freq(tenths), nil
}

// wholeMinutes reads a time span in minutes, as hours of service are.
func wholeMinutes(s string) (time.Duration, error) {
	d, err := unit.ParseDuration(s)
	if err == nil && d%time.Minute != 0 {
		return 0, fmt.Errorf(`%q is not a whole number of minutes; write it like "30 min"`, s)
	}
	return d, err
}

// suffixed reads "<number><space?><one of the units>".
func suffixed(s, what, example string, units ...string) (float64, error) {
	t := strings.TrimSpace(s)
	for _, u := range units {
		if n, ok := strings.CutSuffix(t, u); ok {
			// Figures only: ParseFloat would also take inf and hexadecimals.
			n = strings.ReplaceAll(strings.TrimSpace(n), "−", "-")
			if v, err := strconv.ParseFloat(n, 64); err == nil && strings.Trim(n, "+-.0123456789") == "" {
				return v, nil
			}
		}
	}
	return 0, &unit.SyntaxError{Quantity: what, Got: s, Example: example, Units: units[0]}
}

// parsePercent reads "30 %" as 0.3.
func parsePercent(s string) (float64, error) {
	v, err := suffixed(s, "share", "30 %", "%")
	return v / 100, err
}

// ParseOhm reads a resistance: "10 ohm" or "10 Ω".
func ParseOhm(s string) (float64, error) {
	return suffixed(s, "resistance", "10 ohm", "ohm", "Ω", "Ω") // the letter and the sign
}

// NoiseLevel is the noise an operator reads off a receiver: a power in the width of its
// filter, and the frequency it was read at (zero when not said).
type NoiseLevel struct {
	Level unit.DBW
	In    unit.Freq
	At    unit.Freq
	Meter string // as written, where it was read off an S-meter: "S9 +10 dB"
}

const noiseExample = "-105 dBm in 3 kHz at 7.1 MHz"

func (n NoiseLevel) plausible() bool {
	return n.Level >= -230 && n.Level <= -30 && n.In >= 10*unit.Hz && n.In <= 48*unit.KHz &&
		(n.At == 0 || channelFreq.valid(n.At))
}

// ParseNoiseLevel reads "-105 dBm in 3 kHz" or "-105 dBm in 3 kHz at 7.1 MHz"; in place of
// the power it may have what an S-meter shows, "S4" or "S9 +10 dB".
func ParseNoiseLevel(s string) (NoiseLevel, error) {
	bad := fmt.Errorf(`%q is not a noise level; write it like %q or, off the S-meter, "S4 in 2.4 kHz at 7.1 MHz" or "S9 +10 dB in 2.4 kHz"`, s, noiseExample)
	level, rest, ok := strings.Cut(s, " in ")
	if !ok {
		return NoiseLevel{}, bad
	}
	in, at, hasAt := strings.Cut(rest, " at ")
	var n NoiseLevel
	var err error
	if n.Level, err = unit.ParseSMeter(level); err == nil {
		n.Meter = strings.TrimSpace(level)
	} else if n.Level, err = unit.ParseDBW(level); err != nil {
		return NoiseLevel{}, bad
	}
	if n.In, err = readFreq(in); err != nil {
		return NoiseLevel{}, bad
	}
	if hasAt {
		if n.At, err = readFreq(at); err != nil || n.At == 0 {
			return NoiseLevel{}, bad
		}
	}
	return n, nil
}

// draw reads a consumption, as a power or, where there is a battery, as a current
// at its voltage.
func draw(b Battery, has bool) measure[unit.Power] {
	m := loadPower
	m.limits, m.example = "0 W to 20 kW, or the current at the battery's voltage", "19 A"
	m.parse = func(s string) (unit.Power, error) {
		if i, err := unit.ParseCurrent(s); err == nil {
			if !has {
				return 0, fmt.Errorf("%q is a current, and no [battery] gives a voltage; write it in watts like %q", s, "30 W")
			}
			return i.At(b.Voltage), nil
		}
		p, err := unit.ParsePower(s)
		if err != nil {
			return 0, &unit.SyntaxError{Quantity: "consumption", Got: s, Example: "19 A", Units: "A, mA, W, kW"}
		}
		return p, nil
	}
	return m
}

// exactly writes a quantity in the first of the units that reads back as the very
// same value; the last unit is the one the value is kept in.
func exactly[T ~float64](v T, parse func(string) (T, error), scales ...scale) string {
	var s string
	for _, u := range scales {
		s = strconv.FormatFloat(float64(v)/u.of, 'f', -1, 64) + " " + u.name
		if back, err := parse(s); err == nil && back == v {
			break
		}
	}
	return s
}

type scale struct {
	name string
	of   float64
}
