package modem

import "math"

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
	poorEvery = 4 // on Poor all is so smooth that every fourth point does
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
//
// Poor: what kills an uncoded block is the deepest fade in its time T, so with x the
// depth of that fade (power over the mean)
//
//	p = ∫ (1 − Ps(γs x))^m (−dF/dx) dx,  F(x) = P(no deeper than x) = exp(−x − √(πx) BT)
//	1/m = 1/n + πB √(aγs) Ts/2,  a = −d ln Ps/dγs at Ps = 1/n;  m symbols at the bottom
//
// F: the chance to be above x, times no crossing of x in T at the rate √π B √x of a
// Rayleigh path that is above it. m: the path goes by the origin in a straight line
// with the mean of 1/speed, and errors fall off as e^{−aγs·(power above the bottom)};
// no more than the block, of which the bottom may be an end.
// As BT → 0 this is the average over a fade that holds for the whole block.
//
// The path is taken as flat: 2 ms are 1/500 Hz, and these signals are narrower than
// that; so there is no diversity, and echoes that run into the next symbol (2 of
// 10 ms at 100 Bd) are not counted.
// Source:   crossing rate and Doppler statistics of our notes on links §3; the rest
// is ours. Accuracy: against a simulated Rayleigh path, see docs/accuracy.md.
func (k keying) block(n, bHz, lossDB float64) (steady, poor Curve) {
	gain := math.Pow(10, -lossDB/10) * bHz / k.baud
	N := int((curveHi-curveLo)/curveStep) + 1
	fades := deepestFades(poorSpreadHz * n / k.baud)
	a := k.slope(1 / n)

	steady = Curve{curveLo, curveStep, make([]float64, N)}
	lnOK := make([]float64, N) // ln of the chance that one symbol is right
	for i := range N {
		lnOK[i] = math.Log1p(-k.fails(gain * math.Pow(10, (curveLo+float64(i)*curveStep)/10)))
		steady.logit[i] = logitExp(n * lnOK[i])
	}
	poor = Curve{curveLo, curveStep * poorEvery, make([]float64, N/poorEvery+1)}
	for i := range poor.logit {
		at := float64(i * poorEvery)
		γs := gain * math.Pow(10, (curveLo+at*curveStep)/10)
		if k.doppler {
			turned := dopplerSNR(γs, poorSpreadHz, 1/k.baud)
			at += 10 * math.Log10(turned/γs) / curveStep
			γs = turned
		}
		m := 1 / (1/n + math.Pi*poorSpreadHz*math.Sqrt(a*γs)/(2*k.baud))
		poor.logit[i] = logitExp(math.Log(meanOverFades(fades, lnOK, at, m)))
	}
	return rising(steady), rising(poor)
}

// slope returns −d ln Ps/dγs where Ps is P.
func (k keying) slope(P float64) float64 {
	lo, hi := 0.0, 1e4
	for range 60 {
		if mid := (lo + hi) / 2; k.fails(mid) > P {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Log(k.fails(lo)/k.fails(lo+0.01)) / 0.01
}

type fade struct{ dB, weight float64 }

// deepestFades returns depths and weights of the deepest fade in a time of BT fading
// periods: F of block, cut into cells of half a decibel from −50 to 12 dB.
func deepestFades(BT float64) []fade {
	const lo, hi, step = -50.0, 12.0, 0.5
	F := func(dB float64) float64 {
		x := math.Pow(10, dB/10)
		return math.Exp(-x - math.Sqrt(math.Pi*x)*BT)
	}
	fades := make([]fade, 0, int((hi-lo)/step)+1)
	above := 1.0
	for dB := lo; dB < hi; dB += step {
		next := F(dB + step/2)
		fades = append(fades, fade{dB, above - next})
		above = next
	}
	return append(fades, fade{hi, above})
}

// meanOverFades returns E[e^{m f}] with f at the depth below grid position at; f is
// straight between grid points and level beyond them.
func meanOverFades(fades []fade, f []float64, at, m float64) (mean float64) {
	for _, fade := range fades {
		t := min(max(at+fade.dB/curveStep, 0), float64(len(f)-1))
		k := min(int(t), len(f)-2)
		mean += fade.weight * math.Exp(m*(f[k]+(f[k+1]-f[k])*(t-float64(k))))
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
