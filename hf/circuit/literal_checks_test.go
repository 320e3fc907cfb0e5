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
