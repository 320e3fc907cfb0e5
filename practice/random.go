package practice

import (
	"math"
	"math/rand/v2"
)

// Streams of random numbers of a run, one for each part of the world, so that more of
// one changes nothing in another.
const (
	streamSky = iota + 1
	streamLoss
	streamIndex
	streamSites
	streamSlow
	streamFadeouts
	streamStations
	streamCalls
)

func stream(seed uint64, part int) *rand.Rand {
	return rand.New(rand.NewPCG(seed, uint64(part)*0x9e3779b97f4a7c15))
}

// A drift is a Gaussian series of variance 1 that forgets exponentially, on an even grid.
type drift struct {
	step float64
	v    []float64
}

func newDrift(τ, step, until float64, rng *rand.Rand) drift {
	d := drift{step: step}
	keep := math.Exp(-step / τ)
	z := rng.NormFloat64()
	for t := 0.0; t <= until+step; t += step {
		d.v = append(d.v, z)
		z = keep*z + math.Sqrt(1-keep*keep)*rng.NormFloat64()
	}
	return d
}

func (d *drift) at(t float64) float64 {
	x := min(max(t/d.step, 0), float64(len(d.v)-1))
	i := min(int(x), len(d.v)-2)
	return d.v[i] + (d.v[i+1]-d.v[i])*(x-float64(i))
}

// gamma draws from the gamma law of whole shape n, scale 1.
func gamma(n float64, rng *rand.Rand) float64 {
	sum := 0.0
	for range int(n) {
		sum += rng.ExpFloat64()
	}
	return sum
}

// beta draws from the Beta law of whole a and b.
func beta(a, b float64, rng *rand.Rand) float64 {
	x, y := gamma(a, rng), gamma(b, rng)
	return x / (x + y)
}
