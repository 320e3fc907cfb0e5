package station

import (
	"strings"
	"testing"

	"farhail/unit"
)

// A noise level off an S-meter is the power of IARU R.1, is written back as it was read, and
// is pointed out as doubtful; one in dBm is not.
func TestNoiseOffTheMeter(t *testing.T) {
	for text, want := range map[string]NoiseLevel{
		"-105 dBm in 3 kHz at 7.1 MHz":   {-135, 3 * unit.KHz, 7.1 * unit.MHz, ""},
		"S4 in 2.4 kHz at 7.1 MHz":       {-133, 2.4 * unit.KHz, 7.1 * unit.MHz, "S4"},
		"S9 +10 dB in 500 Hz at 3.5 MHz": {-93, 500 * unit.Hz, 3.5 * unit.MHz, "S9 +10 dB"},
		"S9+20dB in 2.4 kHz":             {-83, 2.4 * unit.KHz, 0, "S9+20dB"},
		"s5.5 in 3 kHz":                  {-124, 3 * unit.KHz, 0, "s5.5"},
	} {
		got, err := ParseNoiseLevel(text)
		if err != nil || got != want || got.String() != text {
			t.Errorf("%q is %+v, written back %q, %v; want %+v", text, got, got.String(), err, want)
		}
		src := strings.ReplaceAll(goodHome, "-105 dBm in 3 kHz at 7.1 MHz", text)
		h, err := ParseHome("home.toml", []byte(src))
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		again, err := ParseHome("home.toml", HomeTemplate(*h))
		if err != nil || len(again.Noise.Measured) != 1 || again.Noise.Measured[0] != want {
			t.Errorf("%q comes back as %+v, %v", text, again, err)
		}
		warned := 0
		for _, f := range Check(h, &Directory{}, func(string) (unit.Freq, bool) { return 3 * unit.KHz, true }, nil) {
			if f.Field == "noise.measured[1]" && f.Severity == Warning && f.Line == 24 && strings.Contains(f.Problem, "seldom calibrated") && strings.Contains(f.Hint, "filter") {
				warned++
			}
		}
		if meter := want.Meter != ""; meter != (warned == 1) {
			t.Errorf("%q: %d warnings", text, warned)
		}
	}
}
