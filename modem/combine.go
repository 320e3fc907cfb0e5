package modem

import (
	"math"

	"farhail/unit"
)

// combined returns the curve of a block whose repeats are added up before decoding,
// as one chance per reception: 1 over the mean number of receptions a block takes.
//
// Model: every reception brings an effective SNR e, drawn anew; the block is decoded
// when the sum of its receptions reaches what it needs (in units of the need, 1).
// The curve of a single reception tells how e spreads: P(e ≥ 1 | x) = c(x), and e
// grows with the mean SNR, so e = 10^(x/10)·h with one law of h for all x. A receiver
// keeps K receptions; if they do not do, it starts afresh. With S_m the chance that
// m receptions suffice,
//
//	S_1(x) = c(x),  S_m(x) = c(x) + ∫_0^{1−c(x)} S_{m−1}(x − 10 log(1 − e(q))) dq
//	mean receptions = [1 + Σ_{m=1}^{K−1} (1 − S_m)] / S_K
//
// where e(q) < 1 is the q-quantile of e. On a steady path this is nearly S_m = c(m·γ); the
// repeats of a fading path gain diversity too.
// Source:   threshold model of our notes on links §6; mean by renewal.
// Departs:  the spread of receptions per block is taken as that of repeats without
// memory; it is in truth smaller, so times with combining are a little too uncertain.
func combined(c Curve, K int) Curve {
	if K <= 1 || c.never() {
		return c
	}
	const step = 0.5
	lo := float64(c.Need(1e-5))
	n := int((float64(c.Need(1-1e-5))-lo)/step) + 2
	S := make([]Curve, K+1)
	S[1] = c
	mean := make([]float64, n) // receptions, so far up to m = K−1
	for i := range n {
		mean[i] = 2 - c.At(unit.DB(lo+float64(i)*step))
	}
	for m := 2; m <= K; m++ {
		S[m] = Curve{lo, step, make([]float64, n)}
		for i := range n {
			s := oneMore(c, S[m-1], lo+float64(i)*step)
			S[m].logit[i] = math.Log(s / (1 - s))
			if m < K {
				mean[i] += 1 - s
			}
		}
		S[m] = rising(S[m])
	}
	out := Curve{lo, step, make([]float64, n)}
	for i := range n {
		p := S[K].At(unit.DB(lo+float64(i)*step)) / mean[i]
		out.logit[i] = math.Log(p / (1 - p))
	}
	return rising(out)
}

// oneMore returns S_m(x) from S_{m−1}, by the midpoint rule in s, q = (1−c)(1 − s²):
// close steps where a reception alone is nearly enough, since there all is decided.
func oneMore(c, before Curve, x float64) float64 {
	const steps = 64
	fail := 1 - c.at(x)
	var sum float64
	for j := range steps {
		s := (float64(j) + 0.5) / steps
		q := fail * (1 - s*s)
		// e of the chance 1−q to be exceeded: e = 10^((x − Need(1−q))/10) < 1
		if e := math.Pow(10, (x-float64(c.Need(1-q)))/10); e < 1 {
			sum += 2 * s * before.at(x-10*math.Log10(1-e))
		} else {
			sum += 2 * s
		}
	}
	return min(max(1-fail+fail*sum/steps, 1e-300), 1-1e-15)
}
