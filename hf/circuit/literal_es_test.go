package circuit

import (
	"math"
	"testing"

	"farhail/hf/iono"
)

// The literal twin of the modes by sporadic E. There are no notes of it: this is the list
// of assumptions in es.go once more, from the page of decisions.

// literalPowersEs is the highest power of sin μ for each order of longitude, of what is
// exceeded on 90, 50 and 10 per cent of days (tables/ionomaps).
var literalPowersEs = [3][]int{{10, 12, 6, 0, 0}, {10, 12, 6, 2, 0, 0}, {10, 11, 5, 2, 0}}

// foEs is the layer over a point: exceeded on 90, 50 and 10 per cent of days, put in
// order about the median, never below zero.
func (r *literalRun) foEs(at literalPoint, UT float64) (e [3]float64) {
	R := math.Min(r.SSN, 160)
	low, mid, high := iono.EsCoefficients(r.Month)
	for i, c := range [3][2][][]float64{low, mid, high} {
		level := func(k int) float64 { return literalMap(c[k], literalPowersEs[i], at.φ, at.λ, at.μ, UT) }
		e[i] = math.Max(level(0)*(1-R/100)+level(1)*R/100, 0)
	}
	e[0] = math.Min(e[0], e[1])
	e[2] = math.Max(e[2], e[1])
	return e
}

// literalEsMode is what is said of one mode.
type literalEsMode struct {
	n                      int
	Δ, MUF, lossDB, chance float64
}

// literalΓ is the loss of one reflection, dB.
func literalΓ(d, f, foEs float64) float64 {
	weak := 40/(1+d/130+math.Pow(d/250, 2)) + 0.2*math.Pow(d/2600, 2)
	return weak*math.Pow(f/foEs, 2) + math.Exp((d-1660)/280)
}

// literalDays is the share of days on which the layer reaches x.
func literalDays(x float64, e [3]float64) float64 {
	Φ := func(z float64) float64 { return (1 + math.Erf(z/math.Sqrt2)) / 2 }
	const z90 = 1.2815515655446004
	switch {
	case e[1] == 0:
		return 0
	case x > e[1] && e[2] == e[1]:
		return 0
	case x > e[1]:
		σ := (math.Log(e[2]) - math.Log(e[1])) / z90
		return 1 - Φ((math.Log(x)-math.Log(e[1]))/σ)
	case e[0] == e[1]:
		return 1
	case e[0] == 0:
		return 0.5
	}
	σ := (math.Log(e[1]) - math.Log(e[0])) / z90
	return Φ((math.Log(e[1]) - math.Log(x)) / σ)
}

// sporadic is every mode by sporadic E: 1 to 4 hops on paths to 4,000 km, hops no longer
// than that at which the horizon takes 100 dB.
func (r *literalRun) sporadic(UT, f float64) (out []literalEsMode) {
	r.at(r.D, 4000)
	r.at(r.D, 2000)
	if r.D > 4000 {
		return nil
	}
	layers := [][3]float64{r.foEs(r.point(r.D/2, UT), UT)}
	if r.D > 2000 {
		layers = [][3]float64{r.foEs(r.point(1000, UT), UT), r.foEs(r.point(r.D-1000, UT), UT)}
	}
	longest := 1660 + 280*math.Log(100)
	for n := 1; n <= 4; n++ {
		d := r.D / float64(n)
		r.at(d, longest)
		if d > longest {
			continue
		}
		Δ := literalElevation(d, 110)
		sec := 1 / literalCos(literalIncidence(Δ, 110))
		m := literalEsMode{n: n, Δ: Δ, chance: 1}
		least := math.Inf(1)
		for _, e := range layers {
			least = math.Min(least, e[1])
			m.chance = math.Min(m.chance, literalDays(f/sec, e))
			// Spreads of nothing make noise of rounding.
			r.within(e[0]/e[1], 1, 1e-6)
			r.within(e[2]/e[1], 1, 1e-6)
			r.within(e[0], 0, 1e-6)
			r.within(e[1], 0, 1e-3)
		}
		m.MUF = least * sec
		m.lossDB = float64(n) * literalΓ(d, f, least)
		out = append(out, m)
	}
	return out
}

// low are the modes from 110 km when sporadic E is counted: of as many hops by the normal
// and by the sporadic layer the one that loses less at its reflections.
func (r *literalRun) low(p literalPath, UT, f float64) (out []literalMode) {
	Es := map[int]literalEsMode{}
	for _, m := range r.sporadic(UT, f) {
		Es[m.n] = m
	}
	for n := 1; n <= 4; n++ {
		d := r.D / float64(n)
		Δ := literalElevation(d, 110)
		m := literalMode{n: n, Δ: Δ, slant: literalSlant(n, d, Δ)}
		isE := n >= p.nE && n < p.nE+3
		Lm := 0.0
		if isE {
			m.layer, m.MUF = "E", literalEMUF(d, p.foEMUF)
			Lm = r.aboveMUF("E", f, m.MUF, r.Strict)
		}
		if es, is := Es[n]; is {
			if isE {
				r.at(es.lossDB, Lm)
			}
			if !isE || es.lossDB < Lm {
				m.layer, m.MUF, Lm = "Es", es.MUF, es.lossDB
			}
		}
		if m.layer == "" {
			continue
		}
		r.field9With(&m, p.tableDE, f, Lm)
		out = append(out, m)
	}
	return out
}

// Worked by hand: 40 dB at foEs overhead; 1 dB of horizon at 1,660 km; at 130 km a hop of
// a flat earth 40/(2 + 0.2704) + 0.0005.
func TestLiteralΓ(t *testing.T) {
	literalCheck(t, "overhead at foEs", literalΓ(0, 3, 3), 40+math.Exp(-1660./280), 1e-12)
	literalCheck(t, "far below foEs at 1,660 km", literalΓ(1660, 1e-9, 5), 1, 1e-12)
	literalCheck(t, "130 km at twice foEs", literalΓ(130, 6, 3), 4*(40/2.2704+0.0005)+math.Exp(-1530./280), 1e-9)
}
