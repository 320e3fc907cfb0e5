package circuit

import (
	"math"
)

// A Window is what a digital receiver bears: modes within Time of the first help,
// modes outside hurt when they come within Ratio of the wanted signal; scatter beyond
// Spread hurts likewise.
//
// Source: P.533-14 §10.2.1, as in our notes (structure from memory, medium).
type Window struct {
	TimeMs   float64 // Tw
	SpreadHz float64 // Fw
	RatioDB  float64 // A
}

// Digital is the overall circuit reliability of a digital system and what made it.
type Digital struct {
	Overall    float64 // 0…1
	Basic      float64 // of the wanted modes against noise
	Multipath  float64 // probability that no mode outside the time window disturbs
	Scatter    float64 // probability of equatorial scatter that would disturb
	WantedDBW  float64
	Disturbing int // modes outside the window
}

// Digital works out P.533-14 §10.2.3 for one frequency.
//
// The wanted signal is the sum of the modes within A of the strongest that arrive
// within Tw of the first; each other mode within A is met with the probability that
// the ratio of wanted signal to it exceeds A, by the P.842 procedure with the signal's
// deciles alone; scatter by Attachment 1. Beyond 9,000 km the composite signal has a
// spread of 3 ms at 7,000 km growing to 5 ms at 20,000 km.
func (h *Hour) Digital(b *Band, w Window) (d Digital) {
	p := h.p
	var r Prediction
	h.Predict(b, &r)
	if !r.Arrives() {
		return d
	}
	d.Scatter = h.scatterBeyond(w)
	lower, upper := dayToDayAt(b.MHz/h.BasicMUF, h.high)
	us, ls := math.Hypot(upper, upperInHour), math.Hypot(lower, lowerInHour)
	d.Multipath = 1
	d.WantedDBW = r.Signal
	if r.Mode == LongMode {
		if 3+2*(p.DKm-7000)/13000 > w.TimeMs {
			return d
		}
	} else if modes := h.modes(b); len(modes) > 0 {
		first := math.Inf(1)
		best := 0.0
		for _, m := range modes {
			best = max(best, m.power)
		}
		least := best * math.Pow(10, -w.RatioDB/10)
		for _, m := range modes {
			if m.power >= least {
				first = min(first, m.delayMs)
			}
		}
		wanted := 0.0
		for _, m := range modes {
			if m.power >= least && m.delayMs <= first+w.TimeMs {
				wanted += m.power
			}
		}
		all := 0.0
		for _, m := range modes {
			all += m.power
			if m.power >= least && m.delayMs > first+w.TimeMs {
				d.Disturbing++
				ratio := 10 * math.Log10(wanted/m.power)
				d.Multipath *= Reliability(ratio, w.RatioDB, math.Hypot(us, ls), math.Hypot(us, ls))
			}
		}
		if p.DKm <= longFromKm {
			d.WantedDBW += 10 * math.Log10(wanted/all)
		}
	}
	snr := d.WantedDBW - r.Noise
	d.Basic = Reliability(snr, float64(p.NeedSNR), r.Upper-r.SNR, r.SNR-r.Lower)
	d.Overall = d.Basic * d.Multipath * (1 - d.Scatter)
	return d
}

type arrival struct {
	power   float64 // at the receiver, relative
	delayMs float64
}

// modes lists the arrivals of one frequency; it allocates.
func (h *Hour) modes(b *Band) (out []arrival) {
	var s sum
	h.add(&s, b)
	for i := range s.n {
		out = append(out, arrival{s.e[i], s.path[i] * 1e3 / lightKms})
	}
	return out
}

// Equatorial scatter. Source: P.533-14 Attachment 1, as in our notes (numbers from
// memory, high).
const (
	scatterShare    = 0.056
	scatterTimeMs   = 1.0
	scatterSpreadHz = 3.0
)

// ScatterTime is the power scattered to a delay τ after the main arrival τm, as a
// share of the main arrival's: 0.056 exp[−(τ − τm)²/2T²], T = 1 ms.
func ScatterTime(afterMs float64) float64 {
	return scatterShare * math.Exp(-afterMs*afterMs/(2*scatterTimeMs*scatterTimeMs))
}

// ScatterFrequency is the share scattered to a frequency offset: F = 3 Hz.
func ScatterFrequency(offHz float64) float64 {
	return scatterShare * math.Exp(-offHz*offHz/(2*scatterSpreadHz*scatterSpreadHz))
}

// ScatterProbability is prob_occ = Fλ · FT · FR · FS.
//
//	Fλ  |dip latitude| L: 1 below 15°, [(25−L)/10]² (L−10)/5 to 25°, 0 above
//	FT  local time: 1 at 20–03, falling to 0 at 07, 0 to 19, rising to 1 at 20
//	FR  0.1 + 0.008 R12, at most 1;  FS  0.55 + 0.45 sin[60° (m − 1.5)]
func ScatterProbability(dipLatDeg, lt, R12 float64, month int) float64 {
	L := math.Abs(dipLatDeg)
	Fλ := 0.0
	switch {
	case L < 15:
		Fλ = 1
	case L < 25:
		x := (25 - L) / 10
		Fλ = x * x * (L - 10) / 5
	}
	FT := 0.0
	switch {
	case lt < 3 || lt >= 20:
		FT = 1
	case lt < 7:
		x := (7 - lt) / 4
		FT = x * x * (lt - 1) / 2
	case lt >= 19:
		FT = (lt - 19) * (lt - 19) * (41 - 2*lt)
	}
	FR := min(max(0.1+0.008*R12, 0), 1)
	FS := 0.55 + 0.45*math.Sin(60*math.Pi/180*(float64(month)-1.5))
	return Fλ * FT * FR * FS
}

// scatterBeyond is the probability that scatter outside the windows exceeds A below
// the wanted signal: the probability of occurrence at the worst reflection point when
// the scattered power at the window's edge is that strong, else 0.
func (h *Hour) scatterBeyond(w Window) float64 {
	p := h.p
	level := math.Pow(10, -w.RatioDB/10)
	if ScatterTime(w.TimeMs) < level && ScatterFrequency(w.SpreadHz) < level {
		return 0
	}
	worst := 0.0
	at := [3]*point{&p.m, &p.m, &p.m}
	if p.DKm > hopMax {
		at[1], at[2] = &p.pair[p.n0].p, &p.pair[p.n0].q
	}
	for _, c := range at {
		dip := p.sky.field.At(c.at, 300).Dip()
		λd := math.Atan(math.Tan(dip)/2) * 180 / math.Pi
		worst = max(worst, ScatterProbability(λd, c.local(h.UTC), p.sky.R12, p.sky.Date.Month))
	}
	return worst
}

// FoF2DecilesAt returns the ratios of the lower and upper decile of the daily foF2 to
// its median at the path's midpoint, by the reading's bands.
func (h *Hour) FoF2DecilesAt() (lower, upper float64) {
	return h.p.sky.deciles(&h.p.m, h.UTC)
}

// Support is the share of the month's days on which the path's basic MUF reaches a
// frequency: that of the lowest-order E or F2 mode, whichever is there more often.
func (h *Hour) Support(fMHz float64) (share float64) {
	lower, upper := h.p.sky.deciles(h.decided, h.UTC)
	share = Support(fMHz, h.BasicF2, lower, upper)
	if h.BasicE > 0 {
		share = max(share, Support(fMHz, h.BasicE, eLower, eUpper))
	}
	return share
}

// Deciles of the daily MUF of E modes over their median.
// Source: P.533-14 §3.6, as in our notes (from memory, high).
const eLower, eUpper = 0.95, 1.05

// Support is the within-the-month probability that a mode of basic MUF fb carries f,
// 0…1.
//
//	f ≤ fb:  1.3 − 0.8/{1 + (fb − f)/[fb (1 − δl)]}  or 1
//	f > fb:  0.8/{1 + (f − fb)/[fb (δu − 1)]} − 0.3  or 0
//
// Source: P.533-14 §3.6, as in our notes (from memory, high).
func Support(fMHz, fb, δl, δu float64) float64 {
	if fMHz <= fb {
		return min(1.3-0.8/(1+(fb-fMHz)/(fb*(1-δl))), 1)
	}
	return max(0.8/(1+(fMHz-fb)/(fb*(δu-1)))-0.3, 0)
}
