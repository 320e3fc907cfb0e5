package practice

import (
	"math"

	"farhail/hf/earth"
)

// joinH is how long before and after midnight one day's pattern passes into the next's.
const joinH = 2.0

// scale is what foF2 is multiplied by at a point and UT hour of the run.
func (a *air) scale(at earth.Point, h float64) float64 {
	p := a.place(at)
	x := a.deviation(p, h)
	if a.isLost(p, h) {
		x += lostLn
	}
	return math.Exp(x)
}

// deviation is x = ln(foF2 / map).
func (a *air) deviation(p *place, h float64) float64 {
	ℓ := h + p.lead
	lt := ℓ - 24*math.Floor(ℓ/24)
	s1, c1 := math.Sincos(lt * math.Pi / 12)
	s2, c2 := 2*s1*c1, c1*c1-s1*s1
	b := &p.bias
	x := b[0] + b[1]*c1 + b[2]*s1 + b[3]*c2 + b[4]*s2

	t := lt / 4
	i := int(t)
	w := t - float64(i)
	σ := p.sigma[i%6]*(1-w) + p.sigma[(i+1)%6]*w
	l := &p.law
	u := math.Sqrt(l.Pattern)*a.pattern(p, ℓ, lt, c1, s1, c2, s2) +
		math.Sqrt(l.Episodes)*a.episodic(p, h) + math.Sqrt(l.Waves)*a.wavy(p, h)
	return x + σ*u + p.storm.response(a.storm, h, lt)
}

// pattern is the day's own course at a local time.
func (a *air) pattern(p *place, ℓ, lt, c1, s1, c2, s2 float64) float64 {
	d := int(math.Floor(ℓ/24)) - a.firstDay
	own := func(d int) float64 {
		c := &p.days[min(max(d, 0), len(p.days)-1)]
		return c[0] + math.Sqrt2*(c[1]*c1+c[2]*s1+c[3]*c2+c[4]*s2)
	}
	other, from := d, 0.0 // share of the way into the other day
	switch {
	case lt < joinH:
		other, from = d-1, (joinH-lt)/(2*joinH)
	case lt > 24-joinH:
		other, from = d+1, (lt-24+joinH)/(2*joinH)
	default:
		return own(d)
	}
	// Weights that keep the variance: the days are alike by φ.
	s, c := math.Sincos(from * math.Pi / 2)
	return (c*own(d) + s*own(other)) / math.Sqrt(1+2*s*c*p.law.Carry)
}

// episodic is the sum of the episodes that are felt, variance 1.
func (a *air) episodic(p *place, h float64) float64 {
	sum := 0.0
	for i, at := range p.onset {
		switch s := h - at; {
		case s <= 0 || s > 8*p.law.DecayH:
		case s < riseH:
			sum += p.size[i] * s / riseH
		default:
			sum += p.size[i] * math.Exp(-(s-riseH)/p.law.DecayH)
		}
	}
	return sum * p.norm
}

// packetNorm makes the waves' variance 1: one packet every 4 h, ∫ of its envelope's
// square 3/8 of 4 h in the mean, half for the wave.
var packetNorm = 1 / math.Sqrt(4*3./8/packetGapH/2)

// wavy is the waves of the packets that pass.
func (a *air) wavy(p *place, h float64) float64 {
	sum := 0.0
	for i := range a.packets {
		k := &a.packets[i]
		s := h - k.h
		if s <= 0 || s >= k.lastsH {
			continue
		}
		e := math.Sin(math.Pi * s / k.lastsH)
		sum += p.packets[i] * e * e * math.Cos(2*math.Pi*s/k.periodH-p.packetArg[i]+k.phase)
	}
	return sum * packetNorm
}
