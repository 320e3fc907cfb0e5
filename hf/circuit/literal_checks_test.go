package circuit

import (
	"math"
	"testing"
)

// The twin on its own feet: the worked values of the notes, section by section. A
// tolerance is half a unit of the last digit printed unless it says why not.

func literalCheck(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*1.0001) {
		t.Errorf("%s = %.8g, want %.8g ± %.2g", what, got, want, tolerance)
	}
}

// p533 §2: hop geometry at 110 and 300 km.
func TestLiteralHop(t *testing.T) {
	for _, c := range []struct{ d, Δ, i110, sec, slant float64 }{
		{250, 40.5407, 48.3352, 1.50428, 334.63},
		{500, 22.4416, 65.3101, 2.39402, 550.17},
		{1000, 10.0500, 75.4533, 3.98140, 1032.06},
		{1500, 4.8916, 78.3635, 4.95781, 1527.94},
		{2000, 1.7147, 79.2921, 5.38206, 2027.10},
	} {
		Δ := literalElevation(c.d, 110)
		literalCheck(t, "Δ at 110 km", Δ, c.Δ, 5e-5)
		literalCheck(t, "i110", literalIncidence(Δ, 110), c.i110, 5e-5)
		literalCheck(t, "E MUF over foE", literalEMUF(c.d, 1), c.sec, 5e-6)
		literalCheck(t, "p′", literalSlant(1, c.d, Δ), c.slant, 5e-3)
	}
	for _, c := range []struct{ d, Δ, i110, sec, i90, slant float64 }{
		{100, 80.0942, 9.7360, 1.01461, 9.7665, 608.66},
		{500, 48.4096, 40.7330, 1.31968, 40.8859, 788.50},
		{1000, 28.1176, 60.1133, 2.00688, 60.4233, 1185.98},
		{2000, 11.8074, 74.2019, 3.67313, 74.8414, 2130.67},
		{3000, 4.2615, 78.6111, 5.06414, 79.5281, 3120.95},
		{4000, -0.7235, 79.4042, 5.43837, 80.3985, 4120.23},
	} {
		Δ := literalElevation(c.d, 300)
		literalCheck(t, "Δ at 300 km", Δ, c.Δ, 5e-5)
		literalCheck(t, "i110", literalIncidence(Δ, 110), c.i110, 5e-5)
		literalCheck(t, "sec i110", 1/literalCos(literalIncidence(Δ, 110)), c.sec, 5e-6)
		literalCheck(t, "i90", literalIncidence(Δ, 90), c.i90, 5e-5)
		literalCheck(t, "p′", literalSlant(1, c.d, Δ), c.slant, 5e-3)
		literalCheck(t, "p′ of three hops", literalSlant(3, c.d, Δ), 3*c.slant, 2e-2)
	}
}

// p533 §3: heights of eq. (2), the distance polynomial, dmax and the basic MUF.
func TestLiteralF2MUF(t *testing.T) {
	for _, c := range []struct{ M, h float64 }{{2.5, 420.0}, {3.0, 320.67}, {3.5, 249.71}, {2.0, 500}} {
		literalCheck(t, "h_r of eq. (2)", literalHeight2(c.M), c.h, 5e-3)
	}
	for _, c := range []struct{ Z, Cd float64 }{{1, 0}, {-1, 1}, {0, 0.74}, {0.5, 0.33990625}, {-0.5, 0.94209375}} {
		literalCheck(t, "C_d", literalCd(c.Z), c.Cd, 1e-12)
	}
	for _, c := range []struct{ M, x, B, dmax float64 }{
		{3.0, 3.0, 2.998719, 5181.638},
		{2.8, 2.0, 2.776298, 5969.679},
		{3.4, 4.5, 3.430359, 4634.397},
		{2.5, 2.5, 2.434769, 6342.032},
	} {
		p := literalF2{foF2: c.x, foE: 1, M3000: c.M}
		literalCheck(t, "B", p.B(), c.B, 5e-7)
		literalCheck(t, "dmax", p.dmax(), c.dmax, 5e-4)
	}
	for _, c := range []struct{ d, foF2, foE, M, fH, B, dmax, Cd, C3000, MUF float64 }{
		{0, 8, 3, 3.0, 1.2, 3.00429, 5193.334, 0, 0.82194, 8.6},
		{500, 6.5, 3.3, 3.1, 1.1, 3.12253, 5138.893, 0.06652, 0.82760, 8.1054},
		{1000, 8, 3, 3.0, 1.2, 3.00429, 5193.334, 0.22904, 0.82194, 12.9526},
		{2000, 8, 3, 3.0, 1.2, 3.00429, 5193.334, 0.58110, 0.82194, 19.7048},
		{3000, 8, 3, 3.0, 1.2, 3.00429, 5193.334, 0.82194, 0.82194, 24.2877},
		{3000, 4, 0.6, 2.9, 1.2, 2.85522, 5377.093, 0.80293, 0.80293, 11.6861},
	} {
		p := literalF2{c.foF2, c.foE, c.M, c.fH}
		literalCheck(t, "B", p.B(), c.B, 5e-6)
		literalCheck(t, "dmax", p.dmax(), c.dmax, 5e-4)
		literalCheck(t, "C_d", literalCd(1-2*c.d/p.dmax()), c.Cd, 5e-6)
		literalCheck(t, "C_3000", literalCd(1-6000/p.dmax()), c.C3000, 5e-6)
		literalCheck(t, "MUF", p.MUF(c.d), c.MUF, 5e-5)
	}
	// At its own dmax and beyond: C_d = 1, no term in fH.
	p := literalF2{8, 3, 3.0, 1.2}
	want := (1 + (p.B()-1)/literalCd(1-6000/p.dmax())) * 8
	literalCheck(t, "MUF at dmax", p.MUF(p.dmax()), want, 1e-9)
	literalCheck(t, "MUF beyond dmax", p.MUF(p.dmax()+500), want, 1e-9)
}

// p533 §3 against §11.1: F2(4000)MUF = 1.1 foF2 M(3000)F2, "also follows from the
// uncapped form": two roads to one number, the second rounded to two digits.
func TestLiteralF24000(t *testing.T) {
	for M := 2.4; M < 3.5; M += 0.1 {
		p := literalF2{8, 2.5, M, 1.2}
		if got, want := p.MUF(4000), 1.1*8*M; math.Abs(got/want-1) > 0.04 {
			t.Errorf("F2(4000)MUF at M %.1f = %.3f MHz, 1.1 foF2 M = %.3f, want within 4 %%", M, got, want)
		}
	}
}

// p533 §4 with its check row.
func TestLiteralMonthProbability(t *testing.T) {
	for _, c := range []struct{ f, want, tolerance float64 }{
		{8, 100, 1e-9}, {11.9, 90, 1e-9}, {13, 75.81, 5e-3}, {14, 50, 1e-9}, {15, 24.19, 5e-3}, {16.1, 10, 1e-9}, {18, 0, 1e-9},
	} {
		literalCheck(t, "F_prob", literalMonthProbability(c.f, 14, 0.85, 1.15), c.want, c.tolerance)
	}
}

// p533 §5: the pattern of the table, and the E MUF of P.1240 as an independent road.
func TestLiteralOperational(t *testing.T) {
	w := new(literalWatch)
	for season := range 3 {
		for _, day := range []bool{true, false} {
			low, high := w.rop(30, season, day), w.rop(30.1, season, day)
			literalCheck(t, "Rop above 30 dBW less to 30 dBW", high-low, 0.05, 1e-12)
			literalCheck(t, "Rop night less day", w.rop(30, season, false)-w.rop(30, season, true), 0.10, 1e-12)
			if season < 2 {
				literalCheck(t, "Rop by a season", low-w.rop(30, season+1, day), 0.05, 1e-12)
			}
		}
	}
	literalCheck(t, "Rop, summer night, 30 dBW", w.rop(30, 2, false), 1.20, 1e-12)
	literalCheck(t, "Rop, winter day, 31 dBW", w.rop(31, 0, true), 1.25, 1e-12)

	ME := func(D float64) float64 {
		x := (D - 1150) / 1150
		return 3.94 + 2.80*x - 1.70*x*x - 0.60*x*x*x + 0.96*x*x*x*x
	}
	literalCheck(t, "M_E(500)", ME(500), 2.02061, 5e-6)
	literalCheck(t, "M_E(2000)", ME(2000), 5.12507, 5e-6)
	// The polynomial of P.1240 and the mirror at 110 km are two pictures of one layer:
	// a fifth apart at the most, at 500 km.
	for d := 100.0; d <= 2000; d += 100 {
		if got := literalEMUF(d, 1); math.Abs(got/ME(d)-1) > 0.2 {
			t.Errorf("E MUF over foE at %g km: mirror %.3f, P.1240 %.3f, want within 20 %%", d, got, ME(d))
		}
	}
}

// p533 §6.
func TestLiteralScreening(t *testing.T) {
	for _, c := range []struct{ d, h, foE, Δ, i, fs float64 }{
		{1000, 300, 3.2, 28.118, 60.113, 6.7431},
		{2000, 350, 3.0, 14.279, 72.300, 10.3605},
		{3000, 300, 2.5, 4.261, 78.611, 13.2934},
	} {
		Δ := literalElevation(c.d, c.h)
		literalCheck(t, "ΔF", Δ, c.Δ, 6e-4) // 4.2615 is printed 4.261
		literalCheck(t, "i", literalIncidence(Δ, 110), c.i, 5e-4)
		literalCheck(t, "fs", literalScreening(c.foE, Δ), c.fs, 5e-5)
	}
}

// p533 §7, the table of heights.
func TestLiteralMirror(t *testing.T) {
	w := new(literalWatch)
	for _, c := range []struct{ f, foF2, foE, M, R12, d, H, hr float64 }{
		{14, 7, 1.5, 3.0, 50, 2000, 169.168, 295.366},
		{10, 7, 1.5, 3.0, 50, 800, 169.168, 390.394},
		{20, 7, 1.5, 3.0, 50, 3000, 169.168, 407.864},
		{4, 7, 1.5, 3.0, 50, 500, 169.168, 216.902},
		{7, 8, 3.2, 3.0, 100, 1000, 147.938, 320.525},
		{14, 8, 3.2, 3.0, 100, 2000, 147.938, 340.481},
		{5, 5, 2.9, 3.2, 20, 1500, 92.577, 314.844},
	} {
		hr, H := w.mirror(c.f, c.foF2, c.foE, c.M, c.R12, c.d)
		literalCheck(t, "H", H, c.H, 5e-4)
		literalCheck(t, "h_r", hr, c.hr, 5e-4)
	}
	if w.near {
		t.Error("the table of heights was taken to lie on a branch")
	}
}

// p533 §9: the budget of a mode.
func TestLiteralBudget(t *testing.T) {
	for _, c := range []struct{ slant, f, Li, Lbf, Lb, E, Pr float64 }{
		{1185.98, 7, 5, 110.834, 124.554, 28.948, -95.154},
		{3120.95, 14, 3, 125.258, 136.978, 22.544, -107.578},
	} {
		Lbf := 32.45 + 20*math.Log10(c.f) + 20*math.Log10(c.slant)
		literalCheck(t, "Lbf", Lbf, c.Lbf, 6e-4)
		Lb := Lbf + c.Li + 8.72
		literalCheck(t, "Lb", Lb, c.Lb, 6e-4)
		E := literalField533(0, 0, c.f, Lb)
		literalCheck(t, "E", E, c.E, 6e-4)
		literalCheck(t, "P_r", E-20*math.Log10(c.f)-107.2, c.Pr, 6e-4)
	}
	literalCheck(t, "E at 100 W", literalField533(-10, 0, 7, 124.554), 18.948, 6e-4)
}

// p533 §9.1.
func TestLiteralAbsorption(t *testing.T) {
	for _, c := range []struct{ χ, first, withP float64 }{
		{0, 1, 1}, {30, .89548, .86631}, {60, .60376, .51895}, {80, .33414, .24049},
		{90, .18584, .11217}, {95, .10982, .05661}, {100, .03316, .02}, {102, .00241, .02}, {130, .00241, .02},
	} {
		literalCheck(t, "cos(0.881 χ)", literalCosPower(c.χ, 1), c.first, 5e-6)
		literalCheck(t, "F(χ), p 1.3", math.Max(literalCosPower(c.χ, 1.3), 0.02), c.withP, 5e-6)
	}
	for _, c := range []struct{ f, fH, i, R12, χ, want float64 }{
		{7, 1.2, 60.1133, 50, 40, 16.5778},
		{3.5, 1.2, 9.736, 50, 30, 22.3095},
		{14, 1.2, 74.2, 100, 60, 7.7217},
		{5, 1.2, 60, 0, 95, 2.8657},
	} {
		I := literalI(c.R12, c.χ, literalFloor(true))
		literalCheck(t, "L of a hop", literalHopLoss(I, c.f, c.fH, c.i), c.want, 5e-5)
	}
	literalCheck(t, "I at midnight, field", literalI(0, 130, literalFloor(false)), 0.02, 0)
}

// p533 §9.2, rows of the newer edition; the field reading is the same without its step.
func TestLiteralAboveMUF(t *testing.T) {
	w := new(literalWatch)
	for _, c := range []struct{ ratio, E, F2 float64 }{
		{1.01, 9.60, 8.60}, {1.1, 19.55, 16.38}, {1.2, 25.57, 21.10}, {1.5, 37.53, 30.46}, {2, 51, 41}, {3, 58, 55.91},
	} {
		literalCheck(t, "Lm of E", w.aboveMUF("E", 10*c.ratio, 10, true), c.E, 5e-3)
		literalCheck(t, "Lm of F2", w.aboveMUF("F2", 10*c.ratio, 10, true), c.F2, 5e-3)
		if c.ratio < 3 {
			literalCheck(t, "Lm of E, field", w.aboveMUF("E", 10*c.ratio, 10, false), c.E-5, 5e-3)
		}
		literalCheck(t, "Lm of F2, field", w.aboveMUF("F2", 10*c.ratio, 10, false), c.F2-5, 5e-3)
	}
	literalCheck(t, "Lm of F2 far above", w.aboveMUF("F2", 100, 10, false), 60, 0)
	literalCheck(t, "Lm below the MUF", w.aboveMUF("F2", 9.9, 10, true), 0, 0)
}

// p533 §9.3: the pattern of Table 2. The row 47.5–52.5 is 0.65 and the row 42.5–47.5
// is 0.32 of the row 52.5–57.5, to 0.12 dB.
func TestLiteralAuroralPattern(t *testing.T) {
	for _, table := range [][3][8][8]float64{literalLhNear, literalLhFar} {
		for season := range table {
			for block := range 8 {
				base := table[season][5][block]
				literalCheck(t, "Lh, 47.5–52.5", table[season][6][block], 0.65*base, 0.12)
				literalCheck(t, "Lh, 42.5–47.5", table[season][7][block], 0.32*base, 0.12)
			}
		}
	}
	r := &literalRun{literalIn: literalIn{Month: 1}, D: 2000}
	for _, c := range []struct{ φ, Gn, t, want float64 }{
		{60, 65, 5, 16.0},  // winter, 62.5–67.5, 04–07
		{60, -65, 5, 16.0}, // by its size
		{-60, 65, 5, 4.8},  // January is summer in the south
		{60, 80, 23, 1.0},  // the block 22–01
		{60, 80, 0.5, 1.0},
		{60, 42.4, 12, 0},
		{60, 43, 8, 1.1},
	} {
		literalCheck(t, "Lh", r.auroral(literalPoint{φ: c.φ, Gn: c.Gn, localTime: c.t}), c.want, 0)
	}
}

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

// p842 §1 and §2.
func TestLiteralReliability(t *testing.T) {
	for _, c := range []struct{ ratio, lower, upper, lowerHigh, upperHigh float64 }{
		{0.3, 8, 6, 11, 9}, {0.8, 8, 6, 11, 9}, {0.9, 10, 7, 13.5, 10}, {1.1, 12.5, 10, 16.5, 11.5},
		{1.5, 9, 12.5, 12, 12.5}, {2.5, 7.5, 8.5, 10, 8.5}, {5, 5, 7, 7, 7}, {9, 5, 7, 7, 7},
	} {
		lower, upper := literalDayToDay(c.ratio, false)
		literalCheck(t, "lower decile below 60°", lower, c.lower, 1e-9)
		literalCheck(t, "upper decile below 60°", upper, c.upper, 1e-9)
		lower, upper = literalDayToDay(c.ratio, true)
		literalCheck(t, "lower decile from 60°", lower, c.lowerHigh, 1e-9)
		literalCheck(t, "upper decile from 60°", upper, c.upperHigh, 1e-9)
	}
	DlSN := math.Sqrt(12*12 + 8*8 + 8.5*8.5)
	DuSN := math.Sqrt(8*8 + 5*5 + 6.9*6.9)
	literalCheck(t, "D_lSN", DlSN, 16.74067, 5e-6)
	literalCheck(t, "D_uSN", DuSN, 11.68803, 5e-6)
	for _, c := range []struct{ SN, want, gauss float64 }{
		{35, 97.915, 97.222}, {27, 90.307, 90.352}, {20, 79.917, 77.810}, {10, 50, 50}, {5, 26.031, 29.170}, {-5, 5.036, 4.996},
	} {
		literalCheck(t, "BCR", 100*literalBCR(c.SN, 10, DuSN, DlSN), c.want, 5e-4)
		// The hyperbola stands for two half Gaussians of σ = D/1.282.
		D := DlSN
		if c.SN < 10 {
			D = DuSN
		}
		gauss := 50 * math.Erfc(-(c.SN-10)/(D/1.282)/math.Sqrt2)
		literalCheck(t, "BCR by Gauss", gauss, c.gauss, 5e-4)
	}
	literalCheck(t, "BCR at the upper decile", literalBCR(10+DlSN, 10, DuSN, DlSN), 0.9, 1e-12)
	literalCheck(t, "BCR at the lower decile", literalBCR(10-DuSN, 10, DuSN, DlSN), 0.1, 1e-12)
}

// p842 §3: frequencies far enough apart.
func TestLiteralReception(t *testing.T) {
	for _, c := range []struct {
		BCR  []float64
		want float64
	}{{[]float64{0.6, 0.7}, 0.88}, {[]float64{0.5, 0.5, 0.5}, 0.875}} {
		literalCheck(t, "BRR", literalReception(c.BCR), c.want, 1e-12)
	}
}
