package circuit

import "math"

// literalCosPower is cos^p(0.881 χ), χ not above 102° (p533 §9.1).
func literalCosPower(χ, p float64) float64 {
	return math.Pow(literalCos(0.881*math.Min(χ, 102)), p)
}

// literalI is the absorption index of p533 §9.1, not below a floor.
func literalI(R12, χ, floor float64) float64 {
	return math.Max((1+0.0037*R12)*literalCosPower(χ, 1.3), floor)
}

// literalHopLoss is the absorption of one hop, dB (p533 §9.1, the substitute).
func literalHopLoss(I, f, fH, i float64) float64 {
	return 677.2 * I / literalCos(i) / (math.Pow(f+fH, 1.98) + 10.2)
}

// literalFloor is choices 2.
func literalFloor(strict bool) float64 {
	if strict {
		return 0.1
	}
	return 0.02
}

// aboveMUF is Lm of p533 §9.2, choices 1.
func (w *literalWatch) aboveMUF(layer string, f, MUF float64, strict bool) float64 {
	// The root makes 1e-9 of noise out of 1e-15 near the MUF.
	w.within(f/MUF, 1, 1e-6)
	if f <= MUF {
		return 0
	}
	step := 0.0
	if strict {
		step = 5
	}
	root := math.Sqrt(f/MUF - 1)
	if layer == "E" {
		return math.Min(46*root+step, 58)
	}
	return math.Min(36*root+step, 60)
}

// field9 puts the field of a mode into it (p533 §9), Gt = 0 dBi.
func (r *literalRun) field9(m *literalMode, tableD []literalPoint, f float64) {
	r.field9With(m, tableD, f, r.aboveMUF(m.layer, f, m.MUF, r.Strict))
}

// field9With is the same with a loss at the reflection, Lm, of the caller's.
func (r *literalRun) field9With(m *literalMode, tableD []literalPoint, f, Lm float64) {
	k := float64(len(tableD))
	I, fH, Lh := 0.0, 0.0, 0.0
	for _, at := range tableD {
		I += literalI(r.SSN, at.χ, literalFloor(r.Strict))
		fH += at.fH100
		Lh += r.auroral(at)
	}
	I, fH, Lh = I/k, fH/k, Lh/k

	Li := float64(m.n) * literalHopLoss(I, f, fH, literalIncidence(m.Δ, 110))
	Lg := 2 * float64(m.n-1)
	Lz := 8.72
	Lb := 32.45 + 20*math.Log10(f) + 20*math.Log10(m.slant) + Li + Lm + Lg + Lh + Lz
	m.E = literalField533(r.powerDBkW(), 0, f, Lb)
	m.delayMs = m.slant / 3e5 * 1e3
}

// literalField533 is E_w of p533 §9.
func literalField533(PtDBkW, Gt, f, Lb float64) float64 {
	return 136.6 + PtDBkW + Gt + 20*math.Log10(f) - Lb
}

func (r *literalRun) powerDBkW() float64 { return 10 * math.Log10(r.PowerW/1000) }

// auroral is Lh at one point (p533 §9.3 Table 2, choices 20).
//
// open: the season is that of the point's own hemisphere; the alternative is the
// midpoint's.
func (r *literalRun) auroral(at literalPoint) float64 {
	table := literalLhNear
	r.at(r.D, 2500)
	if r.D > 2500 {
		table = literalLhFar
	}
	Gn := math.Abs(at.Gn)
	for edge := 42.5; edge < 80; edge += 5 {
		r.at(Gn, edge)
	}
	if Gn < 42.5 {
		return 0
	}
	row := 7 - int(math.Floor((Gn-42.5)/5)) // 0 is ≥ 77.5
	row = max(row, 0)
	return table[r.season(r.Month, at.φ)][row][r.lhBlock(at.localTime)]
}

// lhBlock is 0 for 01–04 … 7 for 22–01.
func (w *literalWatch) lhBlock(t float64) int {
	for edge := 1.0; edge < 24; edge += 3 {
		w.at(t, edge)
	}
	switch {
	case t < 1 || t >= 22:
		return 7
	case t < 4:
		return 0
	case t < 7:
		return 1
	case t < 10:
		return 2
	case t < 13:
		return 3
	case t < 16:
		return 4
	case t < 19:
		return 5
	}
	return 6
}
