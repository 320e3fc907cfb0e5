package earth

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"farhail/unit"
)

// PositionError says why a text is not a position.
type PositionError struct {
	Got string
	Why string
}

func (e *PositionError) Error() string {
	return fmt.Sprintf(`%q is not a position: %s; write it like "38 31.2N 28 37.9W", "38.5, -28.6" or a locator "HM58qm"`, e.Got, e.Why)
}

// ParsePosition reads a place as people write it: latitude and longitude in
// degrees, degrees and minutes, or degrees, minutes and seconds, with the letters
// N S E W before or behind, or with signs (north and east positive, latitude
// first, a comma between when there is more than one number each); or a locator
// of 4 to 10 characters, which means the middle of its cell.
//
// Only the last number of each may have decimals. The error is a *PositionError
// or a *unit.RangeError.
func ParsePosition(s string) (Point, error) {
	if isLocator(strings.TrimSpace(s)) {
		return ParseLocator(s)
	}
	fail := func(why string) (Point, error) { return Point{}, &PositionError{s, why} }
	a, b, why := splitPosition(s)
	if why != "" {
		return fail(why)
	}
	u, axisU, why := readCoordinate(a)
	if why != "" {
		return fail(why)
	}
	v, axisV, why := readCoordinate(b)
	if why != "" {
		return fail(why)
	}
	switch {
	case axisU == 0 && axisV == 0:
	case axisU == 0 || axisV == 0:
		return fail("only one of the two has its letter N, S, E or W")
	case axisU == axisV:
		return fail("it gives the same direction twice, not one of N or S and one of E or W")
	case axisU == 'E':
		u, v = v, u
	}
	if err := unit.Check("latitude", u, -90, 90, "deg"); err != nil {
		return Point{}, err
	}
	if err := unit.Check("longitude", v, -180, 180, "deg"); err != nil {
		return Point{}, err
	}
	return At(u, v), nil
}

// splitPosition cuts a text into its two coordinates: at the comma, or between
// the letters, or, with neither, two plain numbers at the blank.
func splitPosition(s string) (a, b, why string) {
	t := strings.TrimSpace(plainMarks.Replace(s))
	if t == "" {
		return "", "", "it is empty"
	}
	if strings.Count(t, ",") > 1 {
		return "", "", "it has more than one comma (decimals take a point)"
	}
	if a, b, ok := strings.Cut(t, ","); ok {
		return a, b, ""
	}
	isLetter := func(r rune) bool { return strings.ContainsRune("NSEWnsew", r) }
	i := strings.IndexFunc(t, isLetter)
	if i < 0 {
		f := strings.Fields(t)
		if len(f) != 2 {
			return "", "", fmt.Sprintf("it has %d %s and neither letters nor a comma to tell latitude from longitude", len(f), plural(len(f), "part"))
		}
		return f[0], f[1], ""
	}
	if i > 0 { // letters behind: the first letter ends the first coordinate
		return t[:i+1], t[i+1:], ""
	}
	j := strings.IndexFunc(t[1:], isLetter) // letters before
	if j < 0 {
		return "", "", "only one of the two has its letter N, S, E or W"
	}
	return t[:j+1], t[j+1:], ""
}

// plainMarks turns the many forms of the same mark into one.
var plainMarks = strings.NewReplacer("−", "-", "º", "°", "′", "'", "’", "'", "‘", "'", "″", `"`, "”", `"`, "“", `"`, "''", `"`, "\u00a0", " ", "\u202f", " ")

// readCoordinate reads one coordinate: its value in degrees and its axis, 'N'
// for a latitude, 'E' for a longitude, 0 when no letter says.
func readCoordinate(s string) (deg float64, axis byte, why string) {
	t := strings.ToUpper(strings.TrimSpace(s))
	sign := 1.0
	letter := byte(0)
	take := func(c byte) bool {
		if c == 0 || !strings.ContainsRune("NSEW", rune(c)) {
			return false
		}
		letter = c
		return true
	}
	if t != "" && take(t[0]) {
		t = strings.TrimSpace(t[1:])
	} else if t != "" && take(t[len(t)-1]) {
		t = strings.TrimSpace(t[:len(t)-1])
	}
	if n, ok := strings.CutPrefix(t, "-"); ok {
		sign, t = -1, n
	} else if n, ok := strings.CutPrefix(t, "+"); ok {
		t = n
	} else if letter == 0 && t == "" {
		return 0, 0, "one of its two numbers is missing"
	}
	if letter != 0 && len(t) != len(strings.TrimLeft(t, "+-")) || letter != 0 && sign < 0 {
		return 0, 0, "it has both a sign and a letter"
	}
	switch letter {
	case 'N', 'S':
		axis = 'N'
	case 'E', 'W':
		axis = 'E'
	}
	if letter == 'S' || letter == 'W' {
		sign = -1
	}
	parts, why := degreesMinutesSeconds(t)
	if why == notNumbers {
		why = fmt.Sprintf("%q %s", strings.TrimSpace(s), notNumbers)
	}
	if why != "" {
		return 0, 0, why
	}
	scale := 1.0
	for _, p := range parts {
		deg += p / scale
		scale *= 60
	}
	return sign * deg, axis, ""
}

const notNumbers = "has more in it than degrees, minutes and seconds"

// degreesMinutesSeconds reads up to three unsigned numbers, each with its mark
// (° ' ") or none, smaller units under 60, decimals only in the last.
func degreesMinutesSeconds(t string) (parts []float64, why string) {
	const marks = `°'"`
	for t != "" {
		n := 0
		for n < len(t) && (t[n] >= '0' && t[n] <= '9' || t[n] == '.') {
			n++
		}
		v, err := strconv.ParseFloat(t[:n], 64)
		if err != nil || math.IsInf(v, 0) {
			return nil, notNumbers
		}
		i := len(parts)
		if i == 3 {
			return nil, "it has more than degrees, minutes and seconds"
		}
		if i > 0 && v >= 60 {
			return nil, fmt.Sprintf("%g %s are more than 59.9", v, [...]string{"", "minutes", "seconds"}[i])
		}
		if i > 0 && parts[i-1] != math.Trunc(parts[i-1]) {
			return nil, "only the last of degrees, minutes and seconds may have decimals"
		}
		parts = append(parts, v)
		t = t[n:]
		mark := [...]string{"°", "'", `"`}[i]
		if rest, ok := strings.CutPrefix(strings.TrimLeft(t, " \t"), mark); ok {
			t = rest
		} else if strings.ContainsAny(t, marks) && strings.IndexAny(strings.TrimLeft(t, " \t"), marks) == 0 {
			return nil, fmt.Sprintf("the mark %s is missing or out of turn", mark)
		}
		t = strings.TrimLeft(t, " \t")
	}
	if len(parts) == 0 {
		return nil, "one of its two numbers is missing"
	}
	return parts, ""
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

// String writes the place in degrees and minutes to a tenth, "38°31.2′N
// 028°37.9′W", the way a chart is read; a tenth of a minute is 185 m.
func (p Point) String() string {
	return minutes(p.Lat.Deg(), "%02d°%02d.%d′", "N", "S") + " " + minutes(p.Lon.Deg(), "%03d°%02d.%d′", "E", "W")
}

func minutes(deg float64, form, plus, minus string) string {
	if math.IsNaN(deg) || math.Abs(deg) > 1e6 {
		return "?"
	}
	tenths := int(math.Round(math.Abs(deg) * 600))
	side := plus
	if deg < 0 && tenths > 0 {
		side = minus
	}
	return fmt.Sprintf(form, tenths/600, tenths/10%60, tenths%10) + side
}
