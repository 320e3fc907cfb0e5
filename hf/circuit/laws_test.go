package circuit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"testing"

	"farhail/hf/earth"
	"farhail/hf/noise"
)

// The law of continuity: whatever is moved, an answer steps only where the method
// changes formula or table cell, and by no more than here. All such places are named;
// 7,000 and 9,000 km, f = fb and the antipode are not among them.

// A spot is a question that can be moved along any of its axes.
type spot struct {
	φ, λ, azimuth float64 // degrees
	dKm           float64 // beyond half the circle: the long way round
	utc, fMHz     float64
	env           noise.Environment
}

var axes = []struct {
	name         string
	lo, hi, step float64
	narrow       float64 // width to which a step is narrowed
	move         func(s *spot, x float64)
}{
	{"distance", 60, 20000, 99.7, 1e-6, func(s *spot, x float64) { s.dKm = x }},
	{"hour", 0, 24, 0.15, 1e-9, func(s *spot, x float64) { s.utc = x }},
	{"frequency", 1.6, 30, 0.1, 1e-9, func(s *spot, x float64) { s.fMHz = x }},
	{"azimuth", 0, 360, 2.5, 1e-9, func(s *spot, x float64) { s.azimuth = x }},
}

// An answer is what the engine makes of a spot.
type answer struct {
	spot
	sky  *Sky
	path Path
	hour Hour
	out  Prediction
}

func (s spot) ask(sky *Sky, a *answer) *answer {
	was := a.spot
	was.utc, was.fMHz = s.utc, s.fMHz
	if was != s || a.sky != sky { // else the path stands
		φ, λ := literalAlong(s.φ, s.λ, s.azimuth, s.dKm)
		c := sample(earth.At(s.φ, s.λ), earth.At(φ, λ))
		c.Noise, c.Long = s.env, s.dKm > math.Pi*r0Km
		a.path.set(sky, c)
	}
	a.spot, a.sky = s, sky
	a.path.At(s.utc, &a.hour)
	b := NewBand(s.fMHz)
	a.hour.Predict(&b, &a.out)
	return a
}

// What is watched: levels in dB, frequencies in per cent.
const (
	inField = iota
	inMUF
	inOperational
	inOWF
	inNoise
	inUpper
	inLower
	watched
)

var watchedNames = [watched]string{"field, dB", "basic MUF, %", "operational MUF, %", "OWF, %", "noise, dB", "upper deviation, dB", "lower deviation, dB"}

func (a *answer) values() [watched]float64 {
	h, r := &a.hour, &a.out
	return [watched]float64{r.Field, 100 * math.Log(h.BasicMUF), 100 * math.Log(h.OperationalMUF), 100 * math.Log(h.OWF), r.Noise, r.Upper - r.SNR, r.SNR - r.Lower}
}

// A branch is a place where the method changes formula: what tells its sides apart, and
// what may step there by how much at most, where the SNR on one side is above −10 dB.
type branch struct {
	name  string
	side  func(a *answer) string
	steps map[int]float64
}

func class(x float64, edges ...float64) string { return fmt.Sprint(sort.SearchFloat64s(edges, x)) }

// each puts together what is to be said of the points of Table 1d.
func (a *answer) each(say func(p *point) string) (s string) {
	for _, p := range tableD(&a.path) {
		s += say(p) + " "
	}
	return s
}

func (a *answer) sun(p *point) float64 { c, _ := a.path.sky.sunAt(p, a.hour.UTC); return c }

var branches = []branch{
	{"2,000 km: control points, order of E", func(a *answer) string { return class(a.path.DKm, eMax) },
		map[int]float64{inField: 11.5, inMUF: 16, inOperational: 5, inOWF: 29, inUpper: 2, inLower: 1.6}},
	{"2,500 km: table of Lh", func(a *answer) string { return class(a.path.DKm, 2500) }, map[int]float64{inField: 6.7}},
	{"4,000 km: control points, no E modes", func(a *answer) string { return class(a.path.DKm, hopMax) }, map[int]float64{inField: 20, inMUF: 55, inOperational: 55, inOWF: 49, inUpper: 3.7, inLower: 2.6}},
	{"n times 4,000 km: hops", func(a *answer) string { return fmt.Sprint(a.path.n0) }, map[int]float64{inField: 8.8, inMUF: 26, inOperational: 26, inOWF: 34, inUpper: 1.6, inLower: 1.9}},
	{"cells of Lh", func(a *answer) string { return fmt.Sprintf("%.9f", a.path.base-a.hour.fixed) }, map[int]float64{inField: 13.2}},
	{"screening: a mode comes or goes", func(a *answer) (s string) {
		for _, m := range a.hour.f2[:a.hour.f2Modes] {
			s += fmt.Sprint(m.fs < a.fMHz)
		}
		return s
	}, map[int]float64{inField: 25}},
	{"mirror at x = 3.33", func(a *answer) (s string) {
		for _, m := range a.hour.mirrors[:a.hour.mirrorN] {
			s += fmt.Sprint(m.daytime)
		}
		return s
	}, map[int]float64{inField: 4.1}},
	{"mirror at xr = 1, 1.71, 3.7", func(a *answer) (s string) {
		for _, m := range a.hour.mirrors[:a.hour.mirrorN] {
			for _, k := range a.hour.f2[:a.hour.f2Modes] {
				s += class(min(a.fMHz, k.fb)/m.foF2, 1, 1.71, 3.7)
			}
		}
		return s
	}, map[int]float64{inField: 2.5}},
	{"Rop: day and night", func(a *answer) string { return class(a.sun(&a.path.m), 0) }, map[int]float64{inOperational: 8.8, inOWF: 8.8}},
	{"Rop: season at the equator", func(a *answer) string { return fmt.Sprint(a.path.south) }, map[int]float64{inOperational: 8.8, inOWF: 23}},
	{"foE at χ = 73°, 90°, latitude 12°, 32°", func(a *answer) string {
		return a.each(func(p *point) string {
			return class(a.sun(p), 0, math.Cos(73/deg)) + class(math.Abs(p.at.Lat.Deg()), 12, 32)
		})
	}, map[int]float64{inField: 1.1, inMUF: 0.15, inOperational: 0.15, inOWF: 0.15, inUpper: 0.05, inLower: 0.05}},
	{"fL at night: begin, three hours", func(a *answer) string {
		l, h := &a.path.long, &a.hour
		if a.path.DKm <= longFromKm {
			return ""
		}
		formula := (l.rootAt(a.path.sky, h.UTC) - h.fHLong) * l.Aw
		return fmt.Sprint(formula > 2*l.fLN, h.fL == l.fLN, h.fL == formula)
	}, map[int]float64{inField: 20.5}},
	{"factor I of fL: an end at 35°", func(a *answer) string {
		return fmt.Sprint(a.path.DKm > longFromKm, zone(a.path.From.Lat.Deg()), zone(a.path.To.Lat.Deg()))
	}, map[int]float64{inField: 1.8}},
	{"foF2 deciles: cells, point that decides", func(a *answer) string {
		_, p, q := f2At(&a.hour)
		low, _ := a.path.sky.deciles(&a.path.m, a.hour.UTC)
		if n := a.path.n0; n > 1 {
			end := &a.path.pair[n].p
			if q.muf(min(q.dmax, hopMax)) < p.muf(min(p.dmax, hopMax)) {
				end = &a.path.pair[n].q
			}
			low, _ = a.path.sky.deciles(end, a.hour.UTC)
		}
		return fmt.Sprint(low)
	}, map[int]float64{inOWF: 30}},
	{"galactic noise at foF2", func(a *answer) string { return fmt.Sprint(a.fMHz >= a.hour.foF2Rx) }, map[int]float64{inNoise: 3.1, inUpper: 0.9, inLower: 0.7}},
	{"noise at the equator", func(a *answer) string { return fmt.Sprint(a.path.To.Lat < 0) }, map[int]float64{inNoise: 4.5, inUpper: 1.9, inLower: 1.6}},
	{"noise: Du passes 12 dB", func(a *answer) string {
		b := noise.NewBand(a.fMHz)
		n, _, _, _ := a.path.site.Atmospheric(a.hour.UTC, &b)
		return class(n.Du, 12)
	}, map[int]float64{inNoise: 1.9, inLower: 0.8}},
	{"P.842 at 60°", func(a *answer) string { return fmt.Sprint(a.hour.high) }, map[int]float64{inUpper: 2.6, inLower: 3.4}},
}

// narrow closes in on the larger half of what one watched value changes between two
// spots until it fades below least or the width is reached. It leaves the two sides in
// the first two of its answers.
func narrow(ask func(x float64, a *answer) *answer, of *[3]*answer, lo, hi, width, least float64, w int) (at, size float64) {
	va, vb := ask(lo, of[0]).values()[w], ask(hi, of[1]).values()[w]
	for hi-lo > width && math.Abs(vb-va) > least {
		x := (lo + hi) / 2
		if v := ask(x, of[2]).values()[w]; math.Abs(v-va) > math.Abs(vb-v) {
			hi, vb = x, v
			of[1], of[2] = of[2], of[1]
		} else {
			lo, va = x, v
			of[0], of[2] = of[2], of[0]
		}
	}
	return lo, math.Abs(vb - va)
}

func TestContinuity(t *testing.T) {
	rounds := 30
	if testing.Short() {
		rounds = 4
	}
	const least = 0.02 // dB or per cent: smaller steps are not looked for
	rng := rand.New(rand.NewPCG(1, 2))
	sizes := make([][watched]misses, len(branches))
	sides := [3]*answer{new(answer), new(answer), new(answer)}
	for range rounds {
		date := Date{2000 + rng.IntN(26), 1 + rng.IntN(12), 0}
		sky := NewSky(date, Constant(150*rng.Float64()), Field)
		for _, x := range axes {
			p := randomPoint(rng)
			s := spot{p.Lat.Deg(), p.Lon.Deg(), 360 * rng.Float64(), 60 * math.Pow(300, rng.Float64()), 24 * rng.Float64(), 2 * math.Pow(15, rng.Float64()), noise.Environment(rng.IntN(4))}
			ask := func(at float64, a *answer) *answer { m := s; x.move(&m, at); return m.ask(sky, a) }
			here := new(answer)
			before := ask(x.lo, here).values()
			heard := here.out.Arrives()
			for at := x.lo; at+x.step <= x.hi+1e-9; at += x.step {
				now := ask(at+x.step, here).values()
				was := heard
				heard = here.out.Arrives()
				for w := range watched {
					if !was || !heard || math.Abs(now[w]-before[w]) < least {
						continue
					}
					where, size := narrow(ask, &sides, at, at+x.step, x.narrow, least, w)
					a, b := sides[0], sides[1]
					if size < least || !a.out.Arrives() || !b.out.Arrives() {
						continue
					}
					i := slices.IndexFunc(branches, func(br branch) bool { _, may := br.steps[w]; return may && br.side(a) != br.side(b) })
					if i < 0 {
						t.Errorf("%+v %+v: %s steps by %.3g at %s %.9g, where no branch is", date, s, watchedNames[w], size, x.name, where)
						continue
					}
					if max(a.out.SNR, b.out.SNR) > -10 {
						sizes[i][w].add(size)
					}
				}
				before = now
			}
		}
	}
	table := "\n| step | of | seen | rms | at most |\n|---|---|---|---|---|\n"
	for i, br := range branches {
		for w := range watched {
			limit, may := br.steps[w]
			m := &sizes[i][w]
			if !may || m.n == 0 {
				continue
			}
			table += fmt.Sprintf("| %s | %s | %.0f | %.2g | %.2g |\n", br.name, watchedNames[w], m.n, m.rms(), m.most)
			if m.most > limit {
				t.Errorf("%s: %s steps by up to %.3g, was %.3g", br.name, watchedNames[w], m.most, limit)
			}
		}
	}
	t.Log(table)
}
