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
	"farhail/unit"
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
	continuity(t, rounds, Options{})
}

func continuity(t *testing.T, rounds int, o Options) {
	t.Helper()
	const least = 0.02 // dB or per cent: smaller steps are not looked for
	rng := rand.New(rand.NewPCG(1, 2))
	sizes := make([][watched]misses, len(branches))
	sides := [3]*answer{new(answer), new(answer), new(answer)}
	for range rounds {
		date := Date{2000 + rng.IntN(26), 1 + rng.IntN(12), 0}
		sky := NewSkyWith(date, Constant(150*rng.Float64()), Field, o)
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

// Where the method joins its parts nothing steps: at 7,000 and 9,000 km, and where the
// frequency passes the basic MUF (in strict there is the step of 5 dB).
func TestNoStepWherePartsJoin(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 9))
	var below, above answer
	passed := 0
	for range 300 {
		p := randomPoint(rng)
		sky := NewSky(Date{2000 + rng.IntN(26), 1 + rng.IntN(12), 0}, Constant(150*rng.Float64()), Field)
		s := spot{p.Lat.Deg(), p.Lon.Deg(), 360 * rng.Float64(), 0, 24 * rng.Float64(), 2 * math.Pow(15, rng.Float64()), noise.Rural}
		for _, dKm := range []float64{longFromKm, longOnlyKm} {
			s.dKm = dKm - 1e-5
			a := s.ask(sky, &below).values()
			s.dKm = dKm + 1e-5
			b := s.ask(sky, &above).values()
			for w := range watched {
				if below.out.Arrives() && above.out.Arrives() && !near(a[w], b[w], 1e-3) {
					t.Errorf("%+v: %s %.6f just below %g km, %.6f just above", s, watchedNames[w], a[w], dKm, b[w])
				}
			}
		}
		s.dKm = 6900 * rng.Float64()
		muf := s.ask(sky, &below).hour.BasicMUF
		s.fMHz = muf * (1 - 1e-10)
		a := s.ask(sky, &below).values()
		s.fMHz = muf * (1 + 1e-10)
		if b := s.ask(sky, &above).values(); below.out.Arrives() {
			passed++
			if !near(a[inField], b[inField], 2e-3) { // 36 √1e-10 is 4e-4 dB a mode
				t.Errorf("%+v: field %.6f dB just below the MUF of %.6f MHz, %.6f just above", s, a[inField], muf, b[inField])
			}
		}
	}
	if passed < 250 {
		t.Errorf("only %d of 300 arrive at the MUF", passed)
	}
}

// both returns every circuit of the mixed deck and, beyond 4,000 km, the long way too.
func both(n int) []Circuit {
	cs := mixed(n)
	for _, c := range cs[:n] {
		if earth.Between(c.From, c.To).D > 4000*unit.Km {
			c.Long = true
			cs = append(cs, c)
		}
	}
	return cs
}

// predictions runs circuits over the same hours and frequencies, ends exchanged or not.
func predictions(t *testing.T, b *Batch, cs []Circuit) ([]Prediction, []Summary) {
	t.Helper()
	out, hours := make([]Prediction, b.Size(len(cs))), make([]Summary, len(cs)*len(b.Hours))
	if err := b.Run(cs, out, hours); err != nil {
		t.Fatal(err)
	}
	return out, hours
}

func near(a, b, tolerance float64) bool {
	return a == b || math.Abs(a-b) <= tolerance || math.IsNaN(a) && math.IsNaN(b)
}

// The sky does not know which end sends: MUFs, mode, elevation, field and delay are the
// same both ways. The noise is the receiver's own.
func TestReciprocity(t *testing.T) {
	for month, r := range map[int]Reading{1: Field, 7: Strict} { // months in which I of fL differs from 1
		b := &Batch{Sky: NewSky(Date{2024, month, 0}, Constant(110), r), Hours: []float64{0.3, 5.3, 11.3, 18.3}, Bands: benchBatch().Bands}
		there := both(150)
		back := slices.Clone(there)
		for i, c := range there {
			back[i].From, back[i].To = c.To, c.From
		}
		p, ph := predictions(t, b, there)
		q, qh := predictions(t, b, back)
		heard := 0
		for i := range p {
			x, y := &p[i], &q[i]
			if x.Arrives() {
				heard++
			}
			if x.Mode != y.Mode || !near(x.Field, y.Field, 1e-7) || !near(x.ElevationDeg, y.ElevationDeg, 1e-7) || !near(x.DelaySpread, y.DelaySpread, 1e-9) {
				t.Errorf("%s, %+v, case %d: there %+v, back %+v", r.Name, there[i/len(b.Hours)/len(b.Bands)], i, *x, *y)
			}
		}
		for i := range ph {
			x, y := ph[i], qh[i]
			if !near(x.BasicMUF, y.BasicMUF, 1e-9) || !near(x.OperationalMUF, y.OperationalMUF, 1e-9) || !near(x.OWF, y.OWF, 1e-9) {
				t.Errorf("%s, %+v: MUFs there %v, back %v", r.Name, there[i/len(b.Hours)], x, y)
			}
		}
		if heard < len(p)/2 {
			t.Errorf("%s: only %d of %d cases arrive", r.Name, heard, len(p))
		}
	}
}

// What is asked of the link: decibels of power and bandwidth pass through one for one,
// the basic MUF knows neither, Rop grows by a step where the e.i.r.p. passes 30 dBW;
// reliability lies in 0…1, rises with power and falls with what is needed. In a city the
// median of all noise may come out lower than in the country, by the log-normal sum of
// P.372 with its upper set, but by no more than this.
func TestPowerBandwidthAndNeed(t *testing.T) {
	b := benchBatch()
	b.Hours = []float64{2, 9, 15, 21}
	cs := both(60)
	base, baseHours := predictions(t, b, cs)
	change := func(f func(c *Circuit)) ([]Prediction, []Summary) {
		other := slices.Clone(cs)
		for i := range other {
			f(&other[i])
		}
		return predictions(t, b, other)
	}
	double, _ := change(func(c *Circuit) { c.Power *= 2 })
	wide, _ := change(func(c *Circuit) { c.Bandwidth *= 2 })
	noisier, _ := change(func(c *Circuit) { c.Noise = noise.City })
	strong, strongHours := change(func(c *Circuit) { c.Power *= 100 })
	twice, fall := 10*math.Log10(2), 0.0
	for i := range base {
		x := &base[i]
		if !x.Arrives() {
			continue
		}
		if !near(double[i].SNR, x.SNR+twice, 1e-9) || !near(double[i].Field, x.Field+twice, 1e-9) || !near(strong[i].SNR, x.SNR+20, 1e-9) {
			t.Errorf("case %d: SNR %.9f, at twice the power %.9f, at a hundred times %.9f", i, x.SNR, double[i].SNR, strong[i].SNR)
		}
		if !near(wide[i].Noise, x.Noise+twice, 1e-9) || !near(wide[i].SNR, x.SNR-twice, 1e-9) {
			t.Errorf("case %d: SNR %.9f, in twice the bandwidth %.9f", i, x.SNR, wide[i].SNR)
		}
		if double[i].Reliability < x.Reliability || wide[i].Reliability > x.Reliability || x.Reliability < 0 || x.Reliability > 1 {
			t.Errorf("case %d: reliability %g, at twice the power %g, in twice the bandwidth %g", i, x.Reliability, double[i].Reliability, wide[i].Reliability)
		}
		fall = max(fall, x.Noise-noisier[i].Noise)
	}
	t.Logf("median noise in a city lower by up to %.2f dB", fall)
	if fall > 0.7 {
		t.Errorf("median noise in a city lower by up to %.2f dB, was 0.6", fall)
	}
	for i, x := range baseHours {
		y := strongHours[i]
		if y.BasicMUF != x.BasicMUF || y.OperationalMUF < x.OperationalMUF || y.OperationalMUF > x.OperationalMUF+0.05*x.BasicMUF+1e-9 {
			t.Errorf("hour %d: MUFs %+v with 20 dBW, %+v with 40 dBW", i, x, y)
		}
	}
	last := base
	for need := -40.0; need <= 60; need += 7 {
		now, _ := change(func(c *Circuit) { c.NeedSNR = unit.DB(need) })
		for i := range now {
			if need > -40 && now[i].Reliability > last[i].Reliability {
				t.Errorf("case %d: reliability rises to %g for %g dB, from %g for 7 dB less", i, now[i].Reliability, need, last[i].Reliability)
			}
		}
		last = now
	}
}

// The LUF is the first rung that carries, and rises with what is needed; no mode is
// stronger than the sum; what digital systems ask for more can only take away.
func TestLUFAndModes(t *testing.T) {
	sky := NewSky(Date{2022, 1, 0}, Constant(80), Field)
	found := 0
	for i, c := range both(24) {
		p := sky.Path(c)
		var h Hour
		p.At(float64(i), &h)
		last := 0.0
		for _, need := range []unit.DB{-20, 0, 12, 30} {
			p.NeedSNR = need
			luf, ok := h.LUF()
			if !ok {
				last = math.Inf(1)
				continue
			}
			found++
			b, below := NewBand(luf), NewBand(luf-0.1)
			var r Prediction
			if h.Predict(&b, &r); luf < last || r.SNR < float64(need) {
				t.Errorf("%+v: LUF %g MHz for %g dB, %g for less; SNR there %g", c, luf, float64(need), last, r.SNR)
			}
			if h.Predict(&below, &r); luf > 2 && r.SNR >= float64(need) {
				t.Errorf("%+v: LUF %g MHz for %g dB, but %g dB a tenth below", c, luf, float64(need), r.SNR)
			}
			last = luf
		}
		for _, f := range []float64{3.5, 7, 14, 21} {
			b := NewBand(f)
			var r Prediction
			var s sum
			h.Predict(&b, &r)
			h.add(&s, &b)
			most := 0.0
			for _, e := range s.e[:s.n] {
				most = max(most, e)
			}
			if most != s.best || s.best > s.field || s.field > float64(s.n)*s.best*(1+1e-12) {
				t.Errorf("%+v, %g MHz: strongest %g of %d modes that sum to %g", c, f, s.best, s.n, s.field)
			}
			if d := h.Digital(&b, Window{TimeMs: 1, SpreadHz: 1, RatioDB: 10}); d.Overall > d.Basic || d.Basic > r.Reliability+1e-12 && p.DKm <= longFromKm {
				t.Errorf("%+v, %g MHz: reliability %g, digital %+v", c, f, r.Reliability, d)
			}
		}
	}
	if found < 30 {
		t.Errorf("only %d LUFs found", found)
	}
}

// Choice 5: IG12 drives foF2 and M(3000)F2, R12 all else; an index below zero goes on
// falling; in strict IG12 drives nothing.
func TestDrivers(t *testing.T) {
	at := earth.At(47, 11)
	look := func(IG12, R12 float64, r Reading) (Overhead, Prediction) {
		s := NewSky(Date{2020, 4, 0}, func(int, int) (float64, float64) { return IG12, R12 }, r)
		p := s.Path(sample(at, earth.At(41, 2)))
		var h Hour
		p.At(11, &h)
		b := NewBand(5.35)
		var out Prediction
		h.Predict(&b, &out)
		return s.Overhead(at, 11), out
	}
	base, heard := look(60, 60, Field)
	ig, igHeard := look(90, 60, Field)
	r12, r12Heard := look(60, 90, Field)
	if ig.FoF2MHz <= base.FoF2MHz || ig.M3000F2 == base.M3000F2 || ig.FoEMHz != base.FoEMHz || ig.FoEsMHz != base.FoEsMHz {
		t.Errorf("IG12 60 to 90: %+v to %+v", base, ig)
	}
	if r12.FoF2MHz != base.FoF2MHz || r12.M3000F2 != base.M3000F2 || r12.FoEMHz <= base.FoEMHz || r12.HmF2Km == base.HmF2Km {
		t.Errorf("R12 60 to 90: %+v to %+v", base, r12)
	}
	if r12Heard.Field >= heard.Field || math.Abs(igHeard.Field-heard.Field) > math.Abs(r12Heard.Field-heard.Field) {
		t.Errorf("field at 5.35 MHz by day %.2f, more IG12 %.2f, more R12 (absorption) %.2f dB", heard.Field, igHeard.Field, r12Heard.Field)
	}
	for _, o := range []float64{-20, 0, 20} {
		x, _ := look(o, o, Field)
		y, _ := look(o-0.001, o, Field)
		if x.FoF2MHz <= y.FoF2MHz {
			t.Errorf("foF2 at index %g is %g MHz, a little below it %g", o, x.FoF2MHz, y.FoF2MHz)
		}
	}
	a, _ := look(60, 60, Strict)
	b, _ := look(160, 60, Strict)
	if a != b {
		t.Errorf("strict moves with IG12: %+v to %+v", a, b)
	}
}

// One moment and one place under two names: midnight at both ends of the day, the date
// line, the pole at any longitude, the middle of a month by its day.
func TestSameMomentSamePlace(t *testing.T) {
	sky := NewSky(Date{2026, 6, 0}, Constant(80), Field)
	named := NewSky(Date{2026, 6, 15}, Constant(80), Field)
	ask := func(s *Sky, from, to earth.Point, utc float64) (Hour, Prediction) {
		p := s.Path(sample(from, to))
		var h Hour
		p.At(utc, &h)
		b := NewBand(7.1)
		var r Prediction
		h.Predict(&b, &r)
		return h, r
	}
	for i, c := range both(60) {
		from, to := c.From, c.To
		a, x := ask(sky, from, to, 0)
		for what, again := range map[string]func() (Hour, Prediction){
			"24 h":                 func() (Hour, Prediction) { return ask(sky, from, to, 24) },
			"another turn":         func() (Hour, Prediction) { return ask(sky, earth.At(from.Lat.Deg(), from.Lon.Deg()-360), to, 0) },
			"day 15":               func() (Hour, Prediction) { return ask(named, from, to, 0) },
			"a hair over the line": func() (Hour, Prediction) { return ask(sky, from, earth.At(to.Lat.Deg(), to.Lon.Deg()+1e-12), 0) },
		} {
			if b, y := again(); !near(a.BasicMUF, b.BasicMUF, 1e-8) || x.Mode != y.Mode || !near(x.Field, y.Field, 1e-7) || !near(x.Noise, y.Noise, 1e-7) {
				t.Errorf("circuit %d %+v, %s: %.9f MHz %+v, was %.9f MHz %+v", i, c, what, b.BasicMUF, y, a.BasicMUF, x)
			}
		}
	}
	for _, pole := range []float64{90, -90} { // 11 m off, walked round
		for i, c := range mixed(60) {
			a, x := ask(sky, earth.At(pole, 0), c.To, 13)
			b, y := ask(sky, earth.At(pole, 137), c.To, 13)
			if !near(a.BasicMUF, b.BasicMUF, 1e-3) || x.Mode == y.Mode && !near(x.Field, y.Field, 0.02) {
				t.Errorf("circuit %d, %v from the pole at 0° E: %.6f MHz, %.6f dB; at 137° E %.6f, %.6f", i, c.To, a.BasicMUF, x.Field, b.BasicMUF, y.Field)
			}
		}
	}
	for _, lat := range []float64{-60, 0, 35} { // a path ending on the date line
		a, x := ask(sky, earth.At(10, 150), earth.At(lat, 180), 5)
		b, y := ask(sky, earth.At(10, 150), earth.At(lat, -180), 5)
		if !near(a.BasicMUF, b.BasicMUF, 1e-9) || !near(x.SNR, y.SNR, 1e-7) {
			t.Errorf("to %g°, 180° E: %.9f MHz %.9f dB; 180° W: %.9f MHz %.9f dB", lat, a.BasicMUF, x.SNR, b.BasicMUF, y.SNR)
		}
	}
}

// Through the antipode the short way becomes the long one: nothing steps, and at the
// point itself, where every direction is as good, the answer is finite.
func TestAntipode(t *testing.T) {
	sky := NewSky(Date{2025, 3, 0}, Constant(90), Field)
	rng := rand.New(rand.NewPCG(3, 4))
	var short, long answer
	for range 40 {
		p := randomPoint(rng)
		s := spot{p.Lat.Deg(), p.Lon.Deg(), 360 * rng.Float64(), math.Pi*r0Km - 0.01, 24 * rng.Float64(), 14, noise.Rural}
		s.ask(sky, &short)
		s.dKm += 0.02
		s.ask(sky, &long)
		a, b := short.values(), long.values()
		if !long.path.Long || short.path.Long || !near(a[inField], b[inField], 0.01) || !near(a[inMUF], b[inMUF], 0.01) {
			t.Errorf("%+v: short way %.4f dB, MUF %.4f MHz; long way %.4f dB, %.4f MHz", s, a[inField], short.hour.BasicMUF, b[inField], long.hour.BasicMUF)
		}
		opposite := earth.At(-s.φ, s.λ+180)
		for _, way := range []bool{false, true} {
			c := sample(p, opposite)
			c.Long = way
			var h Hour
			sky.Path(c).At(s.utc, &h)
			if x := h.BasicMUF; !(x > 2 && x < 60) {
				t.Errorf("%v to its antipode: MUF %g MHz", p, x)
			}
		}
	}
}

// From one day to the next the sky changes no faster across the end of a month than
// within it; what is made for a month at a time, seasons and factors, steps there.
func TestMonthByDay(t *testing.T) {
	ends := map[string]*misses{}
	within := map[string]*misses{}
	cs := anyLength(40)
	bands := []Band{NewBand(3.6), NewBand(7.1), NewBand(14.1)}
	var old, now answer
	for i, c := range cs {
		month := 1 + i%12
		last := int(earth.JulianDay(2023+month/12, month%12+1, 1) - earth.JulianDay(2023, month, 1))
		days := []Date{{2023, month, last - 2}, {2023, month, last - 1}, {2023, month, last}, {2023 + month/12, month%12 + 1, 1}, {2023 + month/12, month%12 + 1, 2}}
		for k := 1; k < len(days); k++ {
			into := within
			if days[k].Month != days[k-1].Month {
				into = ends
			}
			add := func(what string, x float64) {
				if into[what] == nil {
					into[what] = new(misses)
				}
				into[what].add(x)
			}
			yesterday, today := NewSky(days[k-1], observed, Field), NewSky(days[k], observed, Field)
			p, q := yesterday.Path(c), today.Path(c)
			for utc := 0.5; utc < 24; utc += 4 {
				x, y := yesterday.Overhead(c.From, utc), today.Overhead(c.From, utc)
				add("foF2, MHz", y.FoF2MHz-x.FoF2MHz)
				add("M(3000)F2", y.M3000F2-x.M3000F2)
				add("foE, MHz", y.FoEMHz-x.FoEMHz)
				p.At(utc, &old.hour)
				q.At(utc, &now.hour)
				u, v := old.values(), now.values()
				for w := inMUF; w <= inOWF; w++ {
					add(watchedNames[w], v[w]-u[w])
				}
				for j := range bands {
					old.hour.Predict(&bands[j], &old.out)
					now.hour.Predict(&bands[j], &now.out)
					add(watchedNames[inNoise], now.out.Noise-old.out.Noise)
					if old.out.Arrives() && now.out.Arrives() && old.out.SNR > -10 {
						add(watchedNames[inField], now.out.Field-old.out.Field)
					}
				}
			}
		}
	}
	stepping := map[string]float64{watchedNames[inOperational]: 14, watchedNames[inOWF]: 22, watchedNames[inNoise]: 7.4, watchedNames[inField]: 4}
	for what, m := range ends {
		limit, may := stepping[what]
		if !may {
			limit = 1.2 * within[what].most
		}
		if m.most > limit {
			t.Errorf("%s moves by up to %.3g across the end of a month, by %.3g within it; limit %.3g", what, m.most, within[what].most, limit)
		}
		t.Logf("%s, from day to day: within a month %.2g rms, %.2g at most; across its end %.2g, %.2g", what, within[what].rms(), within[what].most, m.rms(), m.most)
	}
}
