package practice

import (
	"math"
	"slices"

	"farhail/hf/earth"
	"farhail/hf/iono"
)

// A place is a point of the sky with all that does not change with the hour.
type place struct {
	lead      float64 // ℓ − h
	lat       float64 // degrees
	south     bool
	μ         float64 // |modified dip|, degrees
	magnetic  float64 // |geomagnetic latitude|
	law       Law
	sigma     [6]float64 // by block of local time
	bias      [5]float64
	days      [][5]float64 // coefficients of each local day
	onset     []float64    // of each episode, UT hours
	size      []float64
	norm      float64 // of an episode
	packets   []float64
	packetArg []float64
	lost      []float64
	storm     stormLaw
}

// place works out a point when it is first asked for.
func (a *air) place(at earth.Point) *place {
	if p, ok := a.places[at]; ok {
		return p
	}
	p := &place{lat: at.Lat.Deg(), south: at.Lat < 0}
	p.lead = math.Remainder(at.Lon.Deg()-a.centre, 360)/15 + a.centre/15
	p.μ = math.Abs(earth.Modip(a.field.At(at, 300).Dip(), at.Lat.Rad())) * 180 / math.Pi
	p.magnetic = math.Abs(earth.DipoleLatitude(at).Deg())
	p.law = a.w.lawAt(p.μ, a.month, p.south)
	for b := range p.sigma {
		lower, upper := iono.FoF2Deciles(a.month, p.south, p.μ, a.R12, float64(4*b))
		p.sigma[b] = a.sigma * math.Log(upper/lower) / (2 * 1.2816)
	}
	r := position(at)
	s := a.biasOn.spot(r)
	for i, sd := range [5]float64{a.w.Bias, a.w.Bias24, a.w.Bias24, a.w.Bias12, a.w.Bias12} {
		p.bias[i] = sd * a.bias[i].at(&s)
	}
	s = a.patternOn.spot(r)
	p.days = a.patterns(&s, &p.law)
	s = a.episodeOn.spot(r)
	away := max(0, (65-math.Abs(p.lat))*111.2) // km from the auroral zone. [P]: equatorward
	for i := range a.episodes {
		e := &a.episodes[i]
		at := e.ℓ - p.lead
		if e.stormy {
			at = e.h + away/e.kmh
		}
		p.onset, p.size = append(p.onset, at), append(p.size, e.at(&s))
	}
	// ∫ of the square of rise and decay
	p.norm = 1 / math.Sqrt(episodeRate*(riseH/3+p.law.DecayH/2))
	for i := range a.packets {
		k := &a.packets[i]
		p.packets = append(p.packets, k.at(&s))
		p.packetArg = append(p.packetArg, k.k[0]*r[0]+k.k[1]*r[1]+k.k[2]*r[2])
	}
	if p.magnetic >= lostFromDeg {
		s = a.lossOn.spot(r)
		for _, t := range a.lost {
			p.lost = append(p.lost, t.at(&s))
		}
	}
	p.storm = newStormLaw(p.μ, a.month, p.south)
	a.places[at] = p
	return p
}

// lawAt mixes the laws by latitude.
func (w *World) lawAt(μ float64, month int, south bool) Law {
	switch {
	case μ <= 30:
		return w.Low
	case μ >= 55 && winter(month, south):
		return w.Winter
	case μ >= 55:
		return w.High
	}
	x := (μ - 30) / 25
	mix := func(a, b float64) float64 { return a + x*(b-a) }
	l, h := w.Low, w.High
	return Law{mix(l.Pattern, h.Pattern), mix(l.Episodes, h.Episodes), mix(l.Waves, h.Waves), mix(l.Carry, h.Carry), mix(l.DecayH, h.DecayH), false}
}

// winter is November to February, six months on in the south.
func winter(month int, south bool) bool {
	if south {
		month = (month+5)%12 + 1
	}
	return slices.Contains([]int{11, 12, 1, 2}, month)
}

// shares of a pattern's variance: constant, 24 h, 12 h.
var patternShare = [5]float64{0.5, 0.16, 0.16, 0.09, 0.09}

// patterns are the coefficients of each local day.
//
//	c_d = φ c_{d−1} + √(1 − φ²) η_d
func (a *air) patterns(s *spot, law *Law) [][5]float64 {
	n := len(a.days) - patternPast
	out := make([][5]float64, n)
	for j := range 5 {
		share := patternShare[j]
		if law.HalfDays {
			share = [5]float64{0, 0, 0, 0.5, 0.5}[j]
		}
		if share == 0 {
			continue
		}
		φ, c := law.Carry, 0.0
		for d := range a.days {
			η := a.days[d][j].size * a.days[d][j].at(s)
			if c = φ*c + math.Sqrt(1-φ*φ)*η; d == 0 {
				c = η
			}
			if d >= patternPast {
				out[d-patternPast][j] = c * math.Sqrt(share)
			}
		}
	}
	return out
}
