package circuit

import (
	"fmt"
	"math"

	"farhail/hf/iono"
)

// literalIn is one question: one path, one moment of the middle of a month, one
// frequency; 0 dBi at every angle at both ends.
type literalIn struct {
	FromLat, FromLon, ToLat, ToLon float64 // degrees
	Year, Month                    int
	UTC                            float64 // hours
	SSN                            float64 // drives every formula as given (choices 5)
	FMHz, PowerW                   float64
	BandwidthHz, NeedSNR           float64
	Env                            string // city, residential, rural, quiet-rural
	Strict                         bool   // the reading
	Long                           bool   // the long way round
	Es                             bool   // modes by sporadic E
}

// literalOut is the answer. Where nothing arrives, the mode is empty and what needs a
// signal is NaN.
type literalOut struct {
	DistanceKm, AzimuthDeg        float64
	BasicMUF, OperationalMUF, OWF float64
	Mode                          string // 1E, 2F2 …, long
	ElevationDeg                  float64
	FieldDBuVm, SignalDBW         float64
	NoiseDBW                      float64
	SNR, SNRUpper, SNRLower       float64 // dB; exceeded on 50, 10 and 90 % of the time
	Reliability                   float64 // 0…1
	DelayMs                       float64
	Support                       float64 // 0…1, field reading only
	Es                            []literalEsMode
	Arrives                       bool
	NearThreshold                 bool // an input lies on a branch: not to be compared
}

func literal(in literalIn) literalOut {
	r := literalBegin(in)
	UT, f := in.UTC, in.FMHz
	p := r.path(UT)
	out := literalOut{DistanceKm: r.D, AzimuthDeg: r.azimuth, BasicMUF: p.basicMUF}
	out.OperationalMUF, out.OWF = r.operational(p)

	if !in.Strict {
		out.Support = r.support(p, f)
	}

	E := r.arriving(&out, p, UT, f)

	F, DuN, DlN := r.noise(UT, f)
	out.NoiseDBW = F + 10*math.Log10(in.BandwidthHz) - 204
	if out.Arrives {
		// p533 §12, Gr = 0 dBi.
		out.FieldDBuVm = E
		out.SignalDBW = E - 20*math.Log10(f) - 107.2
		out.SNR = out.SignalDBW - F - 10*math.Log10(in.BandwidthHz) + 204
		lower, upper := literalDayToDay(f/p.basicMUF, r.highLatitude(p))
		DuSN := math.Sqrt(upper*upper + 5*5 + DlN*DlN)
		DlSN := math.Sqrt(lower*lower + 8*8 + DuN*DuN)
		out.SNRUpper = out.SNR + DuSN
		out.SNRLower = out.SNR - DlSN
		out.Reliability = literalBCR(out.SNR, in.NeedSNR, DuSN, DlSN)
	} else {
		nan := math.NaN()
		out.FieldDBuVm, out.SignalDBW, out.SNR, out.SNRUpper, out.SNRLower = nan, nan, nan, nan, nan
		// open: no signal has no reliability; the alternative is 0.
		out.Reliability, out.DelayMs, out.ElevationDeg = nan, nan, nan
	}
	if in.Es {
		out.Es = r.sporadic(UT, f)
	}
	out.NearThreshold = r.near
	return out
}

// operational is the path's operational MUF and OWF (p533 §5, choices 17, 19).
func (r *literalRun) operational(p literalPath) (MUF, OWF float64) {
	r.at(p.M.χ, 90)
	eirp := 10 * math.Log10(r.PowerW)
	F2 := p.MUFF2 * r.rop(eirp, r.season(r.Month, p.M.φ), p.M.χ < 90)
	E := p.MUFE
	lowerF2 := 0.85
	if !r.Strict {
		at := p.f2At
		r.decileEdges(at.μ, at.localTime)
		if r.Month != 3 && r.Month != 4 && r.Month != 9 && r.Month != 10 {
			r.at(at.φ, 0)
		}
		lowerF2, _ = iono.FoF2Deciles(r.Month, at.φ < 0, at.μ, r.SSN, at.localTime)
	}
	return math.Max(F2, E), math.Max(lowerF2*F2, 0.95*E)
}

// support is the share of days on which the lowest-order mode of E or F2 carries f,
// whichever does more often (p533 §4).
func (r *literalRun) support(p literalPath, f float64) float64 {
	at := p.f2At
	δl, δu := iono.FoF2Deciles(r.Month, at.φ < 0, at.μ, r.SSN, at.localTime)
	F := literalMonthProbability(f, p.MUFF2, δl, δu)
	if p.MUFE > 0 {
		F = math.Max(F, literalMonthProbability(f, p.MUFE, 0.95, 1.05))
	}
	return F / 100
}

// decileEdges are the joints of the table of foF2 deciles.
func (w *literalWatch) decileEdges(band, localTime float64) {
	for edge := 15.0; edge < 80; edge += 10 {
		w.at(math.Abs(band), edge)
	}
	for edge := 2.0; edge < 24; edge += 4 {
		w.at(localTime, edge)
	}
}

// arriving is the field at the receiver, with mode, elevation and delay spread put
// into out (p533 §9–§11, choices 27).
//
// open: from 7000 to 9000 km the mode named is the strongest of the short-path method,
// and "long" only where none arrives; the alternative names the stronger method.
// open: beyond 9000 km (and where no mode is left from 7000 km on) the delay spread is
// that of p533 §14, 3 ms at 7000 km rising to 5 ms at 20 000 km and on in the same
// line; the alternatives are 0 and a stop at 5 ms.
func (r *literalRun) arriving(out *literalOut, p literalPath, UT, f float64) (E float64) {
	r.at(r.D, 7000)
	r.at(r.D, 9000)
	var modes []literalMode
	if r.D <= 9000 {
		modes = r.modes(p, UT, f)
	}
	Es := math.Inf(-1)
	if len(modes) > 0 {
		Es = literalSumModes(modes)
		best := modes[0]
		for _, m := range modes[1:] {
			r.at(m.E, best.E)
			if m.E > best.E {
				best = m
			}
		}
		out.Mode = fmt.Sprintf("%d%s", best.n, best.layer)
		out.ElevationDeg = best.Δ
		early, late := math.Inf(1), math.Inf(-1)
		for _, m := range modes {
			r.at(m.E, best.E-10)
			if m.E >= best.E-10 {
				early, late = math.Min(early, m.delayMs), math.Max(late, m.delayMs)
			}
		}
		out.DelayMs = late - early
		out.Arrives = true
	} else if r.D > 7000 {
		out.Mode = "long"
		out.ElevationDeg = math.NaN()
		out.DelayMs = literalLongSpread(r.D)
		out.Arrives = true
	}
	switch {
	case r.D <= 7000:
		return Es
	case r.D < 9000:
		return literalInterpolate(Es, r.long(p, UT, f), r.D)
	}
	return r.long(p, UT, f)
}

// literalSumModes is E_s of p533 §9.
func literalSumModes(modes []literalMode) float64 {
	sum := 0.0
	for _, m := range modes {
		sum += math.Pow(10, m.E/10)
	}
	return 10 * math.Log10(sum)
}

// literalLUF is the lowest frequency, 2.0 to 30.0 MHz by 0.1, at which the median SNR
// reaches what is needed (p533 §13, choices 25). The frequency of the question is not
// looked at.
func literalLUF(in literalIn) (mhz float64, ok bool) {
	for tenths := 20; tenths <= 300; tenths++ {
		in.FMHz = float64(tenths) / 10
		out := literal(in)
		if out.Arrives && out.SNR >= in.NeedSNR {
			return in.FMHz, true
		}
	}
	return 0, false
}
