package circuit

import "math"

// literalPath is what the path is at one hour, before any frequency is asked.
type literalPath struct {
	beyond bool // control points T+d0/2 and R−d0/2 in place of M
	n0     int  // lowest-order F2 mode
	d0     float64
	nE     int // lowest-order E mode, 0 beyond 4,000 km

	M        literalPoint
	tableA   []literalPoint // of Table 1a, F2
	tableC   []literalPoint
	tableDE  []literalPoint // of Table 1d, E modes
	tableDF2 []literalPoint

	foEMUF, foEScreen float64

	MUFE, MUFF2 float64 // basic, lowest order
	f2At        literalPoint
	basicMUF    float64
}

// path takes the control points of Table 1 and the basic MUF (p533 §1–3, choices 3,
// 10, 28).
func (r *literalRun) path(UT float64) (p literalPath) {
	D := r.D
	p.M = r.point(D/2, UT)
	dmaxM := p.M.f2().dmax()

	// Lowest-order F2 mode.
	limit := 4000.0
	if r.Strict {
		limit = dmaxM
	}
	r.at(D, limit)
	p.beyond = D > limit
	for n := 1; ; n++ {
		d := D / float64(n)
		r.at(d, limit)
		if d > limit {
			continue
		}
		if r.Strict {
			// open: beyond dmax the height is that of the point of Table 1c with the
			// lowest foF2, the points laid out for the n on trial (p533 §8); the
			// alternative takes M(3000)F2 at M throughout (p533 §3).
			h := literalHeight2(p.M.M3000)
			if p.beyond {
				h = literalHeight2(r.lowestFoF2([]literalPoint{
					r.point(d/2, UT), p.M, r.point(D-d/2, UT)}).M3000)
			}
			Δ := literalElevation(d, h)
			r.at(Δ, 0)
			if Δ < 0 {
				continue
			}
		}
		p.n0, p.d0 = n, d
		break
	}

	// Table 1a to 1d.
	r.at(D, 2000)
	r.at(D, 4000)
	if p.beyond {
		T, R := r.point(p.d0/2, UT), r.point(D-p.d0/2, UT)
		p.tableA = []literalPoint{T, R}
		p.tableC = []literalPoint{T, p.M, R}
	} else {
		p.tableA = []literalPoint{p.M}
		p.tableC = []literalPoint{p.M}
	}
	if D <= 2000 {
		p.tableDE = []literalPoint{p.M}
		p.foEMUF, p.foEScreen = p.M.foE, p.M.foE
	} else {
		T, R := r.point(1000, UT), r.point(D-1000, UT)
		p.tableDE = []literalPoint{T, p.M, R}
		p.foEMUF = math.Min(T.foE, R.foE)
		p.foEScreen = math.Max(T.foE, R.foE)
	}
	// open: where dmax lies below 4,000 km the strict reading takes the last row of
	// Table 1d from dmax on, as in a) and c); the alternative is the row "2000 < D ≤
	// 4000" to its end.
	p.tableDF2 = p.tableDE
	if p.beyond {
		p.tableDF2 = []literalPoint{p.tableDE[0], p.tableC[0], p.M, p.tableC[2], p.tableDE[2]}
	}

	// E basic MUF, lowest order: 1E to 2000 km, 2E to 4000 km.
	if D <= 4000 {
		p.nE = 1
		if D > 2000 {
			p.nE = 2
		}
		p.MUFE = literalEMUF(D/float64(p.nE), p.foEMUF)
	}

	// F2 basic MUF, lowest order.
	for i, at := range p.tableA {
		var muf float64
		switch {
		case !p.beyond:
			muf = at.f2().MUF(p.d0)
		case r.Strict: // F2(dmax)MUF
			muf = at.f2().MUF(at.f2().dmax())
		default: // F2(4000)MUF
			muf = at.f2().MUF(4000)
		}
		if i > 0 {
			r.at(muf, p.MUFF2)
		}
		if i == 0 || muf < p.MUFF2 {
			p.MUFF2, p.f2At = muf, at
		}
	}
	p.basicMUF = math.Max(p.MUFE, p.MUFF2)
	return p
}

func (w *literalWatch) lowestFoF2(points []literalPoint) literalPoint {
	low := points[0]
	for _, p := range points[1:] {
		w.at(p.foF2, low.foF2)
		if p.foF2 < low.foF2 {
			low = p
		}
	}
	return low
}

// f2ModeMUF is the basic MUF of the F2 mode of n hops (p533 §3, choices 22).
func (r *literalRun) f2ModeMUF(p literalPath, n int) float64 {
	if n == p.n0 {
		return p.MUFF2
	}
	d := r.D / float64(n)
	if !p.beyond {
		return p.M.f2().MUF(d)
	}
	// open: "product of the lower values" is read as the lower MUF times the lower of
	// the two ratios M_n/M_n0; the alternative is the quotient of the lower MUFs.
	ratio := math.Inf(1)
	for _, at := range p.tableA {
		ratio = math.Min(ratio, at.f2().MUF(d)/at.f2().MUF(p.d0))
	}
	return p.MUFF2 * ratio
}

// literalMode is one mode that arrives.
type literalMode struct {
	layer    string
	n        int
	MUF      float64
	Δ, slant float64
	E        float64 // field, dB(µV/m)
	delayMs  float64
}

// modes are the modes that carry f over D ≤ 9000 km, with their fields (p533 §8, §9).
func (r *literalRun) modes(p literalPath, UT, f float64) (out []literalMode) {
	D := r.D
	if D <= 4000 && r.Es {
		out = r.low(p, UT, f)
	} else if D <= 4000 {
		for n := p.nE; n < p.nE+3; n++ {
			d := D / float64(n)
			Δ := literalElevation(d, 110)
			m := literalMode{layer: "E", n: n, MUF: literalEMUF(d, p.foEMUF), Δ: Δ, slant: literalSlant(n, d, Δ)}
			r.field9(&m, p.tableDE, f)
			out = append(out, m)
		}
	}
	for n := p.n0; n < p.n0+6; n++ {
		d := D / float64(n)

		// E-layer screening: the elevation is that of the height of eq. (2).
		h := literalHeight2(p.M.M3000)
		if p.beyond {
			h = literalHeight2(r.lowestFoF2(p.tableC).M3000)
		}
		fs := literalScreening(p.foEScreen, literalElevation(d, h))
		r.at(fs, f)
		if fs >= f {
			continue
		}

		MUF := r.f2ModeMUF(p, n)
		// Above the MUF the geometry is that of the MUF (choices 12).
		fRay := math.Min(f, MUF)
		hr := 0.0
		for _, at := range p.tableC {
			one, _ := r.mirror(fRay, at.foF2, at.foE, at.M3000, r.SSN, d)
			hr += one
		}
		hr /= float64(len(p.tableC))
		Δ := literalElevation(d, hr)
		m := literalMode{layer: "F2", n: n, MUF: MUF, Δ: Δ, slant: literalSlant(n, d, Δ)}
		r.field9(&m, p.tableDF2, f)
		out = append(out, m)
	}
	return out
}
