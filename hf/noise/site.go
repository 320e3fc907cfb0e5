package noise

import (
	"math"

	"farhail/hf/earth"
)

// A Site is a place in a month: its atmospheric noise at 1 MHz in the six blocks.
type Site struct {
	fam1   [blocks]float64
	season int
	south  int     // 1 where φ < 0: the row of the frequency law
	lead   float64 // hours of local mean time ahead of UT
}

// NewSite evaluates the maps of a place.
//
//	θ = φ + 90° , ℓ = λ/2 , in radians, λ in 0…360°
//	g_j  = c_{16,j} + Σ_{k=1…15} c_{k,j} sin kℓ
//	Fam1 = α + β θ + Σ_{j=1…29} g_j sin jθ
//
// Source:   NTIA Report 85-173, as in our notes on P.372-17 §5.
// Domain:   month 1–12; any longitude, taken round the circle.
// Accuracy: rounding 3e-5 dB rms (tables/noise). The maps' own uncertainty is some 6 to
// 9 dB, and they fall implausibly low on some southern mornings (40° S, Atlantic).
// Departs:  no.
func NewSite(p earth.Point, month int) Site {
	λ := math.Mod(p.Lon.Rad(), 2*math.Pi)
	s := Site{season: Season(month), lead: λ * (12 / math.Pi)}
	if p.Lat < 0 {
		s.south = 1
	}
	if λ < 0 {
		λ += 2 * math.Pi
	}
	var sinkℓ [lonTerms]float64
	multiples(sinkℓ[:lonTerms-1], λ/2)
	sinkℓ[lonTerms-1] = 1
	θ := p.Lat.Rad() + math.Pi/2
	var sinjθ [latTerms]float64
	multiples(sinjθ[:], θ)

	d := deck()
	c := &d.c[s.season]
	for b := range blocks {
		s.fam1[b] = d.α[s.season][b] + d.β[s.season][b]*θ
	}
	for j := range c {
		var g [blocks]float64
		for k := range c[j] {
			row, x := &c[j][k], sinkℓ[k]
			g[0] += row[0] * x
			g[1] += row[1] * x
			g[2] += row[2] * x
			g[3] += row[3] * x
			g[4] += row[4] * x
			g[5] += row[5] * x
		}
		for b := range g {
			s.fam1[b] += g[b] * sinjθ[j]
		}
	}
	return s
}

// Season is the quarter of the calendar year, 0 for December to February.
func Season(month int) int { return month % 12 / 3 }

// multiples fills in sin x, sin 2x …
func multiples(dst []float64, x float64) {
	sin1, cos1 := math.Sincos(x)
	s, c := 0.0, 1.0
	for n := range dst {
		s, c = s*cos1+c*sin1, c*cos1-s*sin1
		dst[n] = s
	}
}

// between finds an hour among the blocks: it lies w of the way from the centre of
// block i to that of block j.
func (s *Site) between(utcH float64) (i, j int, w float64) {
	t := (utcH + s.lead - 2) * (1. / 24)
	t = (t - math.Floor(t)) * blocks
	i = int(t)
	if i >= blocks { // just below a whole day, rounded up
		i, t = 0, 0
	}
	w = t - float64(i)
	if j = i + 1; j == blocks {
		j = 0
	}
	return i, j, w
}

// Atmospheric is the noise of lightning at a moment, and how uncertain it is.
// Block centres are 2, 6 … 22 h local mean time, UT + λ/15; between them all values
// run linearly, round the day.
//
// Source:   ITU-R P.372-17, as in our notes §5 (interpolation: the notes' choice).
// Domain:   any hour, taken round the day.
// Departs:  no.
func (s *Site) Atmospheric(utcH float64, b *Band) (src Source, σDu, σDl, σFam float64) {
	i, j, w := s.between(utcH)
	laws := &b.law[s.season][s.south]
	x, y := &laws[i], &laws[j]
	v := 1 - w
	src.Fam = v*(x.slope*s.fam1[i]+x.offset) + w*(y.slope*s.fam1[j]+y.offset)
	src.Du = v*x.dev[du] + w*y.dev[du]
	src.Dl = v*x.dev[dl] + w*y.dev[dl]
	return src, v*x.dev[σdu] + w*y.dev[σdu], v*x.dev[σdl] + w*y.dev[σdl], v*x.dev[σfam] + w*y.dev[σfam]
}

// Total is all external noise at a moment: atmospheric, man-made and, at and above
// foF2 at the receiver, galactic.
//
// Source:  ITU-R P.372-17 combination of noises, as in our notes §3 and §6.
// Departs: as Combine. Galactic noise sets in at foF2 with a step.
func (s *Site) Total(utcH float64, b *Band, env Environment, foF2AtReceiver float64, field bool) Source {
	a, _, _, _ := s.Atmospheric(utcH, b)
	var x term
	x.set(&a)
	var t sum
	t.add(&x)
	t.add(&b.man[env])
	if b.MHz >= foF2AtReceiver {
		t.add(&b.galactic)
	}
	return t.source(field)
}
