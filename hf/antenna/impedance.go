package antenna

import (
	"math"

	"farhail/unit"
)

// freeSpaceDipole returns the impedance at the current loop of a centre-fed dipole
// of length L and wire radius a in free space, k in rad/m; in ohms.
//
//	R_m = 60{ C + ln kL − Ci kL + ½ sin kL [Si 2kL − 2 Si kL]
//	          + ½ cos kL [C + ln(kL/2) + Ci 2kL − 2 Ci kL] }
//	X_m = 30{ 2 Si kL + cos kL [2 Si kL − Si 2kL]
//	          − sin kL [2 Ci kL − Ci 2kL − Ci(2ka²/L)] }
//	Z_in = Z_m / sin²(kL/2)
//
// Source: §4 (textbook formula, from memory high, checked there by integration).
func freeSpaceDipole(k, L, a float64) (Rm, Xm float64) {
	const C = 0.57721566490153286 // Euler
	kL := k * L
	sin, cos := math.Sincos(kL)
	Si1, Ci1 := sici(kL)
	Si2, Ci2 := sici(2 * kL)
	_, Cia := sici(2 * k * a * a / L)
	Rm = 60 * (C + math.Log(kL) - Ci1 + sin/2*(Si2-2*Si1) + cos/2*(C+math.Log(kL/2)+Ci2-2*Ci1))
	Xm = 30 * (2*Si1 + cos*(2*Si1-Si2) - sin*(2*Ci1-Ci2-Cia))
	return Rm, Xm
}

// feedReactance is the reactance at the feed in ohms; NaN where none is modelled.
// An inverted V is taken as the straight dipole, a vertical as half of one twice
// as long (image in the ground).
func feedReactance(s Spec, f unit.Freq) float64 {
	k, l := 2*math.Pi*f.MHz()/c0, s.length(f)
	switch s.Kind {
	case Dipole, InvertedV:
		_, X := freeSpaceDipole(k, l, s.radiusM())
		return X / math.Pow(math.Sin(k*l/2), 2)
	case Vertical:
		_, X := freeSpaceDipole(k, 2*l, s.radiusM())
		return X / 2 / math.Pow(math.Sin(k*l), 2)
	}
	return math.NaN()
}

// whipReactance is the reactance at the foot of a thin vertical in ohms.
//
//	X ≈ −60 [ln(h/a) − 1] cot kh      Source: §6 (from memory high).
func whipReactance(k, h, a float64) float64 {
	return -60 * (math.Log(h/a) - 1) / math.Tan(k*h)
}

// coilLoopOhm is the coil's loss resistance R_c = |X|/Q, seen at the current loop
// (times sin²kh, multiplied out so that it stays finite at kh = π). Source: §6.
func coilLoopOhm(s Spec, k float64) float64 {
	h := s.Length.M()
	sin, cos := math.Sincos(k * h)
	return 60 * (math.Log(h/s.radiusM()) - 1) * math.Abs(sin*cos) / s.CoilQ
}

// wireOhmPerM is the resistance of a round wire to high-frequency current.
//
//	R' = √(π f μ0/σ_w)/(2πa)      f [Hz], σ_w [S/m], a [m]; Ω/m
//
// Source: §4. Domain: radius well above the skin depth (0.02 mm in copper at 10 MHz).
func wireOhmPerM(s Spec, f unit.Freq) float64 {
	const mu0 = 4e-7 * math.Pi
	return math.Sqrt(math.Pi*f.Hz()*mu0/s.SigmaWireSm) / (2 * math.Pi * s.Radius.M())
}

// sici returns the sine integral Si(x) and the cosine integral Ci(x), x > 0.
//
//	Si = Σ (−1)^n x^{2n+1}/((2n+1)(2n+1)!)   Ci = C + ln x + Σ (−1)^n x^{2n}/(2n (2n)!)
//	E1(jx) = −Ci(x) + j[Si(x) − π/2]      by its continued fraction beyond x = 4
//
// Source: Abramowitz & Stegun 5.2.14, 5.2.16, 5.1.22 (from memory high; tested
// against numerical integration).
func sici(x float64) (Si, Ci float64) {
	if x <= 4 {
		Ci = 0.57721566490153286 + math.Log(x)
		term := 1.0 // x^n/n! with its sign
		for n := 1; n < 60; n++ {
			term *= x / float64(n)
			if n%2 == 1 {
				Si += term / float64(n)
			} else {
				term = -term
				Ci += term / float64(n)
			}
		}
		return Si, Ci
	}
	// E1(z) = e^{−z}/(z+1 − 1²/(z+3 − 2²/(z+5 − …))), z = jx, from the far end back.
	const depth = 80
	z := complex(0, x)
	d := z + complex(2*depth+1, 0)
	for n := depth; n >= 1; n-- {
		d = z + complex(float64(2*n-1), 0) - complex(float64(n*n), 0)/d
	}
	E1 := unitPhase(-x) / d
	return math.Pi/2 + imag(E1), -real(E1)
}
