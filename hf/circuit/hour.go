package circuit

import (
	"math"

	"farhail/hf/earth"
	"farhail/hf/iono"
)

// An Hour is a path at one moment: all that does not change with the frequency.
type Hour struct {
	UTC float64

	BasicMUF       float64 // MHz, of the path
	OperationalMUF float64
	OWF            float64
	BasicE         float64 // of the lowest-order E mode; 0 beyond 4,000 km
	BasicF2        float64 // of the lowest-order F2 mode

	p       *Path
	decided *point  // the control point that gives the F2 MUF
	fixed   float64 // dB: base less auroral loss
	absorb  float64 // 677.2 Ī: times n sec i over (f + fH)^1.98 + 10.2
	fH      float64 // mean gyrofrequency at 100 km
	high    bool    // P.842's high latitude
	foF2Rx  float64
	eMUF    [maxE]float64
	f2      [maxF2]f2Mode
	f2Modes int
	mirrors [3]mirror
	mirrorN int
	night   bool // some mirror height changes with frequency
	es      [2]foEs

	fM, fL, fHLong float64 // long path
}

// An f2Mode is one F2 mode of the hour.
type f2Mode struct {
	hop *hop
	fb  float64 // basic MUF
	fs  float64 // screened at and below
	day ray     // when the mirror heights do not change with frequency
}

// At prepares an hour into h.
func (p *Path) At(utcH float64, h *Hour) {
	s := p.sky
	*h = Hour{UTC: utcH, p: p}
	d := iono.AtUTC(utcH)
	m := s.above(&p.m, utcH, &d)
	h.foF2Rx = s.foF2(&p.rx, utcH, &d)
	mid := newF2(m.foF2, m.foE, m.M3000, p.m.fH300)

	// Which row of the control-point tables: within or beyond the limit.
	limit, n0 := hopMax, p.n0
	if !s.Reading.ByLength {
		limit, n0 = mid.dmax, p.lowestOrder(&m, &mid, utcH, &d)
	}
	beyond := p.DKm > limit
	P, Q := &p.m, &p.m
	ap, aq := m, m
	if beyond {
		P, Q = &p.pair[n0].p, &p.pair[n0].q
		ap, aq = s.above(P, utcH, &d), s.above(Q, utcH, &d)
	}

	foEHigh, foELow := m.foE, m.foE
	points := [5]*point{&p.m}
	cosχ := [5]float64{m.cosχ}
	n := 1
	if p.DKm > 2000 {
		var a, b above
		var H float64
		a.cosχ, H = s.sunAt(&p.a, utcH)
		a.foE = p.a.e.FoE(a.cosχ, H)
		b.cosχ, H = s.sunAt(&p.b, utcH)
		b.foE = p.b.e.FoE(b.cosχ, H)
		foEHigh, foELow = max(a.foE, b.foE), min(a.foE, b.foE)
		points[1], points[2], cosχ[1], cosχ[2] = &p.a, &p.b, a.cosχ, b.cosχ
		n = 3
	}
	if beyond {
		points[3], points[4], cosχ[3], cosχ[4] = P, Q, ap.cosχ, aq.cosχ
		n = 5
	}
	h.lossesAt(points[:n], cosχ[:n])
	h.maximum(&m, &mid, ap, aq, P, Q, beyond, n0, foEHigh, foELow)
	if p.esModes > 0 {
		h.setEs(&d)
	}
	if p.DKm > longFromKm {
		if !beyond {
			n0 = 1 // the midpoint alone
		}
		p.long.at(h, n0, utcH, &d)
	}
}

// lowestOrder is n0 of the printed rule: hop ≤ dmax of M and Δ ≥ 0 at the height of
// eq. (2), M(3000)F2 taken at M or, on a path beyond dmax, at whichever of P, M and Q has
// the lowest foF2.
func (p *Path) lowestOrder(m *above, mid *f2, utcH float64, d *iono.Hour) int {
	for n := 1; ; n++ {
		h := newHop(p.DKm, n)
		if h.dKm > mid.dmax {
			continue
		}
		low := *m
		if p.DKm > mid.dmax {
			for _, at := range [2]*point{&p.pair[n].p, &p.pair[n].q} {
				if f := p.sky.foF2(at, utcH, d); f < low.foF2 {
					low.foF2, low.M3000 = f, at.place.M3000(d)
				}
			}
		}
		if n == maxN0 || h.at(screeningHeight(low.M3000)).tanΔ >= 0 {
			return n
		}
	}
}

// lossesAt sets what the points of Table 1d give: absorption index, gyrofrequency,
// auroral loss.
//
//	I = (1 + 0.0037 R12) cos^1.3(0.881 χ), not below the reading's floor; χ ≤ 102°
//
// Source: CCIR Rep. 252-2 (Lucas and Haydon 1966) in place of P.533's Figs 1–3, as in
// our notes (from memory, high); mean over the points.
func (h *Hour) lossesAt(points []*point, cosχ []float64) {
	p, r := h.p, &h.p.sky.Reading
	month, longer := p.sky.Date.Month, p.DKm > 2500
	I, Lh := 0.0, 0.0
	growth := 1 + 0.0037*p.sky.R12
	for i, at := range points {
		χ := min(math.Acos(cosχ[i]), 102*math.Pi/180)
		I += max(growth*math.Pow(math.Cos(0.881*χ), 1.3), r.AbsorptionFloor)
		Lh += auroralLoss(longer, month, at, h.UTC)
		h.fH += at.fH100
		if r.HighLatitudeAnywhere && at.gnDeg >= 60 {
			h.high = true
		}
	}
	if !r.HighLatitudeAnywhere {
		h.high = p.m.gnDeg >= 60
	}
	n := float64(len(points))
	h.fH /= n
	h.absorb = 677.2 * I / n
	h.fixed = p.base - Lh/n
}

// maximum sets the MUFs of every mode and of the path, screening and mirrors.
func (h *Hour) maximum(m *above, mid *f2, ap, aq above, P, Q *point, beyond bool, n0 int, foEHigh, foELow float64) {
	p, s := h.p, h.p.sky
	R12 := s.R12

	// E modes: nE(D)MUF = foE sec i110, the lower foE of the control points.
	for i := range p.eModes {
		h.eMUF[i] = foELow * p.eRay[i].sec
	}
	if p.eModes > 0 {
		h.BasicE = h.eMUF[0]
	}

	// F2 modes.
	decided := &p.m // the control point that gives the MUF
	hr := 0.0
	if !beyond {
		h.mirrors[0] = newMirror(m.foF2, m.foE, m.M3000, R12)
		h.mirrorN = 1
		hr = screeningHeight(m.M3000)
		h.BasicF2 = mid.muf(p.DKm / float64(n0))
	} else {
		fp := newF2(ap.foF2, ap.foE, ap.M3000, P.fH300)
		fq := newF2(aq.foF2, aq.foE, aq.M3000, Q.fH300)
		dp, dq := fp.dmax, fq.dmax
		if s.Reading.ByLength {
			dp, dq = min(dp, hopMax), min(dq, hopMax)
		}
		mp, mq := fp.muf(dp), fq.muf(dq)
		h.BasicF2, decided = mp, P
		if mq < mp {
			h.BasicF2, decided = mq, Q
		}
		h.mirrors = [3]mirror{newMirror(ap.foF2, ap.foE, ap.M3000, R12), newMirror(m.foF2, m.foE, m.M3000, R12), newMirror(aq.foF2, aq.foE, aq.M3000, R12)}
		h.mirrorN = 3
		lowest := m
		for _, a := range [2]*above{&ap, &aq} {
			if a.foF2 < lowest.foF2 {
				lowest = a
			}
		}
		hr = screeningHeight(lowest.M3000)
		if p.DKm <= longOnlyKm {
			d0 := p.DKm / float64(n0)
			bp, bq := fp.muf(d0), fq.muf(d0)
			for i := range maxF2 {
				d := p.DKm / float64(n0+i)
				h.f2[i].fb = h.BasicF2 * min(fp.muf(d)/bp, fq.muf(d)/bq)
			}
		}
	}
	for i := range h.mirrors[:h.mirrorN] {
		h.night = h.night || !h.mirrors[i].daytime
	}
	if p.DKm <= longOnlyKm {
		h.f2Modes = maxF2
		for i := range maxF2 {
			f := &h.f2[i]
			f.hop = &p.f2Hop[n0+i-1]
			if !beyond {
				f.fb = mid.muf(f.hop.dKm)
			}
			low := f.hop.at(hr)
			f.fs = 1.05 * foEHigh * low.sec
			if !h.night {
				f.day = f.hop.at(h.mirrorHeight(f.hop.dKm, 0))
			}
		}
	}
	h.operational(decided)
}

// mirrorHeight is the mean over the points of Table 1c.
func (h *Hour) mirrorHeight(dKm, fMHz float64) float64 {
	sum := 0.0
	for i := range h.mirrors[:h.mirrorN] {
		sum += h.mirrors[i].height(dKm, fMHz)
	}
	return sum / float64(h.mirrorN)
}

// operational sets the path's basic and operational MUF and its OWF.
func (h *Hour) operational(decided *point) {
	p, s := h.p, h.p.sky
	h.decided = decided
	power, day := 0, 0
	if p.EIRP.DBW() > 30 {
		power = 1
	}
	cosχ, _ := s.sunAt(&p.m, h.UTC)
	if cosχ > 0 {
		day = 1
	}
	f2 := h.BasicF2 * operational[power][season(s.Date.Month, p.south)][day]
	h.BasicMUF = max(h.BasicE, h.BasicF2)
	h.OperationalMUF = max(h.BasicE, f2)
	lower := 0.85
	if s.Reading.OWFByDeciles {
		lower, _ = s.deciles(decided, h.UTC)
	}
	h.OWF = max(f2*lower, 0.95*h.BasicE)
}

// deciles returns those of foF2 at a point, by the reading's choice of band.
func (s *Sky) deciles(p *point, utcH float64) (lower, upper float64) {
	band := p.at.Lat.Deg()
	if s.Reading.DecilesByModip {
		band = p.μ * 180 / math.Pi
	}
	return iono.FoF2Deciles(s.Date.Month, p.at.Lat < 0, band, s.R12, p.local(utcH))
}

// Midpoint is the middle of the path.
func (p *Path) Midpoint() earth.Point { return p.m.at }
