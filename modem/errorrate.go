package modem

import "math"

// fskError returns the symbol error rate of non-coherent detection of one of M
// orthogonal tones, AWGN.
//
//	Ps = Σ_{k=1}^{M−1} (−1)^{k+1} C(M−1,k)/(k+1) e^{−kγs/(k+1)}
//
// Source:   textbook theory, as in our notes on links, §1.1 (from memory, high;
// numbers computed two ways).
// Domain:   M ≤ 32 (the sum cancels beyond), γs ≥ 0.
func fskError(M int, γs float64) float64 {
	var Ps float64
	c := 1.0 // C(M−1,k), with its sign
	for k := 1; k < M; k++ {
		c *= -float64(M-k) / float64(k)
		kf := float64(k)
		Ps -= c / (kf + 1) * math.Exp(-kf*γs/(kf+1))
	}
	return Ps
}

// dbpskError returns the bit error rate of binary differential phase keying, AWGN:
// Pb = ½ e^{−γb}. Source: as fskError.
func dbpskError(γb float64) float64 { return math.Exp(-γb) / 2 }

// dqpskError returns the symbol error rate of four-phase differential keying, AWGN:
// the phase step is wrong when it errs by more than π/4 either way.
//
//	Ps = 2 F(π/4)
//
// Source: as fskError.
func dqpskError(γs float64) float64 { return 2 * phaseStepTail(γs, math.Pi/4) }

// phaseStepTail returns half the chance that the difference of two noisy phases
// errs by more than ψ.
//
//	F(ψ) = (sin ψ/4π) ∫_{−π/2}^{π/2} e^{−γs u}/u dt,  u = 1 − cos ψ cos t
//
// Source:   as fskError; P(|Δφ error| > ψ) = 2F(ψ).
// Accuracy: Simpson's rule on half the range, 64 steps: better than 1e-7 of the
// value up to γs of 20 dB.
func phaseStepTail(γs, ψ float64) float64 {
	const n = 64
	h := math.Pi / 2 / n
	var sum float64
	for i := range n + 1 {
		w := 2.0
		switch {
		case i == 0 || i == n:
			w = 1
		case i%2 == 1:
			w = 4
		}
		u := 1 - math.Cos(ψ)*math.Cos(float64(i)*h)
		sum += w * math.Exp(-γs*u) / u
	}
	return math.Sin(ψ) / (4 * math.Pi) * 2 * sum * h / 3
}

// dopplerSNR returns the SNR of a steady carrier that differential phase keying
// would need for the error rate it has at γ when the path turns between symbols.
//
//	γ' = γR/(1 + γ(1−R)),  R = exp(−π²B²Ts²/2)
//
// Source:   from Pb = ½[1 + γ(1−R)]/(1+γ) on Rayleigh fading, our notes on links
// §1.2; chosen so that ½/(1+γ') is that, and so exact in the mean for two phases.
// Departs:  used for four phases and for a known fade as well; there it is a model.
func dopplerSNR(γ, spreadHz, symbolS float64) float64 {
	R := math.Exp(-math.Pow(math.Pi*spreadHz*symbolS, 2) / 2)
	return γ * R / (1 + γ*(1-R))
}
