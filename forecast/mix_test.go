package forecast

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"farhail/hf/ground"
	"farhail/modem"
	"farhail/unit"
)

func someWay(sky, along float64) way {
	return way{sky: sky, ground: along, day: [2]float64{8, 12}, noise: [2]float64{5, 6}, site: 5.8}
}

// Where one wave is far stronger the other does not matter: the ground wave alone moves
// with the noise only and does not fade, the sky wave alone is what it is without a ground.
func TestMixLimits(t *testing.T) {
	alone, along := someWay(12, -70), someWay(-60, 12)
	none := someWay(12, math.Inf(-1))
	for _, z := range StateZ {
		a, fa := alone.dist(z, 0)
		b, fb := none.dist(z, 0)
		if math.Abs(float64(a.Median-b.Median)) > 1e-3 || math.Abs(float64(a.Upper-b.Upper)) > 1e-3 || math.Abs(float64(a.Lower-b.Lower)) > 1e-3 || fb != 1 || math.Abs(fa-1) > 1e-3 {
			t.Errorf("state %g: sky 82 dB over the ground wave %+v, fading %g; without one %+v, %g", z, a, fa, b, fb)
		}
		g, fg := along.dist(z, 0)
		if math.Abs(float64(g.Median)-12) > 1e-3 || math.Abs(float64(g.Upper)-math.Hypot(5, 5.8)) > 1e-3 || math.Abs(float64(g.Lower)-math.Hypot(6, 5.8)) > 1e-3 || fg > 1e-3 {
			t.Errorf("state %g: ground wave 72 dB over the sky %+v, fading %g", z, g, fg)
		}
	}
}

// Nothing steps as the sky wave rises through the ground wave, and its fading only grows.
func TestMixIsContinuous(t *testing.T) {
	before := someWay(-40, 10)
	last, fades := before.dist(0, 0)
	for sky := -39.9; sky < 60; sky += 0.1 {
		v := someWay(sky, 10)
		d, f := v.dist(0, 0)
		if f < fades-1e-12 || math.Abs(f-fades) > 0.02 || math.Abs(float64(d.Median-last.Median)) > 0.15 || d.Median < last.Median-1e-9 ||
			math.Abs(float64(d.Upper-last.Upper)) > 0.15 || math.Abs(float64(d.Lower-last.Lower)) > 0.15 {
			t.Errorf("sky %.1f, ground 10 dB: %+v fading %.4f, 0.1 dB before %+v, %.4f", sky, d, f, last, fades)
		}
		last, fades = d, f
	}
}

// The deciles against drawn days, the independent road: a sky that moves by its own
// deciles, a steady ground wave, noise and site on both. To 1.1 dB: adding deciles in squares
// leaves out that a lopsided sum moves its median, with and without a ground wave.
func TestMixAgainstDrawnDays(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 13))
	half := func(up, down float64) float64 {
		z := rng.NormFloat64()
		if z > 0 {
			return z / 1.2816 * up
		}
		return z / 1.2816 * down
	}
	stays := math.Sqrt(1 - dayShare*dayShare)
	for _, over := range []float64{-15, -5, 0, 5, 15} {
		v := someWay(10, 10+over)
		d, _ := v.dist(0, 0)
		const n = 40000
		snr := make([]float64, n)
		for i := range snr {
			sky := v.sky + half(stays*v.day[0], stays*v.day[1])
			snr[i] = ground.Mixture(v.ground, sky).At50DBW + half(v.noise[0], v.noise[1]) + half(v.site, v.site)
		}
		slices.Sort(snr)
		for _, q := range []struct {
			share, got float64
		}{{0.1, float64(d.Median - d.Lower)}, {0.5, float64(d.Median)}, {0.9, float64(d.Median + d.Upper)}} {
			if want := snr[int(q.share*n)]; math.Abs(q.got-want) > 1.1 {
				t.Errorf("ground wave %+g dB over the sky: %.0f %% of days under %.2f dB, drawn %.2f", over, 100*q.share, q.got, want)
			}
		}
	}
}

// What is promised lies between the fading and the steady link, and without a steady one
// it is the fading link's.
func TestCellBetweenFadingAndSteady(t *testing.T) {
	q := request()
	p := prospect(t, q)
	c := &p.Channels[2]
	poor := c.Links[0]
	steady, err := find(nil, poor.Waveform)
	if err != nil {
		t.Fatal(err)
	}
	l := links{poor, steady.Over(c.Distance, modem.AWGN)}
	work := func(l links, along float64) (cell Cell) {
		c.work(&cell, l, moment{someWay(14, along), someWay(14, along)}, 3*unit.KHz)
		return cell
	}
	at := someWay(14, 14)
	_, fades := at.dist(0, 0)
	mix, fading, still := work(l, 14), work(links{fading: poor}, 14), work(links{fading: l.steady}, 14)
	if !(fading.Connect[1] < mix.Connect[1] && mix.Connect[1] < still.Connect[1]) {
		t.Errorf("chance fading %.4f, ground and sky as strong %.4f, steady %.4f", fading.Connect[1], mix.Connect[1], still.Connect[1])
	}
	if want := fades*fading.Connect[1] + (1-fades)*still.Connect[1]; math.Abs(mix.Connect[1]-want) > 1e-12 {
		t.Errorf("chance %.6f, by hand %.6f", mix.Connect[1], want)
	}
	if want := fades*fading.Rate[1][2] + (1-fades)*still.Rate[1][2]; math.Abs(mix.Rate[1][2]-want) > 1e-9*want {
		t.Errorf("rate %.3f, by hand %.3f", mix.Rate[1][2], want)
	}
	sum := 0.0
	for _, w := range mix.Weight[1] {
		sum += w
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("weights sum to %g", sum)
	}
}
