package circuit

import (
	"math"
	"testing"
)

// The literal twin of p533 §14: digital systems, and equatorial scatter.

// literalLongSpread is the time spread of the composite signal, ms: 3 at 7000 km and 5
// at 20 000 km, in one line (p533 §14).
func literalLongSpread(D float64) float64 {
	return 3 + (D-7000)/(20000-7000)*(5-3)
}

// literalScatterTime is p_T(τ): scattered power at τ ms for a mode of power pm at τm,
// after the main arrival.
func literalScatterTime(pm, τ, τm float64) float64 {
	const spread = 1.0 // ms
	return 0.056 * pm * math.Exp(-(τ-τm)*(τ-τm)/(2*spread*spread))
}

// literalScatterFrequency is p_F(f): scattered power f Hz off a mode at fm.
func literalScatterFrequency(pm, f, fm float64) float64 {
	const spread = 3.0 // Hz
	return 0.056 * pm * math.Exp(-(f-fm)*(f-fm)/(2*spread*spread))
}

// literalScatterChance is prob_occ: λd dip latitude in degrees, T local time in hours.
func literalScatterChance(λd, T, R12 float64, month int) float64 {
	L := math.Abs(λd)
	Fλ := 0.0
	switch {
	case L < 15:
		Fλ = 1
	case L <= 25:
		Fλ = math.Pow((25-L)/10, 2) * (L - 10) / 5
	}
	FT := 1.0
	switch {
	case T < 3:
	case T < 7:
		FT = math.Pow((7-T)/4, 2) * (T - 1) / 2
	case T < 19:
		FT = 0
	case T < 20:
		FT = math.Pow(T-19, 2) * (41 - 2*T)
	}
	FR := math.Min(0.1+0.008*R12, 1)
	FS := 0.55 + 0.45*literalSin(60*(float64(month)-1.5))
	return Fλ * FT * FR * FS
}

// literalSystem is what a digital system bears (p533 §14).
type literalSystem struct {
	windowMs float64 // T_w
	windowHz float64 // F_w
	ratioDB  float64 // A
}

// literalDigital is the overall circuit reliability, 0…1, of p533 §14's procedure.
// NeedSNR of the question is the system's required S/N.
func literalDigital(in literalIn, system literalSystem) (reliability float64, near bool) {
	r := literalBegin(in)
	UT, f := in.UTC, in.FMHz
	p := r.path(UT)
	F, DuN, DlN := r.noise(UT, f)
	lower, upper := literalDayToDay(f/p.basicMUF, r.highLatitude(p))
	DuSN := math.Sqrt(upper*upper + 5*5 + DlN*DlN)
	DlSN := math.Sqrt(lower*lower + 8*8 + DuN*DuN)
	bcr := func(E float64) float64 {
		SN := E - 20*math.Log10(f) - 107.2 - F - 10*math.Log10(in.BandwidthHz) + 204
		return literalBCR(SN, in.NeedSNR, DuSN, DlSN)
	}

	r.at(r.D, 9000)
	if r.D > 9000 {
		// open: the notes end here; scatter is not asked again.
		r.at(literalLongSpread(r.D), system.windowMs)
		if literalLongSpread(r.D) > system.windowMs {
			return 0, r.near
		}
		return bcr(r.long(p, UT, f)), r.near
	}

	// 1. The dominant mode.
	modes := r.modes(p, UT, f)
	if len(modes) == 0 {
		// open: nothing arrives, nothing is reliable; from 7000 km on the long-path
		// method alone might be taken.
		return 0, r.near
	}
	dominant := math.Inf(-1)
	for _, m := range modes {
		dominant = math.Max(dominant, m.E)
	}
	// 2. All modes stronger than E_w − A.
	kept := []literalMode{}
	for _, m := range modes {
		r.at(m.E, dominant-system.ratioDB)
		// open: the dominant mode stays even with A = 0 (the text's ">" would drop it).
		if m.E > dominant-system.ratioDB || m.E == dominant {
			kept = append(kept, m)
		}
	}
	// 3. The earliest, and those within T_w of it.
	first := math.Inf(1)
	for _, m := range kept {
		first = math.Min(first, m.delayMs)
	}
	wanted, others := []literalMode{}, []literalMode{}
	for _, m := range kept {
		r.at(m.delayMs-first, system.windowMs)
		if m.delayMs-first <= system.windowMs {
			wanted = append(wanted, m)
		} else {
			others = append(others, m)
		}
	}
	// 4. Their sum; from 7000 km on the interpolation.
	sum := literalSumModes(wanted)
	E := sum
	r.at(r.D, 7000)
	if r.D > 7000 {
		E = literalInterpolate(sum, r.long(p, UT, f), r.D)
	}
	reliability = bcr(E)

	// 5. Each mode outside the window: the wanted sum over it, against A, by the same
	// procedure with the signal's deciles only.
	// open: "signal deciles only" is read as those of the wanted signal, day to day and
	// within the hour, without those of the interfering mode; the alternative adds the
	// same again in squares.
	for _, m := range others {
		DuSM := math.Sqrt(upper*upper + 5*5)
		DlSM := math.Sqrt(lower*lower + 8*8)
		reliability *= literalBCR(sum-m.E, system.ratioDB, DuSM, DlSM)
	}

	// 6. Scatter.
	return reliability * (1 - r.scatter(p, wanted, first, system)), r.near
}

// scatter is prob_occ where the scatter outside the windows matters, else 0.
//
// open: the scatter of all wanted modes is summed at the edge of the window, where it
// is strongest outside; in time after the main arrivals only, in frequency F_w/2 to
// either side. The alternatives take each mode alone, and F_w to either side.
// open: prob_occ is the largest of the F2 points of Table 1a, dip at 300 km.
func (r *literalRun) scatter(p literalPath, wanted []literalMode, first float64, system literalSystem) float64 {
	power, inTime, inFrequency := 0.0, 0.0, 0.0
	for _, m := range wanted {
		pm := math.Pow(10, m.E/10)
		power += pm
		inTime += literalScatterTime(pm, first+system.windowMs, m.delayMs)
		inFrequency += literalScatterFrequency(pm, system.windowHz/2, 0)
	}
	limit := power * math.Pow(10, -system.ratioDB/10)
	if inTime <= limit && inFrequency <= limit {
		return 0
	}
	chance := 0.0
	for _, at := range p.tableA {
		chance = math.Max(chance, literalScatterChance(at.dipLatitudeDeg, at.localTime, r.SSN, r.Month))
	}
	return math.Min(chance, 1)
}

// Check values of p533 §14.
func TestLiteralScatterChance(t *testing.T) {
	for _, c := range []struct {
		λd, T, R12 float64
		month      int
		want       float64
	}{
		{5, 22, 100, 3, 0.90000},
		{18, 21, 60, 4, 0.35241},
		{10, 19.5, 120, 9, 0.50000},
		{5, 4, 30, 12, 0.02869},
		{5, 12, 100, 3, 0},
		{-18, 21, 60, 4, 0.35241}, // the sign of the dip latitude does not matter
	} {
		got := literalScatterChance(c.λd, c.T, c.R12, c.month)
		if math.Abs(got-c.want) > 5e-6 {
			t.Errorf("prob_occ(λd %g°, T %g h, R12 %g, month %d) = %.5f, want %.5f ± 5e-6", c.λd, c.T, c.R12, c.month, got, c.want)
		}
	}
}

// The factors meet at their joints (p533 §14: "all factors are continuous").
func TestLiteralScatterJoints(t *testing.T) {
	chance := func(λd, T float64) float64 { return literalScatterChance(λd, T, 100, 3) }
	for _, λd := range []float64{15, 25} {
		if a, b := chance(λd-1e-9, 22), chance(λd+1e-9, 22); math.Abs(a-b) > 1e-8 {
			t.Errorf("prob_occ steps from %g to %g at dip latitude %g°", a, b, λd)
		}
	}
	for _, T := range []float64{3, 7, 19, 20} {
		if a, b := chance(5, T-1e-9), chance(5, T+1e-9); math.Abs(a-b) > 1e-8 {
			t.Errorf("prob_occ steps from %g to %g at %g h", a, b, T)
		}
	}
}

// p533 §14: 3 ms at 7000 km, 5 ms at 20 000 km; scatter is a Gaussian of 1 ms and of
// 3 Hz, 0.056 of the mode at its centre.
func TestLiteralSpreads(t *testing.T) {
	for _, c := range []struct{ D, want float64 }{{7000, 3}, {13500, 4}, {20000, 5}} {
		if got := literalLongSpread(c.D); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("time spread at %g km = %g ms, want %g", c.D, got, c.want)
		}
	}
	if got := literalScatterTime(1, 4, 3); math.Abs(got-0.056*math.Exp(-0.5)) > 1e-15 {
		t.Errorf("p_T one spread after the mode = %g", got)
	}
	if got := literalScatterFrequency(1, -6, 0); math.Abs(got-0.056*math.Exp(-2)) > 1e-15 {
		t.Errorf("p_F two spreads below the mode = %g", got)
	}
}

// Laws of the procedure: a wide window without scatter is the analogue reliability; a
// window of nothing never helps; a tolerant system is never worse.
func TestLiteralDigital(t *testing.T) {
	in := literalIn{FromLat: 50, FromLon: -8, ToLat: 43, ToLon: 5, Year: 2026, Month: 6, UTC: 14, SSN: 80,
		FMHz: 7.1, PowerW: 100, BandwidthHz: 3000, NeedSNR: 6, Env: "rural"}
	plain := literal(in).Reliability
	wide, _ := literalDigital(in, literalSystem{windowMs: 100, windowHz: 100, ratioDB: 60})
	if math.Abs(wide-plain) > 1e-12 {
		t.Errorf("reliability with a window of 100 ms = %.12f, analogue %.12f, want equal", wide, plain)
	}
	narrow, _ := literalDigital(in, literalSystem{windowMs: 0.05, windowHz: 100, ratioDB: 20})
	if !(narrow < plain) {
		t.Errorf("reliability with a window of 0.05 ms = %g, want below %g", narrow, plain)
	}
	tropic := literalIn{FromLat: -4, FromLon: -60, ToLat: 4, ToLon: -70, Year: 2026, Month: 3, UTC: 2.5, SSN: 100,
		FMHz: 7.1, PowerW: 100, BandwidthHz: 3000, NeedSNR: 6, Env: "rural"}
	calm, _ := literalDigital(tropic, literalSystem{windowMs: 100, windowHz: 100, ratioDB: 20})
	scattered, _ := literalDigital(tropic, literalSystem{windowMs: 100, windowHz: 2, ratioDB: 20})
	if calm == 0 || math.Abs(scattered/calm-0.1) > 1e-9 {
		t.Errorf("equatorial night of March at R12 100: %g with scatter, %g without, want a tenth (prob_occ 0.9)", scattered, calm)
	}
	far := literalIn{FromLat: 50, FromLon: -8, ToLat: -35, ToLon: 18, Year: 2026, Month: 6, UTC: 20, SSN: 80,
		FMHz: 14, PowerW: 100, BandwidthHz: 3000, NeedSNR: 0, Env: "rural"}
	short, _ := literalDigital(far, literalSystem{windowMs: 3, windowHz: 100, ratioDB: 20})
	long, _ := literalDigital(far, literalSystem{windowMs: 4, windowHz: 100, ratioDB: 20})
	if short != 0 || math.Abs(long-literal(far).Reliability) > 1e-12 {
		t.Errorf("9,700 km: %g with a window of 3 ms, %g with 4 ms; want 0 and %g", short, long, literal(far).Reliability)
	}
}
