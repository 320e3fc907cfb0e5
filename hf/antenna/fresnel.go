package antenna

import (
	"math"
	"math/cmplx"

	"farhail/hf/earth"
	"farhail/unit"
)

const (
	c0   = 299.792458 // m·MHz, exact
	eta0 = 376.730    // Ω, impedance of free space
)

// permittivity returns the complex relative permittivity of a ground.
//
//	ε_c = ε_r − j 17975.1 σ/f      σ [S/m], f [MHz]
//
// Source: §1; 17975.1 is 10⁻⁶/(2π ε0) rounded.
func permittivity(g earth.Ground, f unit.Freq) complex128 {
	return complex(g.EpsR, -17975.1*g.SigmaSm/f.MHz())
}

// fresnel returns the plane-wave reflection coefficients of the ground for
// vertical and horizontal polarisation at an elevation given by s = sin Δ.
//
//	w = √(ε_c − cos²Δ), Re w > 0
//	ρ_v = (ε_c s − w)/(ε_c s + w)     ρ_h = (s − w)/(s + w)
//
// Source: §1. At s = 0 both are −1.
func fresnel(ε complex128, s float64) (ρv, ρh complex128) {
	w := cmplx.Sqrt(ε - complex(1-s*s, 0))
	sc := complex(s, 0)
	if w == 0 && s == 0 { // no ground at all (ε_c = 1), at grazing incidence
		return 0, 0
	}
	return (ε*sc - w) / (ε*sc + w), (sc - w) / (sc + w)
}

// waveTilt returns Δ_s, the horizontal over the vertical electric field of a wave
// that runs along the ground; it leans forward.
//
//	Δ_s = √(ε_c − 1)/ε_c
//
// Source: "groundwave.md, as in our notes", §8; it is also the limit of (1 − ρ_v)/(1 + ρ_v)
// sin Δ at Δ = 0.
func waveTilt(ε complex128) complex128 { return cmplx.Sqrt(ε-1) / ε }

// abs2 is |z|².
func abs2(z complex128) float64 {
	return real(z)*real(z) + imag(z)*imag(z)
}

// unitPhase is e^{jx}.
func unitPhase(x float64) complex128 {
	s, c := math.Sincos(x)
	return complex(c, s)
}
