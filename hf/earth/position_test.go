package earth

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"farhail/unit"
)

func ExampleParsePosition() {
	for _, s := range []string{"38.5N 28.6W", "38.5, -28.6", "38 31.2N 028 37.9W", "38°31.2'N 28°37.9'W", "38 31 12N 28 37 54W", "HM58qm"} {
		p, err := ParsePosition(s)
		fmt.Println(p, err)
	}
	// Output:
	// 38°30.0′N 028°36.0′W <nil>
	// 38°30.0′N 028°36.0′W <nil>
	// 38°31.2′N 028°37.9′W <nil>
	// 38°31.2′N 028°37.9′W <nil>
	// 38°31.2′N 028°37.9′W <nil>
	// 38°31.3′N 028°37.5′W <nil>
}

func TestParsePosition(t *testing.T) {
	for _, c := range []struct {
		in       string
		lat, lon float64
	}{
		{"0N 0E", 0, 0},
		{"90S 180W", -90, -180},
		{"N38.5 W28.6", 38.5, -28.6},
		{"n38 30 w28 36", 38.5, -28.6},
		{"28.6W 38.5N", 38.5, -28.6},
		{"-16.5 35.5", -16.5, 35.5},
		{"−16.5, 35.5", -16.5, 35.5},
		{"38 30, -28 36", 38.5, -28.6},
		{"+38.5,+28.6", 38.5, 28.6},
		{"16°30′00″S 035°30′00″E", -16.5, 35.5},
		{`16°30'0"S 35°30'0"E`, -16.5, 35.5},
		{"38.5N, 28.6W", 38.5, -28.6},
		{"  38.5N   28.6W ", 38.5, -28.6},
		{"0 0.6S 0 0.6W", -0.01, -0.01},
		{"-0 30, -0 30", -0.5, -0.5},
		{"JO01", 51.5, 1},
		{"jn58TD", 48 + 3.5/24, 11 + 7.0/12 + 1.0/24},
	} {
		p, err := ParsePosition(c.in)
		if err != nil || math.Abs(p.Lat.Deg()-c.lat) > 1e-9 || math.Abs(p.Lon.Deg()-c.lon) > 1e-9 {
			t.Errorf("ParsePosition(%q) = %.9f, %.9f, %v; want %g, %g within 1e-9", c.in, p.Lat.Deg(), p.Lon.Deg(), err, c.lat, c.lon)
		}
	}
}

func TestParsePositionRefuses(t *testing.T) {
	const form = `; write it like "38 31.2N 28 37.9W", "38.5, -28.6" or a locator "HM58qm"`
	for in, want := range map[string]string{
		"91N 28W":           "latitude of 91 deg is out of range: give -90 to 90 deg",
		"-90.5, 0":          "latitude of -90.5 deg is out of range: give -90 to 90 deg",
		"38N 181W":          "longitude of -181 deg is out of range: give -180 to 180 deg",
		"":                  `"" is not a position: it is empty` + form,
		"38.5":              `"38.5" is not a position: it has 1 part and neither letters nor a comma to tell latitude from longitude` + form,
		"38 31 28 37":       `"38 31 28 37" is not a position: it has 4 parts and neither letters nor a comma to tell latitude from longitude` + form,
		"38,5N 28,6W":       `"38,5N 28,6W" is not a position: it has more than one comma (decimals take a point)` + form,
		"38.5N 28.6":        `"38.5N 28.6" is not a position: only one of the two has its letter N, S, E or W` + form,
		"38.5N 28.6N":       `"38.5N 28.6N" is not a position: it gives the same direction twice, not one of N or S and one of E or W` + form,
		"-38.5N 28.6W":      `"-38.5N 28.6W" is not a position: it has both a sign and a letter` + form,
		"38 61N 28W":        `"38 61N 28W" is not a position: 61 minutes are more than 59.9` + form,
		"38.5 30N 28W":      `"38.5 30N 28W" is not a position: only the last of degrees, minutes and seconds may have decimals` + form,
		"38N":               `"38N" is not a position: one of its two numbers is missing` + form,
		"38 30 10 5N 28W":   `"38 30 10 5N 28W" is not a position: it has more than degrees, minutes and seconds` + form,
		"thirty N 28W":      `"thirty N 28W" is not a position: "thirty N" has more in it than degrees, minutes and seconds` + form,
		`38"30N 28W`:        `"38\"30N 28W" is not a position: the mark ° is missing or out of turn` + form,
		"1e1N 28W":          `"1e1N 28W" is not a position: "1N 28W" has more in it than degrees, minutes and seconds` + form,
		"NaN, 28":           `"NaN, 28" is not a position: "NaN" has more in it than degrees, minutes and seconds` + form,
		"HM58q":             `"HM58q" is not a position: it has 1 part and neither letters nor a comma to tell latitude from longitude` + form,
		"ZZ58":              `"ZZ58" is not a position: it has 1 part and neither letters nor a comma to tell latitude from longitude` + form,
		"--5, 3":            `"--5, 3" is not a position: "--5" has more in it than degrees, minutes and seconds` + form,
		"38.5N 28.6W extra": `"38.5N 28.6W extra" is not a position: "28.6W extra" has more in it than degrees, minutes and seconds` + form,
	} {
		p, err := ParsePosition(in)
		if err == nil || p != (Point{}) {
			t.Errorf("ParsePosition(%q) = %v, %v; want an error and no place", in, p, err)
			continue
		}
		if err.Error() != want {
			t.Errorf("ParsePosition(%q):\n got %s\nwant %s", in, err, want)
		}
		var pe *PositionError
		var re *unit.RangeError
		if !errors.As(err, &pe) && !errors.As(err, &re) {
			t.Errorf("ParsePosition(%q): error type %T", in, err)
		}
	}
}

func TestPointString(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		want     string
	}{
		{0, 0, "00°00.0′N 000°00.0′E"},
		{-0.0001, -0.0001, "00°00.0′N 000°00.0′E"},
		{38.9999, -28.99999, "39°00.0′N 029°00.0′W"}, // 59.994′ carries
		{-90, 180, "90°00.0′S 180°00.0′E"},
		{-16.5, 35.5, "16°30.0′S 035°30.0′E"},
	} {
		if got := At(c.lat, c.lon).String(); got != c.want {
			t.Errorf("At(%g, %g) = %s, want %s", c.lat, c.lon, got, c.want)
		}
	}
}

// Source: IARU locator system; the six places of our notes on locators.
func TestLocator(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		want     string
	}{
		{41.714775, -72.727260, "FN31pr"},
		{48.14666, 11.60833, "JN58td"},
		{-34.91, -56.21166, "GF15vc"},
		{38.92, -77.065, "FM18lw"},
		{-41.28333, 174.745, "RE78ir"},
		{51.5, 0, "JO01am"},
	} {
		if got := Locator(At(c.lat, c.lon), 6); got != c.want {
			t.Errorf("Locator(%g, %g) = %s, want %s", c.lat, c.lon, got, c.want)
		}
	}
	for _, c := range []struct {
		lat, lon float64
		n        int
		want     string
	}{
		{90, 180, 6, "AR09ax"}, {-90, -180, 10, "AA00aa00aa"}, {0, 0, 2, "JJ"}, {0, 0, 1, "JJ"}, {0, 0, 5, "JJ00"}, {0, 0, 99, "JJ00aa00aa"},
	} {
		if got := Locator(At(c.lat, c.lon), c.n); got != c.want {
			t.Errorf("Locator(%g, %g, %d) = %s, want %s", c.lat, c.lon, c.n, got, c.want)
		}
	}
	if got := Locator(At(math.NaN(), 0), 6); got != "" {
		t.Errorf("locator of no place: %q", got)
	}
}

// Every cell, read and written back, is itself: edges and middles alike.
func TestLocatorRoundTrip(t *testing.T) {
	for _, s := range []string{"AA00", "RR99", "FN31pr", "JO01am", "RE78ir00", "JN58td25", "AA00aa00aa", "RR99xx99xx", "IK12ab34cd"} {
		p, err := ParseLocator(s)
		if err != nil {
			t.Fatal(err)
		}
		if got := Locator(p, len(s)); got != s {
			t.Errorf("%s reads as %v, written back %s", s, p, got)
		}
	}
	for i := range 36 { // the south-west corner belongs to the cell
		lat, lon := -90+float64(i)*5, -180+float64(i)*10
		s := Locator(At(lat, lon), 10)
		p, err := ParseLocator(s)
		if err != nil || p.Lat.Deg() < lat || p.Lon.Deg() < lon || p.Lat.Deg()-lat > 1.0/1000 || p.Lon.Deg()-lon > 1.0/1000 {
			t.Errorf("corner %g, %g → %s → %v, %v", lat, lon, s, p, err)
		}
	}
}

func FuzzParsePosition(f *testing.F) {
	for _, s := range []string{"38.5N 28.6W", "38.5, -28.6", "38°31.2'N 28°37.9'W", "16°30′00″S 035°30′00″E", "JO01am", "N1 E1", "-0 0.1,0", "91N 0E", "°'\""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePosition(s)
		if err != nil {
			if p != (Point{}) || strings.Contains(err.Error(), "\n") {
				t.Fatalf("%q: %v with %v", s, p, err)
			}
			return
		}
		if !(math.Abs(p.Lat.Deg()) <= 90+1e-12 && math.Abs(p.Lon.Deg()) <= 180+1e-12) {
			t.Fatalf("%q read as %v, %v", s, p.Lat.Deg(), p.Lon.Deg())
		}
		q, err := ParsePosition(p.String())
		if err != nil || math.Abs((p.Lat-q.Lat).Deg()) > 0.05/60+1e-9 || math.Abs((p.Lon-q.Lon).Deg()) > 0.05/60+1e-9 {
			t.Fatalf("%q → %v → %v, %v", s, p, q, err)
		}
	})
}

func FuzzParseLocator(f *testing.F) {
	for _, s := range []string{"JO01am", "AA00", "RR99xx99xx", "JO01", "jo01AM"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParseLocator(s)
		if err != nil {
			if p != (Point{}) {
				t.Fatalf("%q: %v with %v", s, p, err)
			}
			return
		}
		if got := Locator(p, len(strings.TrimSpace(s))); !strings.EqualFold(got, strings.TrimSpace(s)) {
			t.Fatalf("%q → %v → %s", s, p, got)
		}
	})
}
