package noise

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// Our notes on P.372-17 §2, table of medians, printed to 0.01 dB.
func TestManMadeTable(t *testing.T) {
	freqs := []float64{2, 3.5, 5, 7, 10, 14, 21, 28}
	for _, row := range []struct {
		name string
		at   func(float64) Source
		want []float64
		time [2]float64
	}{
		{"city", func(f float64) Source { return ManMade(City, f) }, []float64{68.46, 61.73, 57.44, 53.39, 49.10, 45.05, 40.17, 36.71}, [2]float64{11, 6.7}},
		{"residential", func(f float64) Source { return ManMade(Residential, f) }, []float64{64.16, 57.43, 53.14, 49.09, 44.80, 40.75, 35.87, 32.41}, [2]float64{10.6, 5.3}},
		{"rural", func(f float64) Source { return ManMade(Rural, f) }, []float64{58.86, 52.13, 47.84, 43.79, 39.50, 35.45, 30.57, 27.11}, [2]float64{9.2, 4.6}},
		{"quiet rural", func(f float64) Source { return ManMade(QuietRural, f) }, []float64{44.99, 38.04, 33.61, 29.43, 25.00, 20.82, 15.78, 12.21}, [2]float64{9.2, 4.6}},
		{"galactic", Galactic, []float64{45.08, 39.49, 35.92, 32.56, 29.00, 25.64, 21.59, 18.72}, [2]float64{2, 2}},
	} {
		for i, f := range freqs {
			got := row.at(f)
			if math.Abs(got.Fam-row.want[i]) > 0.0051 || got.Du != row.time[0] || got.Dl != row.time[1] {
				t.Errorf("%s at %g MHz: %v, want %.2f %v", row.name, f, got, row.want[i], row.time)
			}
		}
	}
}

// The spread between places of choices 14: location deciles over 1.282.
func TestSiteSpread(t *testing.T) {
	for e, want := range map[Environment]float64{City: 6.6, Residential: 4.5, Rural: 5.3, QuietRural: 5.3} {
		if got := e.SiteSpreadDB(); math.Abs(got-want) > 0.06 {
			t.Errorf("%v: %g dB, want %g", e, got, want)
		}
	}
}

func TestParseEnvironment(t *testing.T) {
	for _, name := range []string{"city", "residential", "rural", "quiet-rural"} {
		if e, err := ParseEnvironment(name); err != nil || e.String() != name {
			t.Errorf("%q reads as %v, %v", name, e, err)
		}
	}
	for _, name := range []string{"", "City", "quiet rural", "town"} {
		if _, err := ParseEnvironment(name); err == nil || !strings.Contains(err.Error(), "choose city, residential, rural, quiet-rural") {
			t.Errorf("%q: %v", name, err)
		}
	}
}

func ExampleManMade() {
	// Our notes on P.372-17 §2: residential at 7 MHz.
	s := ManMade(Residential, 7)
	fmt.Printf("%.2f dB, +%.1f −%.1f\n", s.Fam, s.Du, s.Dl)
	// Output: 49.09 dB, +10.6 −5.3
}
