package modem

import (
	"math"
	"strings"
	"testing"

	"farhail/unit"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.8g, want %.8g ± %g", what, got, want, tol)
	}
}

// What the rule says: 0.95 at the table's SNR, 0.1 and 0.9 as far apart as the width.
func TestLogistic(t *testing.T) {
	for _, width := range []unit.DB{widthAWGN, widthPoor} {
		c := Logistic(14, width)
		near(t, "success at the need", c.At(14), 0.95, 1e-12)
		near(t, "width 0.1 to 0.9, dB", float64(c.Need(0.9)-c.Need(0.1)), float64(width), 1e-9)
		if c.At(unit.DB(math.Inf(1))) != 1 || c.At(unit.DB(math.Inf(-1))) != 0 || !math.IsNaN(c.At(unit.DB(math.NaN()))) {
			t.Errorf("width %v at +Inf, -Inf, NaN dB: got %g %g %g, want 1 0 NaN", width, c.At(unit.DB(math.Inf(1))), c.At(unit.DB(math.Inf(-1))), c.At(unit.DB(math.NaN())))
		}
	}
	never := Logistic(Never, 9)
	if never.At(90) != 0 || never.Need(0.5) != Never {
		t.Errorf("a curve that never works: got %g at 90 dB, needs %v", never.At(90), never.Need(0.5))
	}
}

func TestCurveNeedInvertsAt(t *testing.T) {
	tab, err := Tabulated(-5, 0.5, []float64{1e-4, 0.01, 0.2, 0.2, 0.7, 0.99, 0.9999})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]Curve{"logistic": Logistic(3, 3), "tabulated": tab} {
		for _, p := range []float64{1e-7, 0.001, 0.1, 0.3, 0.5, 0.95, 0.9999999} {
			near(t, name+": At(Need(p))/p", c.At(c.Need(p))/p, 1, 1e-9)
		}
	}
}

func TestTabulatedRefuses(t *testing.T) {
	for want, p := range map[string][]float64{
		"two or more":               {0.5},
		"out of range":              {0.5, 1},
		"not a number":              {0.5, math.NaN()},
		"stronger signal cannot do": {0.5, 0.4},
	} {
		if c, err := Tabulated(0, 1, p); err == nil || !strings.Contains(err.Error(), want) || c.logit != nil {
			t.Errorf("Tabulated(%v): got %v, want an error with %q", p, err, want)
		}
	}
	if _, err := Tabulated(0, 0, []float64{0.1, 0.2}); err == nil {
		t.Error("a step of 0 dB was taken")
	}
}
