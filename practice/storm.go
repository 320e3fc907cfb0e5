package practice

import (
	"math"
	"math/rand/v2"
)

// A stormLaw is how ln foF2 at a place answers disturbance.
type stormLaw struct {
	low, mid, high float64 // weights of the three classes of latitude
	winter         bool
}

func newStormLaw(μ float64, month int, south bool) stormLaw {
	s := stormLaw{winter: winter(month, south)}
	switch {
	case μ <= 20:
		s.low = 1
	case μ < 35:
		s.mid = (μ - 20) / 15
		s.low = 1 - s.mid
	case μ <= 50:
		s.mid = 1
	case μ < 60:
		s.high = (μ - 50) / 10
		s.mid = 1 - s.high
	default:
		s.high = 1
	}
	return s
}

// Change of ln foF2 per +10 of ap, by six hours of local time from midnight.
//
// Source: day_to_day §4 of our notes: low, mean of two stations [V]; high, one station,
// 00–12 LT [V], the other half taken as its mean; middle [M]: −0.05 to −0.10 outside
// winter, half of it in winter. The classes are joined over 15° and 10° of modified dip.
var (
	lowSlope  = [4]float64{0.092, 0.037, 0.043, 0.054}
	midSlope  = -0.075
	highSlope = [4]float64{-0.049, -0.087, -0.068, -0.068}
)

// response is the storm's part of ln foF2.
//
//	x = slope · (Ā − the month's mean)/10,  |x| ≤ 0.6
//
// Ā is the exponential mean of ap, e-folding 60 h equatorward and 24 h poleward of 30°. In
// winter a first phase of about 6 h comes on top, positive, by day: +0.04 for each 10 by
// which the 6 h mean runs ahead of the 24 h mean, at most 0.3. [M], the form is ours.
func (s *stormLaw) response(d *disturbance, h, lt float64) float64 {
	slow, quick := d.at(d.m60, h), d.at(d.mean24, h)
	q := lt/6 - 0.5
	i := int(math.Floor(q))
	w := q - float64(i)
	between := func(t *[4]float64) float64 { return t[(i+4)%4]*(1-w) + t[(i+5)%4]*w }
	mid := midSlope
	if s.winter {
		mid /= 2
	}
	x := s.low*between(&lowSlope)*(slow-d.month)/10 + (s.mid*mid+s.high*between(&highSlope))*(quick-d.month)/10
	if s.winter && s.low < 1 {
		day := max(0, math.Sin((lt-6)*math.Pi/12))
		x += (s.mid + s.high) * day * min(0.3, 0.04*max(0, d.at(d.mean6, h)-quick)/10)
	}
	return min(max(x, -0.6), 0.6)
}

// Lost readings. Poleward of lostFromDeg of geomagnetic latitude a storm takes the F2
// path away: blanketing, absorption, no echo.
const (
	lostFromDeg = 60
	// lostLn is what a lost path leaves of ln foF2: a fifth, too low for anything.
	lostLn = -1.6
)

// lossChance is the chance that there is no F2 path, by Ap24: 0.10, 0.24, 0.56, 0.79 at
// the middles of < 8, 8–15, 15–25, ≥ 25.
//
// Source: day_to_day §4 of our notes [V, one auroral station]; half of it in summer by
// day [M].
func lossChance(Ap24 float64) float64 {
	x, y := [4]float64{4, 11.5, 20, 32}, [4]float64{0.10, 0.24, 0.56, 0.79}
	for i := 1; i < 4; i++ {
		if Ap24 <= x[i] {
			return y[i-1] + (y[i]-y[i-1])*max(0, Ap24-x[i-1])/(x[i]-x[i-1])
		}
	}
	return y[3]
}

// loseReadings draws the pattern of loss hour by hour.
func (a *air) loseReadings(hours float64, rng *rand.Rand) {
	keep := math.Exp(-1 / a.w.LossHours)
	t := newThread(rng)
	for h := 0.0; h <= hours+1; h++ {
		a.lost = append(a.lost, t)
		next := newThread(rng)
		for i := range next {
			next[i] = keep*t[i] + math.Sqrt(1-keep*keep)*next[i]
		}
		t = next
	}
}

// isLost says whether a point has no F2 layer to speak of at an hour.
func (a *air) isLost(p *place, h float64) bool {
	if len(p.lost) < 2 {
		return false
	}
	chance := lossChance(a.storm.Ap24(h))
	lt := h + p.lead
	lt -= 24 * math.Floor(lt/24)
	if summer(a.month, p.south) && lt > 6 && lt < 18 {
		chance /= 2
	}
	i := min(max(int(h), 0), len(p.lost)-2)
	w := min(max(h-float64(i), 0), 1)
	z := p.lost[i]*(1-w) + p.lost[i+1]*w
	keep := math.Exp(-1 / a.w.LossHours)
	z /= math.Sqrt((1-w)*(1-w) + w*w + 2*w*(1-w)*keep)
	return math.Erfc(-z/math.Sqrt2)/2 < chance
}

func summer(month int, south bool) bool { return winter(month, !south) }
