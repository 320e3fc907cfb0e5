package practice

import (
	"math"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// Over many fabrics the likeness of two places is exp(−d/L), and the variance 1. The
// chord stands for the arc: 1 % at 3,000 km. 3,000 draws: ± 0.04 at two errors.
func TestFabricLaw(t *testing.T) {
	from := earth.At(35, -20)
	for _, d := range []float64{0, 350, 700, 1400, 3000} {
		to := from
		if d > 0 {
			to = earth.Between(from, earth.At(60, 40)).At(unit.Length(d) * unit.Km)
		}
		sum, squares, n := 0.0, 0.0, 3000
		for seed := range uint64(n) {
			rng := stream(seed, streamSky)
			f := newFabric(700, rng)
			th := newThread(rng)
			a, b := f.spot(position(from)), f.spot(position(to))
			x, y := th.at(&a), th.at(&b)
			sum += x * y
			squares += x * x
		}
		if got, want := sum/float64(n), math.Exp(-d/700); math.Abs(got-want) > 0.06 {
			t.Errorf("%g km apart: correlation %.3f, want %.3f ± 0.06", d, got, want)
		}
		if v := squares / float64(n); math.Abs(v-1) > 0.08 {
			t.Errorf("variance %.3f, want 1", v)
		}
	}
}

// The whole sky is alike over hundreds of kilometres and independent beyond an ocean,
// and its spread at a place is the table's, times the run's factor: mean of the square
// exp(2·0.22²).
func TestSkyOverSpace(t *testing.T) {
	from := earth.At(38, -28)
	to := []earth.Point{from, earth.At(40, -27), earth.At(10, 40)}
	var s [3]float64
	own := 0.0
	for seed := range uint64(500) {
		a := quiet(11, 24, from, seed)
		x := a.deviation(a.place(from), 12) - a.biasAt(from, 12)
		for i, at := range to {
			s[i] += x * (a.deviation(a.place(at), 12) - a.biasAt(at, 12)) / 500
		}
		σ := sigma(a, from, 48)
		own += σ * σ / 500
	}
	if r := s[0] / own; math.Abs(r-1) > 0.2 {
		t.Errorf("variance %.4f, of the law %.4f", s[0], own)
	}
	if near, far := s[1]/s[0], s[2]/s[0]; near < 0.6 || math.Abs(far) > 0.2 {
		t.Errorf("correlation over 240 km %.2f, over 7,000 km %.2f", near, far)
	}
}

// biasAt is the part that stays from day to day.
func (a *air) biasAt(at earth.Point, h float64) float64 {
	p := a.place(at)
	s1, c1 := math.Sincos((h + p.lead) * math.Pi / 12)
	s2, c2 := math.Sincos((h + p.lead) * math.Pi / 6)
	b := &p.bias
	return b[0] + b[1]*c1 + b[2]*s1 + b[3]*c2 + b[4]*s2
}
