package circuit

import (
	"math"
	"testing"
)

// p533 §10.
func TestLiteralInterpolation(t *testing.T) {
	literalCheck(t, "E_ti", literalInterpolate(10, 4, 8000), 7.10353, 5e-6)
	literalCheck(t, "E_ti", literalInterpolate(20, 25, 7500), 21.30499, 5e-6)
}

// p533 §11 and §11.1.
func TestLiteralLong(t *testing.T) {
	w := new(literalWatch)
	for _, c := range []struct {
		D                   float64
		n                   int
		slant, E0, gap, Etl float64
	}{
		{9000, 3, 9362.9, 60.172, 1.555, -4.255},
		{12000, 3, 12360.7, 57.759, 2.966, -3.568},
		{16000, 4, 16480.9, 55.260, 6.296, -0.987},
		{19500, 5, 20101.2, 53.536, 15.000, 7.200},
	} {
		n := w.longHops(c.D)
		if n != c.n {
			t.Errorf("hops over %g km = %d, want %d", c.D, n, c.n)
		}
		d := c.D / float64(n)
		slant := literalSlant(n, d, literalElevation(d, 300))
		literalCheck(t, "p′", slant, c.slant, 5e-2)
		literalCheck(t, "E0", 139.6-20*math.Log10(slant), c.E0, 5e-4)
		literalCheck(t, "Gap", literalGap(c.D), c.gap, 5e-4)
		literalCheck(t, "E_tl", literalEtl(15, 22, 8, 1.2, 0, 6, slant, c.D), c.Etl, 5e-4)
		// The bracket is 0 at f = fL and at f = fM.
		rest := literalGap(c.D) - 30 + 6 + 0.14
		literalCheck(t, "E_tl at fL", literalEtl(8, 22, 8, 1.2, 0, 6, slant, c.D), rest, 1e-9)
		literalCheck(t, "E_tl at fM", literalEtl(22, 22, 8, 1.2, 0, 6, slant, c.D), rest, 1e-9)
	}
	literalCheck(t, "K east–west", literalK(20, 25, 8, 90), 1.434101, 5e-7)
	literalCheck(t, "K east–west", literalK(20, 25, 8, 270), 1.434101, 5e-7)
	literalCheck(t, "K north–south", literalK(20, 25, 8, 0), 1.416403, 5e-7)
	literalCheck(t, "K north–south", literalK(20, 25, 8, 180), 1.416403, 5e-7)
	literalCheck(t, "K half-way", literalK(20, 25, 8, 135), (1.434101+1.416403)/2, 1e-6)
	literalCheck(t, "fM east–west", 20*literalK(20, 25, 8, 90), 28.68202, 5e-6)
	literalCheck(t, "fM north–south", 20*literalK(20, 25, 8, 0), 28.32807, 5e-6)
	literalCheck(t, "K at noon, east–west", literalK(25, 25, 8, 90), 1.36144, 5e-6)
	literalCheck(t, "K at noon, north–south", literalK(25, 25, 8, 0), 1.44096, 5e-6)
}

// p533 §11.2.
func TestLiteralLowerReference(t *testing.T) {
	Δ := literalElevation(4000, 300)
	i90 := literalIncidence(Δ, 90)
	slant := literalSlant(3, 4000, Δ)
	literalCheck(t, "fL", literalFL(1, 50, []float64{60, 55, 50, 45, 50, 60}, i90, slant, 1.2, 1), 11.82467, 5e-6)
	literalCheck(t, "fL", literalFL(1.05, 100, []float64{80, 85, 91, 95, 100, 120}, i90, slant, 1.2, 1.15), 5.69027, 5e-6)

	w := new(literalWatch)
	for _, c := range []struct {
		φ1, φ2 float64
		month  int
		want   float64
	}{{50, 40, 1, 1.1}, {50, 0, 2, 1.02}, {0, 50, 2, 1.02}, {50, -40, 7, 1.05}, {0, 10, 7, 1}, {0, -35, 6, 1.05}, {-35, -50, 7, 1.1}, {35, 35, 12, 1.1}, {34.9, 34.9, 12, 1}} {
		literalCheck(t, "I", w.terminals(c.φ1, c.φ2, c.month), c.want, 0)
	}
	for _, c := range []struct {
		φ     float64
		month int
		want  float64
	}{{20, 1, 1}, {45, 1, 1.15}, {60, 1, 1.30}, {75, 1, 1.15}, {90, 1, 1}, {-60, 7, 1.30}, {-45, 4, 1.015}, {60, 7, 1}} {
		literalCheck(t, "A_w", literalAw(c.φ, c.month), c.want, 1e-12)
	}
}

// p533 §11.2, the night rule: a made-up day that falls through 2 fLN = 4 at 18.5 h and
// rises through it between 6 and 7 h.
func TestLiteralNightRule(t *testing.T) {
	day := make([]float64, 25)
	for hour := range day {
		switch {
		case hour >= 7 && hour <= 18:
			day[hour] = 5
		case hour >= 20 || hour <= 5:
			day[hour] = 1
		default: // 6, 19
			day[hour] = 3
		}
	}
	day[24] = day[0]
	for _, c := range []struct{ UT, now, want float64 }{
		{12, 5, 5},
		{18.2, 4.6, 4.6},
		{18.4, 3.9, 3.9}, // t_r has not come: the last night is long over
		{18.5, 4.1, 4.1},
		{18.5, 4, 4},
		{19.5, 2, 4 * math.Exp(-0.23)},
		{21.4, 1, 4 * math.Exp(-0.23*2.9)},
		{21.6, 1, 2},
		{2, 1, 2},
		{6, 3, 3},
		{20, 4.5, 4.5}, // the formula is back above 2 fLN
	} {
		literalCheck(t, "fL", new(literalWatch).nightRule(c.UT, day, c.now, 2), c.want, 1e-12)
	}
	never := make([]float64, 25)
	for hour := range never {
		never[hour] = 3
	}
	literalCheck(t, "fL of a day that never exceeds 2 fLN", new(literalWatch).nightRule(5, never, 3, 2), 3, 0)
	literalCheck(t, "fL of a dark day", new(literalWatch).nightRule(5, never, -1, 2), 2, 0)

	// A night that begins before midnight is still on after it.
	late := make([]float64, 25)
	late[23], late[24] = 9, 0
	want := 4 * math.Exp(-0.23*(1+24-(23+5.0/9)))
	literalCheck(t, "fL an hour after midnight", new(literalWatch).nightRule(1, late, 0, 2), want, 1e-12)
}
