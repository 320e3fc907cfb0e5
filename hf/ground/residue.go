package ground

import (
	"math"
	"math/cmplx"
	"sync"
)

// terms of the residue series: with 80, what is cut off at x = 0.4 is below 10⁻⁶ dB.
const terms = 80

// far returns W beyond the contour's range, as W·e^{exponent} with the first
// mode's decay kept apart, so that no distance underflows.
//
//	W = −√(πX) Σ_s e^{X z_s}/(z_s − Q²)
//
// Source:   notes §5 (the residue series of van der Pol and Bremmer).
// Domain:   x ≥ 0.4.
// Accuracy: 80 terms: 3·10⁻⁷ dB at x = 0.42; it stops when a term is below 10⁻¹⁰ of the sum.
func (c *Curve) far(x float64) (W complex128, exponent float64) {
	X := complex(x, 0) * e30
	exponent = real(X * c.roots[0])
	var sum complex128
	for s, z := range c.roots {
		w := X * z
		sin, cos := math.Sincos(imag(w))
		r := math.Exp(real(w) - exponent)
		term := complex(r*cos, r*sin) * c.weights[s]
		sum += term
		if abs2(term) < 1e-20*abs2(sum) {
			break
		}
	}
	return -complex(math.Sqrt(math.Pi*x), 0) * e15 * sum, exponent
}

func abs2(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

// findRoots solves Ai′(z_s) = Q Ai(z_s) for the first roots z_s: from the zeros of
// Ai′ (perfect ground, Q = 0) they run to those of Ai (Q → ∞) without a jump, as no
// homogeneous ground has a double root.
//
// Source:   notes §5: start from the asymptotic phase, then Newton on the Taylor
// series of Ai about its own zero a_s.
// Accuracy: 2·10⁻¹¹, that of the zeros.
// Departs:  atan(√y/Q) is written π/2 − atan(Q/√y), the same for Re(√y/Q) > 0 and
// finite at Q = 0.
func (c *Curve) findRoots() {
	Q := c.Q
	for s, t := range airy() {
		h := t.start(float64(s+1), Q)
		for range 12 {
			u, du := t.value(h)
			// With v = u′ − Q u and Airy's u″ = z u: v′ = z u − Q u′.
			step := (du - Q*u) / ((complex(t.zero, 0)+h)*u - Q*du)
			h -= step
			if abs2(step) < 1e-15 { // what is left is the square of it
				break
			}
		}
		z := complex(t.zero, 0) + h
		c.roots[s] = z
		c.weights[s] = 1 / (z - Q*Q)
	}
}

// taylor is Airy's function about its zero a_s: Ai(a_s + h)/Ai′(a_s) = Σ C_n hⁿ.
type taylor struct {
	zero float64 // a_s
	c    []float64
}

// start returns a first h = z_s − a_s: ζ = sπ − π/4 − atan(√y/Q), y = (3ζ/2)^{2/3} from
// y = −a_s, four times, or until it stands.
func (t *taylor) start(s float64, Q complex128) complex128 {
	y := complex(-t.zero, 0)
	for range 4 {
		last := y
		ζ := complex(s*math.Pi-math.Pi*3/4, 0) + cmplx.Atan(Q/cmplx.Sqrt(y))
		y = cmplx.Pow(1.5*ζ, 2./3)
		if abs2(y-last) < 1e-6 {
			break
		}
	}
	return -y - complex(t.zero, 0)
}

// value returns u = Ai(a_s + h)/Ai′(a_s) and its derivative.
func (t *taylor) value(h complex128) (u, du complex128) {
	for n := len(t.c) - 1; n >= 0; n-- {
		du = du*h + u
		u = u*h + complex(t.c[n], 0)
	}
	return u, du
}

// airy holds the Taylor series about the first zeros of Ai,
//
//	C_0 = 0, C_1 = 1, C_2 = 0, C_{n+2} = (a_s C_n + C_{n−1})/((n+2)(n+1))
//
// cut where terms fall below 10⁻¹⁷ at the largest |h|: the distance from a zero of Ai
// to the one of Ai′ beside it, 1.32 at s = 1, later π/2√|a_s|, taken a third longer.
//
// Source: notes §5; zeros 1 to 5 as listed there, with the digits of a 30-digit
// computation of ours, the others by their asymptotic series: 2·10⁻¹¹ at s = 6, better beyond.
var airy = sync.OnceValue(func() *[terms]taylor {
	listed := [...]float64{-2.3381074104597670, -4.0879494441309706, -5.5205598280955511, -6.7867080900717590, -7.9441335871208531}
	all := new([terms]taylor)
	for s := range all {
		a := -zeroSize(3 * math.Pi * float64(4*s+3) / 8) // 4s − 1 with s from 1
		if s < len(listed) {
			a = listed[s]
		}
		C := [60]float64{1: 1}
		C[3] = a / 6
		for n := 2; n+2 < len(C); n++ {
			C[n+2] = (a*C[n] + C[n-1]) / float64((n+2)*(n+1))
		}
		reach, cut := 4./3*(math.Pi/2)/math.Sqrt(-a), len(C)
		for cut > 8 && math.Abs(C[cut-1])*math.Pow(reach, float64(cut-1)) < 1e-17 {
			cut--
		}
		all[s] = taylor{a, C[:cut]}
	}
	return all
})

// zeroSize is the size of a zero of Ai,
//
//	T(t) = t^{2/3}(1 + 5/48 t⁻² − 5/36 t⁻⁴ + 77125/82944 t⁻⁶ − 108056875/6967296 t⁻⁸)
//
// Source: notes §5, and one term more (from memory, high; computed).
func zeroSize(t float64) float64 {
	i := 1 / (t * t)
	return math.Cbrt(t*t) * (1 + i*(5./48+i*(-5./36+i*(77125./82944-i*108056875./6967296))))
}
