package circuit

import (
	"sync"
	"testing"

	"farhail/hf/noise"
)

// literalNoiseTable is the table as published, read once.
var literalNoiseTable = sync.OnceValue(noise.Deck)

// p372 §5, the map at 1 MHz and the end-to-end checks. The embedded numbers are the
// deck's to 2e-4 dB, the checks are printed to half a unit of their last digit.
func TestLiteralAtmosphericNoise(t *testing.T) {
	for _, c := range []struct {
		φ, λ float64
		want [4][6]float64
	}{
		{51.5, 0, [4][6]float64{{71.19, 64.20, 27.52, 33.98, 60.36, 68.24}, {68.06, 44.47, 29.59, 36.77, 51.29, 68.75},
			{67.17, 48.07, 33.93, 38.47, 52.38, 66.74}, {70.39, 56.80, 33.77, 40.23, 60.55, 71.80}}},
		{-10, -55, [4][6]float64{{85.68, 72.05, 52.53, 75.11, 89.55, 90.38}, {86.66, 77.83, 63.26, 74.88, 81.84, 90.56},
			{88.61, 85.18, 57.15, 63.29, 79.79, 87.85}, {99.58, 84.49, 83.80, 89.85, 91.47, 100.52}}},
		{-34, 151, [4][6]float64{{78.70, 55.78, 36.26, 48.43, 73.28, 79.21}, {71.39, 64.79, 26.61, 41.27, 58.67, 73.58},
			{68.90, 65.90, 26.40, 28.95, 55.89, 66.81}, {74.62, 56.90, 32.43, 41.17, 59.20, 73.64}}},
	} {
		for season := range 4 {
			for block := range 6 {
				literalCheck(t, "Fam at 1 MHz", literalMap1(season, block, c.φ, c.λ), c.want[season][block], 5.2e-3)
			}
		}
	}
	for _, c := range []struct {
		month                    int
		φ, λ, UT, f, Fam, Du, Dl float64
	}{
		{1, 51.5, 0, 0, 3.5, 55.792, 8.502, 6.877},
		{1, 51.5, 0, 10, 14, 30.695, 7.404, 5.728},
		{7, 51.5, 0, 22, 7, 47.514, 4.456, 4.725},
		{7, -33.9, 18.4, 2, 7, 46.344, 6.832, 5.616},
		{4, 40, -105, 6, 10, 45.439, 5.709, 5.333},
		{10, 0, 23, 20, 5, 67.625, 7.379, 7.046},
		{7, 28, -80.6, 3.4, 2, 76.768, 6.828, 6.513},
		{1, -15, 130, 12, 3.5, 72.613, 8.472, 8.123},
	} {
		got := literalAtmospheric(c.month, c.φ, c.λ, c.UT, c.f)
		literalCheck(t, "Fam", got.Fam, c.Fam, 7e-4)
		literalCheck(t, "Du", got.Du, c.Du, 5.1e-4)
		literalCheck(t, "Dl", got.Dl, c.Dl, 5.1e-4)
	}
}
