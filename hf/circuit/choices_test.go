package circuit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"farhail/hf/earth"
	"farhail/hf/iono"
	"farhail/hf/noise"
	"farhail/unit"
)

// A variant is the reading of the product with one line answered otherwise: by a flag of
// the reading, by the day's sky, or by remaking what the line makes of an hour.
type variant struct {
	line  string
	what  string // the other reading
	flag  func(*Reading)
	sky   func(*Sky)
	hour  func(h *Hour, p *Path)      // h.p is p, a copy
	band  func(h *Hour, fMHz float64) // before each frequency
	drive Driver
	of    quantity // that the notes give a size of
	// The size the notes give: rms, dB or per cent, from … to; share of cases moved by
	// more than 1 dB or 3 %, per cent, likewise. Zero: none given.
	rms, share span
	// why ours has another size: then the sizes above are as measured here, and why
	// says what the notes have.
	why string
}

type span [2]float64

func (s span) String() string {
	if s[0] == s[1] {
		return fmt.Sprint(s[0])
	}
	return fmt.Sprintf("%g–%g", s[0], s[1])
}

type quantity int

const (
	ofSNR quantity = iota // dB; cases with an SNR over −10 dB
	ofMUF                 // basic MUF of the path, per cent
	ofOperational
	ofOWF
	ofDecile // the larger change of the two decile deviations of the SNR, dB
	quantities
)

var quantityNames = [quantities]string{"SNR, dB", "basic MUF, %", "operational MUF, %", "OWF, %", "deviations, dB"}

// f2At gives the MUF formula at M and at the two points of a path beyond 4,000 km.
func f2At(h *Hour) (m, p, q f2) {
	s, d := h.p.sky, iono.AtUTC(h.UTC)
	one := func(at *point) f2 {
		a := s.above(at, h.UTC, &d)
		return newF2(a.foF2, a.foE, a.M3000, at.fH300)
	}
	m = one(&h.p.m)
	if h.p.DKm <= hopMax {
		return m, m, m
	}
	return m, one(&h.p.pair[h.p.n0].p), one(&h.p.pair[h.p.n0].q)
}

// setMUF gives the path another basic MUF of its F2 modes.
func setMUF(h *Hour, fb float64) { h.BasicF2, h.BasicMUF = fb, max(h.BasicE, fb) }

// ownRays replaces every F2 mode's ray at a frequency by one of our making.
func ownRays(h *Hour, ray func(m *f2Mode) ray) {
	for i := range h.f2Modes {
		h.f2[i].day = ray(&h.f2[i])
	}
	h.night = false
}

// longitudinal takes the gyrofrequency about the longitudinal component: |sin I| of it.
func longitudinal(h *Hour) {
	at := tableD(h.p)
	h.fH = 0
	for _, c := range at {
		h.fH += c.fH100 * math.Abs(math.Sin(h.p.sky.field.At(c.at, 100).Dip())) / float64(len(at))
	}
}

// tableD are the points of Table 1d.
func tableD(p *Path) []*point {
	at := []*point{&p.m}
	if p.DKm > 2000 {
		at = append(at, &p.a, &p.b)
	}
	if p.DKm > hopMax {
		at = append(at, &p.pair[p.n0].p, &p.pair[p.n0].q)
	}
	return at
}

// leastElevation is isotropic above an elevation and deaf below it.
type leastElevation float64

func (l leastElevation) Gain(_, _, el float64) float64 {
	if el < float64(l) {
		return -500
	}
	return 0
}

func at100(r ray) ray {
	s := r.cosΔ * (r0Km / (r0Km + 100))
	r.sec = 1 / math.Sqrt(1-s*s)
	return r
}

// variants are the lines of our page of choices, by number, with the sizes it gives.
// Not here: 21 (the maps' cap lies in hf/iono), 25–27 (no circuit's SNR or MUF depends on them).
func variants() []variant {
	strict := func(r *Reading) { *r = Strict }
	flag := func(line, what string, f func(*Reading), of quantity, rms, share span) variant {
		return variant{line: line, what: what, flag: f, of: of, rms: rms, share: share}
	}
	return []variant{
		flag("1", "a step of 5 dB above the MUF", func(r *Reading) { r.StepAboveMUF = 5 }, ofSNR, span{2.3, 2.3}, span{21, 21}),
		flag("2", "absorption index never below 0.1", func(r *Reading) { r.AbsorptionFloor = 0.1 }, ofSNR, span{6.7, 6.7}, span{40, 40}),
		{line: "3", what: "dmax capped at 4,000 km in Z and C_3000", of: ofMUF, rms: span{11, 11}, hour: func(h *Hour, p *Path) {
			m, a, b := f2At(h)
			cap := func(x f2, d float64) float64 {
				x.dmax = min(x.dmax, hopMax)
				x.C3000 = curve(1 - 2*3000/x.dmax)
				return x.muf(d)
			}
			if p.DKm <= hopMax {
				setMUF(h, cap(m, p.DKm))
			} else {
				setMUF(h, min(cap(a, hopMax), cap(b, hopMax)))
			}
		}},
		flag("4", "modified dip of 1960", func(r *Reading) { r.FieldYear = 1960 }, ofMUF, span{8, 8}, span{26, 26}),
		{line: "5", what: "R12 drives the maps too", flag: func(r *Reading) { r.OneIndex = true }, drive: observed, of: ofMUF, rms: span{5, 5}, why: "in MHz against soundings"},
		{line: "6", what: "absorption's angle at 100 km", of: ofSNR, rms: span{0.2, 0.2},
			hour: func(_ *Hour, p *Path) {
				for i := range p.eModes {
					p.eRay[i] = at100(p.eRay[i])
				}
			},
			band: func(h *Hour, f float64) {
				ownRays(h, func(m *f2Mode) ray { return at100(m.hop.at(h.mirrorHeight(m.hop.dKm, min(f, m.fb)))) })
			}},
		{line: "7", what: "longitudinal gyrofrequency in the absorption", of: ofSNR, rms: span{0.8, 0.8}, hour: func(h *Hour, _ *Path) { longitudinal(h) }},
		{line: "8", what: "Tables 1c and 1d with dmax of M, not 4,000 km", of: ofSNR, rms: span{0.2, 0.2}, hour: func(h *Hour, p *Path) {
			if m, _, _ := f2At(h); p.DKm > hopMax && p.DKm <= m.dmax {
				at := []*point{&p.m, &p.a, &p.b}
				var cosχ []float64
				for _, c := range at {
					x, _ := p.sky.sunAt(c, h.UTC)
					cosχ = append(cosχ, x)
				}
				h.fH = 0
				h.lossesAt(at, cosχ)
				h.mirrors[0], h.mirrorN = h.mirrors[1], 1
				h.night = !h.mirrors[0].daytime
				for i := range h.f2Modes {
					h.f2[i].day = h.f2[i].hop.at(h.mirrorHeight(h.f2[i].hop.dKm, 0))
				}
			}
		}},
		{line: "9", what: "no mode below 3°", of: ofSNR, rms: span{1, 2}, share: span{4, 13}, hour: func(_ *Hour, p *Path) { p.Tx.Antenna = leastElevation(3) }},
		flag("10", "n0 by dmax and Δ ≥ 0, tables with dmax", func(r *Reading) { r.ByLength = false }, ofMUF, span{11, 11}, span{33, 33}),
		{line: "11a", what: "screening to 4,000 km only", of: ofSNR, rms: span{1.2, 1.5}, share: span{4, 7}, hour: func(h *Hour, p *Path) {
			for i := range h.f2 {
				if p.DKm > hopMax {
					h.f2[i].fs = 0
				}
			}
		}},
		{line: "11b", what: "screening at the mode's own height", of: ofSNR, rms: span{1.2, 1.5}, share: span{4, 7}, band: func(h *Hour, f float64) {
			p, foE := h.p, 0.0
			d := iono.AtUTC(h.UTC)
			at := []*point{&p.m}
			if p.DKm > 2000 {
				at = []*point{&p.a, &p.b}
			}
			for _, c := range at {
				foE = max(foE, p.sky.above(c, h.UTC, &d).foE)
			}
			for i := range h.f2Modes {
				m := &h.f2[i]
				r := m.hop.at(h.mirrorHeight(m.hop.dKm, min(f, m.fb)))
				m.fs = 1.05 * foE * r.sec
			}
		}},
		{line: "12a", what: "geometry above the MUF at f, not fb", of: ofSNR, rms: span{0.06, 0.06}, why: "rms 0.7, which is 12b's", band: func(h *Hour, f float64) {
			ownRays(h, func(m *f2Mode) ray { return m.hop.at(h.mirrorHeight(m.hop.dKm, f)) })
		}},
		{line: "12b", what: "absorption too at fb above the MUF", of: ofSNR, rms: span{0.7, 0.7}, hour: func(*Hour, *Path) {},
			band: func(h *Hour, f float64) {
				den := func(f float64) float64 { return math.Pow(f+h.fH, 1.98) + 10.2 }
				for i := range h.p.eModes {
					h.p.eRay[i] = h.p.eHop[i].at(hE)
					h.p.eRay[i].sec *= den(f) / den(min(f, h.eMUF[i]))
				}
				ownRays(h, func(m *f2Mode) ray {
					fb := min(f, m.fb)
					r := m.hop.at(h.mirrorHeight(m.hop.dKm, fb))
					r.sec *= den(f) / den(fb)
					return r
				})
			}},
		{line: "13", what: "median of noise may fall below its largest part", flag: func(r *Reading) { r.NoiseFloor = false }, of: ofSNR,
			rms: span{0.025, 0.025}, why: "share 0.02: a handful of our cases"},
		{line: "14", what: "spread between places in the man-made deciles", of: ofDecile, share: span{63, 63}, hour: func(_ *Hour, p *Path) {
			own, place := noise.Measured(p.Noise), 1.282*p.Noise.SiteSpreadDB()
			p.SiteNoise = func(f float64) noise.Source {
				s := own(f)
				s.Du, s.Dl = math.Hypot(s.Du, place), math.Hypot(s.Dl, place)
				return s
			}
		}},
		{line: "15", what: "galactic noise below foF2 too", of: ofSNR, rms: span{0.4, 0.4}, share: span{3, 3}, hour: func(h *Hour, _ *Path) { h.foF2Rx = 0 }},
		flag("16", "decile bands by geographic latitude", func(r *Reading) { r.DecilesByModip = false }, ofOWF, span{5, 5}, span{}),
		flag("17", "OWF 0.85 of the operational MUF", func(r *Reading) { r.OWFByDeciles = false }, ofOWF, span{12, 12}, span{}),
		flag("18", "high latitude at the midpoint only", func(r *Reading) { r.HighLatitudeAnywhere = false }, ofDecile, span{}, span{4, 4}),
		{line: "19", what: "Rop's day 06–18 local time, not χ < 90°", of: ofOperational, share: span{8, 8}, hour: func(h *Hour, p *Path) {
			day, power := 0, 0
			if t := p.m.local(h.UTC); t >= 6 && t < 18 {
				day = 1
			}
			h.OperationalMUF = max(h.BasicE, h.BasicF2*operational[power][season(p.sky.Date.Month, p.south)][day])
		}},
		{line: "20a", what: "Lh by the midpoint's local time", of: ofSNR, share: span{1, 1}, why: "share 0.3, its other reading not named", hour: func(h *Hour, p *Path) {
			at := tableD(p)
			h.fixed = p.base
			for _, c := range at {
				x := *c
				x.lonDeg = p.m.lonDeg
				h.fixed -= auroralLoss(p.DKm > 2500, p.sky.Date.Month, &x, h.UTC) / float64(len(at))
			}
		}},
		{line: "20b", what: "Lh at the midpoint only", of: ofSNR, share: span{4, 4}, why: "–", hour: func(h *Hour, p *Path) {
			h.fixed = p.base - auroralLoss(p.DKm > 2500, p.sky.Date.Month, &p.m, h.UTC)
		}},
		{line: "22", what: "higher modes by the point that gives the MUF", of: ofSNR, rms: span{0.06, 0.06}, why: "share 0.2, its other reading not named", hour: func(h *Hour, p *Path) {
			if p.DKm > hopMax && p.DKm <= longOnlyKm {
				_, a, b := f2At(h)
				if b.muf(min(b.dmax, hopMax)) < a.muf(min(a.dmax, hopMax)) {
					a = b
				}
				for i := range h.f2 {
					h.f2[i].fb = h.BasicF2 * a.muf(p.DKm/float64(p.n0+i)) / a.muf(p.DKm/float64(p.n0))
				}
			}
		}},
		{line: "23a", what: "fL without the rule for the night", of: ofSNR, share: span{0.5, 0.5}, hour: func(h *Hour, p *Path) {
			if p.DKm > longFromKm {
				e := &p.long
				h.fL = max((e.rootAt(p.sky, h.UTC)-h.fHLong)*e.Aw, e.fLN)
			}
		}},
		{line: "23b", what: "f/MUF of the deviations by fM", of: ofDecile, rms: span{0.4, 0.4}, why: "–", hour: func(h *Hour, p *Path) {
			if p.DKm > longFromKm {
				h.BasicMUF = h.fM
			}
		}},
		{line: "24", what: "the Sun of day 16", of: ofSNR, share: span{0.3, 0.3}, why: "share 0.1, for less than our whole day", sky: func(s *Sky) { s.sun = earth.SunOn(s.Date.Year, s.Date.Month, 16) }},
		{line: "28", what: "beyond dmax of M: F2(dmax)MUF, not F2(4000)", of: ofMUF, rms: span{4, 8}, hour: func(h *Hour, p *Path) {
			if m, a, b := f2At(h); p.DKm > m.dmax {
				setMUF(h, min(a.muf(a.dmax), b.muf(b.dmax)))
			}
		}},
		{line: "Es", what: "modes by sporadic E too, an option", of: ofSNR, rms: span{1, 1}, share: span{2, 2}, why: "not a line of theirs", sky: func(s *Sky) { s.es = s.newEs() }},
		{line: "all", what: "strict", flag: strict, of: ofSNR, rms: span{8, 8}, why: "–"},
		{line: "all", what: "strict", flag: strict, of: ofMUF, rms: span{9, 9}, why: "–"},
	}
}

// An effect is what another reading changes of one quantity.
type effect struct{ n, moved, sum2 float64 }

func (e *effect) add(change, much float64) {
	e.n++
	e.sum2 += change * change
	if math.Abs(change) > much {
		e.moved++
	}
}

func (e *effect) rms() float64   { return math.Sqrt(e.sum2 / max(e.n, 1)) }
func (e *effect) share() float64 { return 100 * e.moved / max(e.n, 1) }

// measure predicts the same circuits by the product's reading and by a variant of it.
func measure(v variant, cs []Circuit, bands []Band) (e [quantities]effect) {
	other := Field
	if v.flag != nil {
		v.flag(&other)
	}
	var base, changed, work Hour
	var copied Path
	var a, b Prediction
	for i, ssn := range []float64{10, 60, 110, 160} {
		for m, month := range []int{1, 4, 7, 10} {
			drive := Constant(ssn)
			if v.drive != nil {
				drive = v.drive
			}
			date := Date{[]int{2009, 2012, 2014, 2016}[(i+m)%4], month, 0}
			s, t := NewSky(date, drive, Field), NewSky(date, drive, other)
			if v.sky != nil {
				v.sky(t)
			}
			for k := i; k < len(cs); k += 4 {
				p, q := s.Path(cs[k]), t.Path(cs[k])
				for utc := 1.0; utc < 24; utc += 4 {
					p.At(utc, &base)
					q.At(utc, &changed)
					if v.hour != nil {
						copied = *q
						changed.p = &copied
						v.hour(&changed, &copied)
					}
					e[ofMUF].add(100*(changed.BasicMUF/base.BasicMUF-1), 3)
					e[ofOperational].add(100*(changed.OperationalMUF/base.OperationalMUF-1), 3)
					e[ofOWF].add(100*(changed.OWF/base.OWF-1), 3)
					for j := range bands {
						base.Predict(&bands[j], &a)
						if !a.Arrives() || a.SNR <= -10 {
							continue
						}
						work = changed
						if v.band != nil {
							v.band(&work, bands[j].MHz)
						}
						if work.Predict(&bands[j], &b); !b.Arrives() || b.SNR < -400 {
							e[ofSNR].moved++
							e[ofSNR].n++
							continue
						}
						e[ofSNR].add(b.SNR-a.SNR, 1)
						up, lo := (b.Upper-b.SNR)-(a.Upper-a.SNR), (b.SNR-b.Lower)-(a.SNR-a.Lower)
						if math.Abs(lo) > math.Abs(up) {
							up = lo
						}
						e[ofDecile].add(up, 1)
					}
				}
			}
		}
	}
	return e
}

// observed drives a sky by the smoothed indices of its month.
func observed(year, month int) (IG12, R12 float64) {
	x := iono.IndexOf(year, month)
	return x.IG12, x.R12
}

// anyLength draws n circuits of 100 to 9,000 km over the world, noise of all kinds.
func anyLength(n int) (out []Circuit) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range n {
		a, b := randomPoint(rng), randomPoint(rng)
		c := sample(a, earth.Between(a, b).At(unit.Length(100+8900*rng.Float64())*unit.Km))
		c.Noise = noise.Environment(rng.IntN(4))
		out = append(out, c)
	}
	return out
}

// TestChoices measures what each line of the page of choices is worth, as it did: 300
// paths × 4 months × 6 h × 8 frequencies, and finds the sizes it states within a factor
// of two (paths and indices drawn anew: its own are not given).
func TestChoices(t *testing.T) {
	n, factor := 300, 2.1
	if testing.Short() {
		n, factor = 80, 3
	}
	cs := anyLength(n)
	var bands []Band
	for _, f := range []float64{2.5, 3.6, 5.35, 7.1, 10.1, 14.1, 18.1, 24.9} {
		bands = append(bands, NewBand(f))
	}
	table := "\n| # | the other reading | of | rms | share moved | notes |\n|---|---|---|---|---|---|\n"
	for _, v := range variants() {
		e := measure(v, cs, bands)
		m := &e[v.of]
		given := v.why
		for _, x := range []struct {
			what  string
			got   float64
			given span
		}{{"rms", m.rms(), v.rms}, {"share", m.share(), v.share}} {
			if x.given == (span{}) {
				continue
			}
			if v.why == "" {
				given += fmt.Sprintf("%s %s; ", x.what, x.given)
			}
			if x.got < x.given[0]/factor || x.got > x.given[1]*factor {
				t.Errorf("choice %s, %s: %s %.3g of %s, expected %s within a factor of %g", v.line, v.what, x.what, x.got, quantityNames[v.of], x.given, factor)
			}
		}
		table += fmt.Sprintf("| %s | %s | %s | %.2g | %.2g %% | %s |\n", v.line, v.what, quantityNames[v.of], m.rms(), m.share(), strings.TrimSuffix(given, "; "))
	}
	t.Log(table)
}
