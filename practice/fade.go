package practice

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"time"
)

// A fadeLaw is what two equal Rayleigh paths do to one interleaver span: how far the
// effective SNR of the span lies off the mean SNR.
//
//	γ_eff = −β ln[(1/n) Σ exp(−γ_i/β)],  γ_i = γ (½|g1|² + ½|g2|²)
//
// The taps are Gaussian with a Gaussian Doppler spectrum of spread 2σ = 1 Hz, the
// mid-latitude disturbed channel of ITU-R F.1487; two paths 2 ms apart are independent
// over a band of 3 kHz.
//
// Source:   exponential effective SNR, our notes on links §4 (0.5 dB out of sample);
// F.1487 Annex 3, as in our notes.
// Accuracy: spans spans drawn once with a fixed seed: the deepest of them is met once
// in that many.
type fadeLaw struct {
	off [gammas][spans]float64 // dB, ascending, by γ/β in dB and rank
}

const (
	spans    = 512
	gammaLo  = -12.0 // dB, γ/β of the first row; below it γ_eff is the mean power
	gammas   = 43    // rows, 1 dB apart
	spreadHz = 1.0
	sampleS  = 0.1 // the tap's correlation at this step is 0.95
)

var (
	fadeMu   sync.Mutex
	fadeLaws = map[time.Duration]*fadeLaw{}
)

// fadeLawOf returns the law of a span, worked out when first asked for.
func fadeLawOf(span time.Duration) *fadeLaw {
	fadeMu.Lock()
	defer fadeMu.Unlock()
	f, ok := fadeLaws[span]
	if !ok {
		f = newFadeLaw(span.Seconds())
		fadeLaws[span] = f
	}
	return f
}

func newFadeLaw(spanS float64) *fadeLaw {
	f := new(fadeLaw)
	rng := rand.New(rand.NewPCG(1487, uint64(spanS*1e3)))
	n := max(1, int(spanS/sampleS))
	power := make([]float64, n)
	for k := range spans {
		clear(power)
		for range 2 {
			addTap(power, rng)
		}
		for i := range gammas {
			g := math.Pow(10, (gammaLo+float64(i))/10)
			sum := 0.0
			for _, h := range power {
				sum += math.Exp(-g * h)
			}
			f.off[i][k] = 10 * math.Log10(-math.Log(sum/float64(n))/g)
		}
	}
	for i := range f.off {
		slices.Sort(f.off[i][:])
	}
	return f
}

// addTap adds half the power of a tap to each sample: waves of equal strength with the
// frequencies of the Doppler spectrum. Their sum is Gaussian but for 1/tones in the
// fourth moment.
func addTap(power []float64, rng *rand.Rand) {
	const tones = 32
	var ω, φ [tones]float64
	for m := range tones {
		ω[m] = 2 * math.Pi * spreadHz / 2 * rng.NormFloat64()
		φ[m] = 2 * math.Pi * rng.Float64()
	}
	for i := range power {
		var re, im float64
		for m := range tones {
			s, c := math.Sincos(ω[m]*float64(i)*sampleS + φ[m])
			re, im = re+c, im+s
		}
		power[i] += (re*re + im*im) / tones / 2
	}
}

// at is the offset at a rank 0…1 of a span, dB.
func (f *fadeLaw) at(gammaDB, u float64) float64 {
	x := min(max(gammaDB-gammaLo, 0), gammas-1)
	i := min(int(x), gammas-2)
	y := min(max(u*spans-0.5, 0), spans-1)
	k := min(int(y), spans-2)
	wx, wy := x-float64(i), y-float64(k)
	row := func(r *[spans]float64) float64 { return r[k] + wy*(r[k+1]-r[k]) }
	return row(&f.off[i])*(1-wx) + row(&f.off[i+1])*wx
}

// mean is the mean of a function of the offset.
func (f *fadeLaw) mean(gammaDB float64, of func(dB float64) float64) (sum float64) {
	for k := range spans {
		sum += of(f.at(gammaDB, (float64(k)+0.5)/spans))
	}
	return sum / spans
}
