package practice

import (
	"math"
	"math/rand/v2"
	"slices"
)

// A keeper is a far station's day: when it is off the air, when it talks to others.
type keeper struct {
	away, busy []stretch // hours, in order
}

type stretch struct{ from, to float64 }

func off(s []stretch, h float64) bool {
	return slices.ContainsFunc(s, func(x stretch) bool { return h >= x.from && h < x.to })
}

// newKeeper draws a station's day: absences with exponential lengths between, of a mean
// share drawn for the run; busy spells likewise, more of them in the evening.
func newKeeper(w *World, hours, lead float64, rng *rand.Rand) (k keeper) {
	there := min(max(beta(w.ThereA, w.ThereB, rng), 0.02), 0.998)
	gone := rng.Float64() > there
	for h := 0.0; h < hours; {
		mean := w.AwayHours
		if !gone {
			mean *= there / (1 - there)
		}
		to := h + mean*rng.ExpFloat64()
		if gone {
			k.away = append(k.away, stretch{h, to})
		}
		h, gone = to, !gone
	}
	// Spells begin at a rate that makes them take up the share they should; drawn at the
	// highest rate and thinned.
	length := w.BusyMinutes / 60
	highest := min(w.Busy*(1+w.BusyEvening), 0.95)
	rate := func(share float64) float64 { return share / (1 - share) / length }
	for h := -2.0; h < hours; {
		h += rng.ExpFloat64() / rate(highest)
		keep, lasts := rng.Float64(), length*rng.ExpFloat64()
		share := min(w.Busy*(1+w.BusyEvening*math.Cos((h+lead-20)*math.Pi/12)), highest)
		if keep < rate(share)/rate(highest) {
			k.busy = append(k.busy, stretch{h, h + lasts})
			h += lasts
		}
	}
	return k
}

// A fadeout is absorption after a solar flare.
type fadeout struct {
	h, lastsH float64
	dB        float64 // peak at 10 MHz under an overhead sun
}

func newFadeouts(w *World, hours, R12 float64, rng *rand.Rand) (out []fadeout) {
	rate := w.Fadeouts / 24 * max(R12, 5) / 100
	if rate <= 0 {
		return nil
	}
	for h := -2.0; ; {
		if h += rng.ExpFloat64() / rate; h > hours {
			return out
		}
		out = append(out, fadeout{h, w.FadeoutMin / 60 * rng.ExpFloat64(), w.FadeoutDB * rng.ExpFloat64()})
	}
}

// lossOf is the absorption at an hour on a frequency, the Sun at cos χ over the middle
// of the path: a rise of five minutes, an exponential decay, falling as f^−1.5.
//
// Source: common practice, from memory, medium (the exponent lies between 1 and 2).
func lossOf(f []fadeout, h, fMHz, cosχ float64) (dB float64) {
	const riseH = 5. / 60
	if cosχ <= 0 {
		return 0
	}
	for i := range f {
		s := h - f[i].h
		if s <= 0 {
			continue
		}
		v := f[i].dB * math.Pow(cosχ, 0.75) * math.Pow(10/fMHz, 1.5)
		if s < riseH {
			dB += v * s / riseH
		} else {
			dB += v * math.Exp(-(s-riseH)/max(f[i].lastsH, 1e-3))
		}
	}
	return dB
}
