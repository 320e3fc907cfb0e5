package practice

import (
	"math"
	"math/rand/v2"
	"slices"

	"farhail/hf/earth"
	"farhail/hf/iono"
)

// An air is how foF2 of one run departs from the maps, over the world and the hours.
type air struct {
	w                *World
	year, month, day int
	fieldYear        float64 // of the modified dip
	field            *earth.Field
	R12              float64
	centre           float64 // longitude, degrees, about which ℓ is counted
	sigma            float64 // the run's factor on σ
	storm            *disturbance

	biasOn, patternOn, episodeOn, lossOn *fabric

	bias     [5]*thread
	days     [][5]innovation // from the day before the first, patternPast days earlier on
	firstDay int
	episodes []episode
	packets  []packet
	lost     []*thread // by the hour

	places map[earth.Point]*place
}

// An innovation is what a day brings new to one coefficient: heavy-tailed as Student's
// law with eight degrees of freedom.
type innovation struct {
	*thread
	size float64
}

// An episode is a rise of 0.25 h and a decay, of Gaussian size.
type episode struct {
	*thread
	ℓ      float64 // local time at which it comes, everywhere: it drifts with the Sun
	h      float64 // or, in a storm, UT hours at which it leaves the auroral zone
	stormy bool
	kmh    float64 // at which it moves equatorward
}

const (
	riseH       = 0.25
	episodeRate = 1.0 // an hour
	// stormyAp is Ap24 from which episodes come from the auroral zone. Our assumption.
	stormyAp = 30.0
)

// A packet is a train of waves.
type packet struct {
	*thread
	h, lastsH, periodH float64
	phase              float64
	k                  [3]float64 // radians a km
}

// packets: one every 4 h, lasting 2–6 h, periods 45–120 min; their speed 150–250 m/s is
// our assumption.
const packetGapH = 4.0

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

// newAir draws a run. The hours run from 0 to hours, UT of the date.
func newAir(w *World, year, month, day int, hours, R12 float64, centre earth.Point, seed uint64) *air {
	a := &air{w: w, year: year, month: month, day: day, R12: R12, centre: centre.Lon.Deg(), places: map[earth.Point]*place{}}
	rng := stream(seed, streamSky)
	a.fieldYear = [2]float64{1960, 2025}[rng.IntN(2)]
	a.field = earth.FieldAt(a.fieldYear)
	a.sigma = math.Exp(w.SigmaSpread * rng.NormFloat64())
	a.storm = newDisturbance(rng.Float64(), hours+apStep)
	a.biasOn, a.patternOn = newFabric(w.BiasKm, rng), newFabric(w.PatternKm, rng)
	a.episodeOn, a.lossOn = newFabric(w.EpisodeKm, rng), newFabric(w.LossKm, rng)
	for i := range a.bias {
		a.bias[i] = newThread(rng)
	}
	const before = 24                              // h an old episode may still be felt
	lo, hi := a.centre/15-12, hours+a.centre/15+12 // of local time
	a.firstDay = int(math.Floor(lo/24)) - 1
	last := int(math.Floor(hi/24)) + 1
	for range last - a.firstDay + 1 + patternPast {
		var d [5]innovation
		for j := range d {
			d[j] = innovation{newThread(rng), student8(rng)}
		}
		a.days = append(a.days, d)
	}
	for ℓ := lo - before; ; {
		ℓ += rng.ExpFloat64() / episodeRate
		if ℓ > hi {
			break
		}
		e := episode{newThread(rng), ℓ, ℓ, a.storm.Ap24(max(ℓ, -24)) > stormyAp, 3.6 * (300 + 300*rng.Float64())}
		a.episodes = append(a.episodes, e)
	}
	for h := -6.0; ; {
		h += packetGapH * rng.ExpFloat64()
		if h > hours {
			break
		}
		p := packet{thread: newThread(rng), h: h, lastsH: 2 + 4*rng.Float64(), periodH: (45 + 75*rng.Float64()) / 60, phase: 2 * math.Pi * rng.Float64()}
		kmh := 3.6 * (150 + 100*rng.Float64())
		n := math.Inf(1)
		for n > 1 || n < 0.01 {
			for i := range p.k {
				p.k[i] = 2*rng.Float64() - 1
			}
			n = math.Sqrt(p.k[0]*p.k[0] + p.k[1]*p.k[1] + p.k[2]*p.k[2])
		}
		for i := range p.k {
			p.k[i] *= 2 * math.Pi / (n * p.periodH * kmh)
		}
		a.packets = append(a.packets, p)
	}
	a.loseReadings(hours, stream(seed, streamLoss))
	return a
}

// patternPast is how many days back a pattern is carried: 0.55¹⁰ is 0.003.
const patternPast = 10

// student8 is a size that makes a normal variable Student's t of eight degrees of
// freedom with variance 1.
func student8(rng *rand.Rand) float64 {
	χ2 := 0.0
	for range 8 {
		z := rng.NormFloat64()
		χ2 += z * z
	}
	return math.Sqrt(6 / χ2)
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
