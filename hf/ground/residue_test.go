package ground

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"farhail/hf/earth"
)

// First roots of notes §11: K = 1/(2^{1/3}|Q|), arg Q in degrees.
var rootTable = []struct {
	K, argQ float64
	z1, z2  complex128
}{
	{0.02, 30, complex(-2.31628, -0.01259), complex(-4.06613, -0.01258)},
	{0.02, 45, complex(-2.32028, -0.01781), complex(-4.07012, -0.01780)},
	{0.02, 60, complex(-2.32550, -0.02182), complex(-4.07533, -0.02182)},
	{0.02, 75, complex(-2.33158, -0.02435), complex(-4.08141, -0.02436)},
	{0.05, 30, complex(-2.28355, -0.03131), complex(-4.03340, -0.03116)},
	{0.05, 45, complex(-2.29343, -0.04441), complex(-4.04317, -0.04430)},
	{0.05, 60, complex(-2.30642, -0.05455), complex(-4.05611, -0.05455)},
	{0.05, 75, complex(-2.32166, -0.06098), complex(-4.07140, -0.06109)},
	{0.2, 30, complex(-2.12105, -0.11496), complex(-3.87232, -0.10688)},
	{0.2, 45, complex(-2.15293, -0.16888), complex(-3.89798, -0.16124)},
	{0.2, 60, complex(-2.19991, -0.21634), complex(-3.93984, -0.21404)},
	{0.2, 75, complex(-2.26241, -0.25132), complex(-4.00296, -0.25801)},
	{0.5, 30, complex(-1.83479, -0.19778), complex(-3.62595, -0.14090)},
	{0.5, 45, complex(-1.85392, -0.30992), complex(-3.61703, -0.22376)},
	{0.5, 60, complex(-1.88742, -0.44241), complex(-3.59837, -0.32661)},
	{0.5, 75, complex(-1.94810, -0.61434), complex(-3.55250, -0.46896)},
	{1, 30, complex(-1.54798, -0.19471), complex(-3.45337, -0.10165)},
	{1, 45, complex(-1.52728, -0.30204), complex(-3.42851, -0.15233)},
	{1, 60, complex(-1.49062, -0.42202), complex(-3.38931, -0.20049)},
	{1, 75, complex(-1.42623, -0.55839), complex(-3.33272, -0.24023)},
	{2, 30, complex(-1.31907, -0.13847), complex(-3.35276, -0.05734)},
	{2, 45, complex(-1.28854, -0.20697), complex(-3.33576, -0.08273)},
	{2, 60, complex(-1.24244, -0.27309), complex(-3.31228, -0.10366)},
	{2, 75, complex(-1.17798, -0.33322), complex(-3.28326, -0.11810)},
	{5, 30, complex(-1.14778, -0.06812), complex(-3.29033, -0.02400)},
	{5, 45, complex(-1.12859, -0.09864), complex(-3.28284, -0.03410)},
	{5, 60, complex(-1.10212, -0.12462), complex(-3.27294, -0.04200)},
	{5, 75, complex(-1.06906, -0.14417), complex(-3.26125, -0.04710)},
}

func TestFirstRoots(t *testing.T) {
	for _, r := range rootTable {
		c := at(cmplx.Rect(1/(math.Cbrt(2)*r.K), r.argQ*math.Pi/180))
		what := fmt.Sprintf("K %g, arg Q %g°: ", r.K, r.argQ)
		nearC(t, what+"z_1", c.roots[0], r.z1, 8e-6)
		nearC(t, what+"z_2", c.roots[1], r.z2, 8e-6)
	}
	// Average ground at 5 MHz and sea at 10 MHz, §11.
	for _, r := range []struct {
		c    *Curve
		want [3]complex128
	}{
		{curve(5, earth.Average), [3]complex128{-2.2893001 - .0444626i, -4.0390420 - .0443279i, -5.4715715 - .0442171i}},
		{curve(10, earth.Sea), [3]complex128{-1.5845912 - .6236623i, -3.3740664 - .3097258i, -4.8924864 - .2101418i}},
	} {
		for s, want := range r.want {
			nearC(t, fmt.Sprintf("z_%d", s+1), r.c.roots[s], want, 8e-8)
		}
	}
}

// Limits of notes §5: zeros of Ai′ over perfect ground, of Ai over the poorest.
func TestRootLimits(t *testing.T) {
	perfect, poor := at(0), at(cmplx.Rect(1e12, math.Pi/6))
	for s, want := range []float64{-1.018792972, -3.248197582, -4.820099211, -6.163307356, -7.372177255} {
		nearC(t, "zero of Ai′", perfect.roots[s], complex(want, 0), 6e-10)
	}
	for s, want := range []float64{-2.338107410, -4.087949444, -5.520559828, -6.786708090, -7.944133587} {
		nearC(t, "zero of Ai", poor.roots[s], complex(want, 0), 6e-10)
	}
}

// airyMaclaurin gives Ai and Ai′ by their series about 0, good to 10⁻¹⁰ for |z| < 6.
func airyMaclaurin(z complex128) (ai, dai complex128) {
	const ai0, dai0 = 0.355028053887817239, -0.258819403792806798 // Ai(0), Ai′(0)
	a := [120]float64{ai0, dai0}
	for n := 1; n+2 <= len(a); n++ {
		if n+1 == 2 {
			a[2] = 0
			continue
		}
		a[n+1] = a[n-2] / float64((n+1)*n)
	}
	for n := len(a) - 1; n >= 0; n-- {
		dai = dai*z + ai
		ai = ai*z + complex(a[n], 0)
	}
	return ai, dai
}

// The roots must solve Ai′ = Q Ai by an Airy function that shares nothing with theirs.
func TestRootsSolve(t *testing.T) {
	for _, g := range someGrounds {
		for _, fMHz := range someMHz {
			c := curve(fMHz, g)
			for s := range 4 {
				ai, dai := airyMaclaurin(c.roots[s])
				if off := cmplx.Abs(dai-c.Q*ai) / (cmplx.Abs(dai) + cmplx.Abs(c.Q*ai)); !(off < 2e-8) {
					t.Errorf("%v, %g MHz: root %d = %v leaves %.2g of Ai′ = Q Ai", g, fMHz, s+1, c.roots[s], off)
				}
			}
		}
	}
}

// Eighty different roots, in order, each near its zero of Ai; and moving with Q as
// dz/dQ = 1/(z − Q²) (notes §5) says.
func TestRootsAreAllThere(t *testing.T) {
	for _, g := range someGrounds {
		for _, fMHz := range someMHz {
			c := curve(fMHz, g)
			const dQ = 1e-5
			plus, minus := at(c.Q+dQ), at(c.Q-dQ)
			for s, z := range c.roots {
				if s > 0 && !(real(z) < real(c.roots[s-1])-0.2*math.Abs(airy()[s].zero-airy()[s-1].zero)) {
					t.Errorf("%v, %g MHz: root %d = %v after %v", g, fMHz, s+1, z, c.roots[s-1])
				}
				slope := (plus.roots[s] - minus.roots[s]) / (2 * dQ)
				if off := cmplx.Abs(slope - c.weights[s]); !(off < 1e-7*(1+cmplx.Abs(slope))) {
					t.Errorf("%v, %g MHz, root %d: dz/dQ = %v, want %v", g, fMHz, s+1, slope, c.weights[s])
				}
			}
		}
	}
}
