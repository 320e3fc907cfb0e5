package circuit

import (
	"math"
	"testing"
)

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
