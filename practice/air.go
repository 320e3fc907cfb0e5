package practice

import (
	"math"
	"math/rand/v2"

	"farhail/hf/earth"
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
