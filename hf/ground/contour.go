package ground

import (
	"math"
	"math/cmplx"
	"sync"
)

// riccati holds c_0…c_5 of the curved earth's impedance at large z,
//
//	−Ai′(z)/Ai(z) = G(z) = √z Σ c_m z^{−3m/2},  c_0 = 1,
//	c_m = ½[ c_{m−1}(4 − 3m)/2 − Σ_{i=1}^{m−1} c_i c_{m−i} ]
//
// Source: notes §4 (G″ by the Riccati equation G² − G′ = z).
var riccati = [6]float64{1, 1. / 4, -5. / 32, 15. / 64, -1105. / 2048, 1.6552734375}

// nodes of the contour: n = −30…30.
const nodes = 61

// contour is what the inverse Laplace integral needs at its nodes σ_n; none of it
// depends on ground, frequency or distance.
type contour struct {
	root   [nodes]complex128 // √σ_n
	power  [nodes]complex128 // σ_n^{−3/2}
	weight [nodes]complex128 // √π · 0.1/(2πj) · e^{σ_n} σ′_n
}

var theContour = sync.OnceValue(func() *contour {
	const α, step, size = 0.52, 0.1, 6
	var c contour
	for i := range nodes {
		t := step * float64(i-nodes/2)
		σ := size * complex(1-math.Sin(α)*math.Cosh(t), math.Cos(α)*math.Sinh(t))
		dσ := size * complex(-math.Sin(α)*math.Sinh(t), math.Cos(α)*math.Cosh(t))
		c.root[i] = cmplx.Sqrt(σ)
		c.power[i] = 1 / (σ * c.root[i])
		c.weight[i] = rtπ * step / (2i * math.Pi) * cmplx.Exp(σ) * dσ
	}
	return &c
})

// near returns W for short range.
//
//	W = √(π/X) · (0.1/2πj) Σ_n e^{σ_n} σ′_n / ( Q + G(σ_n/X) ),  n = −30…30
//
// on the hyperbola σ_n = 6(1 − sin α cosh t_n + j cos α sinh t_n), α = 0.52, t_n = n/10.
//
// Source:   notes §4 (derived there; any ground, no cancellation).
// Domain:   0 < x ≤ 0.4.
// Accuracy: 2·10⁻⁹ dB for x ≤ 0.1, 3·10⁻⁶ dB at 0.42, as the notes measure.
func (c *Curve) near(x float64) complex128 {
	X12 := complex(math.Sqrt(x), 0) * e15
	return c.contour.sum(c.Q*X12, complex(x*math.Sqrt(x), 0)*e45)
}

// sum is the contour's sum in the two numbers that distance and ground amount to,
// u = Q √X and Y = X^{3/2}, which the bracket multiplied by √X needs:
//
//	W = √π · (0.1/2πj) Σ_n e^{σ_n} σ′_n / ( u + √σ_n Σ_m c_m (Y σ_n^{−3/2})^m )
//
// Y = 0 is the flat earth: W is then Norton's F(p) with p = −u².
func (c *contour) sum(u, Y complex128) complex128 {
	var W complex128
	for i := range nodes {
		y := Y * c.power[i]
		g := complex(riccati[5], 0)
		for m := len(riccati) - 2; m >= 0; m-- {
			g = g*y + complex(riccati[m], 0)
		}
		W += c.weight[i] * inverse(u+c.root[i]*g)
	}
	return W
}

// inverse is 1/z without the checks of / for infinities, a third of the whole time.
func inverse(z complex128) complex128 {
	n := real(z)*real(z) + imag(z)*imag(z)
	return complex(real(z)/n, -imag(z)/n)
}
