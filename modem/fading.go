package modem

import (
	"math"
	"sync"
)

// Fading says which test channel of ITU-R F.1487 a path behaves like.
//
// No rule was found to place a path between the two by its delay and Doppler
// spread: with an interleaver more spread is at first a help, and the standard's
// tables give two points only. Sky wave is Poor, a ground wave that stands well
// above any sky wave is AWGN.
type Fading uint8

const (
	AWGN Fading = iota // one steady path
	Poor               // mid-latitude disturbed: two Rayleigh paths, 2 ms apart, 1 Hz spread
)

func (f Fading) String() string {
	if f == AWGN {
		return "steady"
	}
	return "fading"
}

// Spread of the Poor channel. ITU-R F.1487, Annex 3, as in our notes (memory and an
// independent list agree).
const poorSpreadHz = 1.0

// The SNR grid of computed curves; beyond its ends nothing is decided.
const (
	curveLo   = -40.0
	curveHi   = 70.0
	curveStep = 0.25
)

// keying is one plain way of sending: what the error rate of an uncoded block is
// made of.
type keying struct {
	baud    float64
	bits    float64 // per symbol
	fails   func(γs float64) float64
	doppler bool // the reference is the symbol before: the path may turn meanwhile
}

// block returns the curves of n symbols that must all be right: steady, and on Poor.
// SNR is in a bandwidth of bHz; lossDB is what a real receiver is worse than theory.
//
// Steady:   p = (1 − Ps)ⁿ.
// Poor:     p = (E[(1 − Ps(γs g))^{n/Neff}])^{Neff}, g ~ exp(1)
//
// On Poor the block sees Neff independent fades (fadesPerBlock), each holding for
// its share of the symbols. The path is taken as flat: 2 ms are 1/500 Hz, and these
// signals are narrower than that; so there is no diversity, and echoes that run into
// the next symbol (2 of 10 ms at 100 Bd) are not counted.
// Source:   our own, from the closed forms; tested against a simulated Rayleigh path.
func (k keying) block(n, bHz, lossDB float64) (steady, poor Curve) {
	gain := math.Pow(10, -lossDB/10) * bHz / k.baud
	N := int((curveHi-curveLo)/curveStep) + 1
	neff := fadesPerBlock(poorSpreadHz, n/k.baud)

	steady = Curve{curveLo, curveStep, make([]float64, N)}
	share := make([]float64, N) // ln of the chance of 1/neff of the symbols
	for i := range N {
		γs := gain * math.Pow(10, (curveLo+float64(i)*curveStep)/10)
		lnOK := math.Log1p(-k.fails(γs))
		steady.logit[i] = logitExp(n * lnOK)
		share[i] = n / neff * lnOK
	}
	poor = Curve{curveLo, curveStep, make([]float64, N)}
	for i := range N {
		at := float64(i)
		if k.doppler {
			γs := gain * math.Pow(10, (curveLo+at*curveStep)/10)
			at += 10 * math.Log10(dopplerSNR(γs, poorSpreadHz, 1/k.baud)/γs) / curveStep
		}
		poor.logit[i] = logitExp(neff * math.Log(meanOverFade(share, at)))
	}
	return rising(steady), rising(poor)
}

// fades are the depths and weights by which a Rayleigh fade is averaged: g ~ exp(1)
// on the dB axis at 0.5 dB, trapezoidal rule, what lies below −50 dB put at −50.
var fades = sync.OnceValue(func() (fs []struct{ dB, weight float64 }) {
	const lo, hi, step = -50.0, 12.0, 0.5
	var sum float64
	for dB := lo + step; dB <= hi; dB += step {
		g := math.Pow(10, dB/10)
		w := g * math.Exp(-g) * step * math.Ln10 / 10
		fs = append(fs, struct{ dB, weight float64 }{dB, w})
		sum += w
	}
	return append(fs, struct{ dB, weight float64 }{lo, 1 - sum})
})

// meanOverFade returns E[e^{f(x + 10 log g)}] at grid position at for g ~ exp(1); f
// is straight between grid points and level beyond them.
func meanOverFade(f []float64, at float64) (mean float64) {
	for _, fade := range fades() {
		t := min(max(at+fade.dB/curveStep, 0), float64(len(f)-1))
		k := min(int(t), len(f)-2)
		mean += fade.weight * math.Exp(f[k]+(f[k+1]-f[k])*(t-float64(k)))
	}
	return mean
}

// logitExp returns ln(p/(1−p)) of p = e^y, y ≤ 0, held within what a float can carry.
func logitExp(y float64) float64 {
	return min(max(y-math.Log(-math.Expm1(y)), -600), 600)
}

// rising irons out last-digit wiggles, so that the law holds: more signal, no worse.
func rising(c Curve) Curve {
	for i := 1; i < len(c.logit); i++ {
		c.logit[i] = max(c.logit[i], c.logit[i-1])
	}
	return c
}
