package circuit

import (
	"math"

	"farhail/hf/iono"
)

// Sporadic E. P.533 has none, and nobody can foretell a cloud: Options.SporadicE adds
// modes by the median of foEs as a bonus, and each mode's chance says how often the layer
// is there to carry it. Off, nothing of this is worked out.
//
// Assumed, all ours where no source is named:
//   - a thin mirror at 110 km; one to four hops on paths to 4,000 km, as far as P.533 has E modes;
//   - foEs by its maps (Leftin et al. 1968) under R12, at M to 2,000 km and beyond at A and B,
//     as for E; the lower counts;
//   - all hops reflect from one cloud wide enough, so that the chance of several is at most this;
//   - absorption, ground, auroral and other losses as for an E mode of as many hops;
//   - Es and E of as many hops are one ray: the better reflection counts, not both;
//   - no screening: what Es reflects is not taken from F2 modes.

// esHops is the most hops of an Es mode, esReachKm the longest hop: the horizon's term of
// the loss is 100 dB there, so that a mode fades out and does not step.
const (
	esHops    = 4
	esReachKm = 1660 + 280*4.605170185988092 // + 280 ln 100
)

// An esHop is the part of a hop's loss that foEs does not change.
type esHop struct {
	hop     int
	y       ray
	partial float64 // dB at f = foEs, falling as (f/foEs)²
	horizon float64 // dB
}

// newEsHop prepares the loss of a reflection by a hop of d km.
//
//	Γ = [40/(1 + d/130 + (d/250)²) + 0.2 (d/2600)²] (f/foEs)² + exp[(d − 1660)/280]   dB
//
// Source:   ITU-R P.534 §2, after Miya et al. (1978) (from memory, medium).
// Domain:   there VHF and hops to 2,600 km. The law is in f/foEs alone, so it is taken down
// to HF: far below foEs the layer is a mirror and only the horizon's term stays, at foEs
// overhead 40 dB are lost, which is where a sounder loses its echo, at foEs sec i some 25,
// and above it the loss goes on growing. Nothing steps at the MUF of the hop.
// Departs:  n equal hops lose n Γ.
func newEsHop(D float64, n int) (e esHop, ok bool) {
	h := newHop(D, n)
	d := h.dKm
	e = esHop{hop: n, y: h.at(hE)}
	e.partial = 40/(1+d/130+d/250*(d/250)) + 0.2*(d/2600)*(d/2600)
	e.horizon = math.Exp((d - 1660) / 280)
	return e, d <= esReachKm
}

// loss of all hops' reflections, dB; +Inf without a layer.
func (e *esHop) loss(fMHz, foEs float64) float64 {
	x := fMHz / foEs
	return float64(e.hop) * (e.partial*x*x + e.horizon)
}

// A foEs is the critical frequency of the layer at a point: median, and what is exceeded on
// 90 and 10 per cent of days.
type foEs struct{ lower, median, upper float64 }

// reached is the share of days on which foEs is x or more: two half-normals in the
// logarithm, meeting at the median.
func (e foEs) reached(x float64) float64 {
	const decile = 1.2815515655446004
	up, side := x > e.median, e.lower
	if up {
		side = e.upper
	}
	switch {
	case e.median <= 0: // no layer on most days, and nothing said of the others
		return 0
	case side == e.median: // no spread on this side
		if up {
			return 0
		}
		return 1
	case side <= 0: // the lower map says nothing
		return 0.5
	}
	z := decile * math.Abs(math.Log(x/e.median)/math.Log(side/e.median))
	if up {
		z = -z
	}
	return 0.5 * math.Erfc(-z/math.Sqrt2)
}

// newEs combines the maps of foEs of the day.
func (s *Sky) newEs() *iono.EsMaps {
	mix := iono.Month(s.Date.Month, s.R12)
	if s.Date.Day != 0 {
		mix = iono.Day(s.Date.Year, s.Date.Month, s.Date.Day, func(int, int) float64 { return s.R12 })
	}
	return iono.NewEsMaps(mix)
}

func (s *Sky) foEs(p *point, d *iono.Hour) (e foEs) {
	e.lower, e.median, e.upper = s.es.At(p.at, p.μ, d)
	return e
}

// setEs prepares the hops of a path.
func (p *Path) setEs() {
	for n := 1; n <= esHops && p.DKm <= hopMax; n++ {
		if e, ok := newEsHop(p.DKm, n); ok {
			p.es[p.esModes] = e
			p.esModes++
		}
	}
}

// setEs finds foEs at the control points.
func (h *Hour) setEs(d *iono.Hour) {
	p := h.p
	if p.DKm <= eMax {
		h.es[0] = p.sky.foEs(&p.m, d)
		h.es[1] = h.es[0]
		return
	}
	h.es[0], h.es[1] = p.sky.foEs(&p.a, d), p.sky.foEs(&p.b, d)
}

// foEsMedian is that of the control point that has less.
func (h *Hour) foEsMedian() float64 { return min(h.es[0].median, h.es[1].median) }

// addEs sums the modes at 110 km, normal and sporadic: of as many hops the better one.
func (h *Hour) addEs(s *sum, b *Band, den float64) {
	p := h.p
	median := h.foEsMedian()
	i, k := 0, 0 // next E mode and next Es mode
	for n := 1; n <= esHops; n++ {
		normal, sporadic := math.Inf(1), math.Inf(1)
		var y *ray
		if i < p.eModes && p.eHop[i].n == n {
			normal, y = h.beyondMUF(b, h.eMUF[i], eSteep, eLimit), &p.eRay[i]
			i++
		}
		if k < p.esModes && p.es[k].hop == n {
			sporadic, y = p.es[k].loss(b.MHz, median), &p.es[k].y
			k++
		}
		if sporadic < normal {
			h.arrive(s, b, layerEs|Mode(n), y, n, sporadic, den)
		} else if !math.IsInf(normal, 1) {
			h.arrive(s, b, layerE|Mode(n), y, n, normal, den)
		}
	}
}

// An EsMode is one mode by sporadic E, whether or not it is the strongest.
type EsMode struct {
	Mode         Mode
	ElevationDeg float64
	MUF          float64 // MHz, at median foEs; 0: no layer
	LossDB       float64 // of its reflections at median foEs; +Inf: no layer
	// Chance is the share of days on which foEs sec i110 reaches the frequency at both
	// control points, were their days the same: at most this.
	Chance float64
}

// SporadicE lists the modes by sporadic E at a frequency, fewest hops first; none when the
// sky leaves them out. It allocates.
func (h *Hour) SporadicE(fMHz float64) (out []EsMode) {
	median := h.foEsMedian()
	for i := range h.p.es[:h.p.esModes] {
		e := &h.p.es[i]
		x := fMHz / e.y.sec
		out = append(out, EsMode{
			Mode: layerEs | Mode(e.hop), ElevationDeg: e.y.elevationDeg(), MUF: median * e.y.sec,
			LossDB: e.loss(fMHz, median), Chance: min(h.es[0].reached(x), h.es[1].reached(x)),
		})
	}
	return out
}
