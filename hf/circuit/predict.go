package circuit

import (
	"math"
	"strconv"

	"farhail/hf/noise"
)

// A Mode names the strongest mode: layer and hops.
type Mode uint8

const (
	NoMode   Mode = 0
	LongMode Mode = 0x30
	layerE   Mode = 0x10
	layerF2  Mode = 0x20
	layerEs  Mode = 0x40
)

// String writes 1E, 2F2, 1Es, long or nothing.
func (m Mode) String() string {
	n := strconv.Itoa(int(m & 15))
	switch m &^ 15 {
	case layerE:
		return n + "E"
	case layerF2:
		return n + "F2"
	case layerEs:
		return n + "Es"
	case LongMode:
		return "long"
	}
	return ""
}

// A Band is a frequency as the engine wants it: the noise's polynomials worked out.
type Band struct {
	MHz   float64
	log20 float64 // 20 log f
	noise noise.Band
}

// NewBand prepares a frequency.
func NewBand(fMHz float64) Band {
	return Band{MHz: fMHz, log20: 20 * math.Log10(fMHz), noise: noise.NewBand(fMHz)}
}

// A Prediction is one path, hour and frequency.
type Prediction struct {
	Mode         Mode
	Below        bool    // the strongest mode leaves below the horizon
	ElevationDeg float64 // of the strongest mode; NaN for the long-path method
	Field        float64 // dB(µV/m)
	Signal       float64 // dBW at the receiver
	Noise        float64 // dBW in the bandwidth, median
	SNR          float64 // dB, monthly median
	Upper        float64 // dB: SNR exceeded 10 % of the time
	Lower        float64 // dB: SNR exceeded 90 % of the time
	Reliability  float64 // share of time the required SNR is reached
	DelaySpread  float64 // ms

	// What the deciles are made of, dB about the median: the signal from day to day
	// (P.842-5 Table 2) and the noise. The signal within the hour is not in them.
	DayUpper, DayLower     float64
	NoiseUpper, NoiseLower float64
}

// SlantKm is the virtual length of the strongest mode's ray over a path of D km; NaN for
// the long-path method and where nothing arrives.
func (r *Prediction) SlantKm(DKm float64) float64 {
	n := int(r.Mode & 15)
	if n == 0 {
		return math.NaN()
	}
	h := newHop(DKm, n)
	sinΔ, cosΔ := math.Sincos(r.ElevationDeg * math.Pi / 180)
	return 2 * float64(n) * r0Km * h.sinψ / (cosΔ*h.cosψ - sinΔ*h.sinψ)
}

// Arrives reports whether anything does.
func (r *Prediction) Arrives() bool { return r.Mode != NoMode }

const (
	perDB    = math.Ln10 / 10
	lightKms = 3e5 // P.533-14 §10.2.2 takes c so
	noDB     = -999.0
)

// A sum adds the modes of one prediction.
type sum struct {
	field, signal float64 // powers
	best          float64 // field power of the strongest
	mode          Mode
	tanΔ, p       float64
	n             int
	e, path       [esHops + maxF2]float64
}

// Predict works out one frequency into r. Nothing arriving leaves Mode NoMode and
// levels of −999 dB; noise is there all the same.
func (h *Hour) Predict(b *Band, r *Prediction) {
	var s sum
	h.add(&s, b)
	h.total(&s, b, r)
	h.against(b, r)
}

// add sums the modes of the short-path method.
func (h *Hour) add(s *sum, b *Band) {
	p := h.p
	if p.DKm > longOnlyKm {
		return
	}
	x := b.MHz + h.fH
	den := math.Exp(1.98*math.Log(x)) + 10.2
	if p.esModes > 0 {
		h.addEs(s, b, den)
	} else {
		for i := range p.eModes {
			h.arrive(s, b, layerE|Mode(p.eHop[i].n), &p.eRay[i], p.eHop[i].n, h.beyondMUF(b, h.eMUF[i], eSteep, eLimit), den)
		}
	}
	for i := range h.f2Modes {
		m := &h.f2[i]
		if b.MHz <= m.fs {
			continue
		}
		y := &m.day
		if h.night {
			v := m.hop.at(h.mirrorHeight(m.hop.dKm, min(b.MHz, m.fb)))
			y = &v
		}
		h.arrive(s, b, layerF2|Mode(m.hop.n), y, m.hop.n, h.beyondMUF(b, m.fb, f2Steep, f2Limit), den)
	}
}

// Loss above the MUF, dB: its steepness and where it ends.
const (
	eSteep, eLimit   = 46.0, 58.0
	f2Steep, f2Limit = 36.0, 60.0
)

// beyondMUF is the loss above a mode's MUF, dB.
//
//	Lm = steep √(f/fb − 1) + the reading's step above the MUF, limited
//
// Source: P.533-14 §5.2.2, as in our notes (from memory, medium).
func (h *Hour) beyondMUF(b *Band, fb, steep, limit float64) float64 {
	if b.MHz <= fb {
		return 0
	}
	return min(steep*math.Sqrt(b.MHz/fb-1)+h.p.sky.Reading.StepAboveMUF, limit)
}

// arrive adds one mode, reflection being Lm or, for Es, what takes its place.
//
//	E_w = 136.6 + Pt + Gt + 20 log f − Lb
//	Lb  = 32.45 + 20 log f + 20 log p′ + Li + Lm + Lg + Lh + Lz
//	Li  = n 677.2 Ī sec i/[(f + fH)^1.98 + 10.2]
//	Lg  = 2 (n − 1)
//
// Source: P.533-14 §5.2.2, as in our notes (from memory, high).
func (h *Hour) arrive(s *sum, b *Band, mode Mode, y *ray, n int, reflection, den float64) {
	loss := float64(n)*h.absorb*y.sec/den + float64(2*(n-1)) + reflection
	dB := h.fixed - loss
	gr := 0.0
	if h.p.Tx.Antenna != nil || h.p.Rx.Antenna != nil {
		el := y.elevationDeg()
		if a := h.p.Tx.Antenna; a != nil {
			dB += a.Gain(b.MHz, h.p.Arc.Azimuth.Deg(), el)
		}
		if a := h.p.Rx.Antenna; a != nil {
			gr = a.Gain(b.MHz, h.p.Arc.Back.Deg(), el)
		}
	}
	e := math.Exp(perDB*dB) / (y.p * y.p)
	s.field += e
	if gr != 0 {
		s.signal += e * math.Exp(perDB*gr)
	} else {
		s.signal += e
	}
	if e > s.best {
		s.best, s.mode, s.tanΔ, s.p = e, mode, y.tanΔ, y.p
	}
	s.e[s.n], s.path[s.n] = e, y.p
	s.n++
}

// total turns the modes, and the long-path method where it applies, into levels.
func (h *Hour) total(s *sum, b *Band, r *Prediction) {
	p := h.p
	*r = Prediction{Mode: s.mode, Field: noDB, Signal: noDB, SNR: noDB, Upper: noDB, Lower: noDB}
	if s.mode != NoMode {
		r.ElevationDeg = math.Atan(s.tanΔ) * (180 / math.Pi)
		r.Below = r.ElevationDeg < 0
		r.Field = 10 * math.Log10(s.field)
		r.Signal = r.Field
		if s.signal != s.field {
			r.Signal = 10 * math.Log10(s.signal)
		}
		r.DelaySpread = s.spread()
	}
	if p.DKm > longFromKm {
		h.longer(s, b, r)
	}
	r.Signal += -b.log20 - powerConstant
}

// longer brings in the long-path method: alone beyond 9,000 km, between 7,000 and
// 9,000 km by
//
//	E_ti = 100 log10 X_i ,  X_i = X_s + (D − 7000)/2000 (X_l − X_s) ,  X = 10^(0.01 E)
//
// Source: P.533-14 §5.4, as in our notes (from memory, high). The receive gain is the
// larger of the strongest mode's and the largest between 0° and 8°.
func (h *Hour) longer(s *sum, b *Band, r *Prediction) {
	p := h.p
	gain := func(a Antenna, az float64) float64 {
		if a == nil {
			return 0
		}
		g := math.Inf(-1)
		for el := 0.0; el <= 8; el++ {
			g = max(g, a.Gain(b.MHz, az, el))
		}
		return g
	}
	E := p.long.field(h, b.MHz) + gain(p.Tx.Antenna, p.Arc.Azimuth.Deg())
	gr := gain(p.Rx.Antenna, p.Arc.Back.Deg())
	if p.DKm <= longOnlyKm {
		w := (p.DKm - longFromKm) / (longOnlyKm - longFromKm)
		X := w * math.Pow(10, 0.01*E)
		if s.mode != NoMode {
			X += (1 - w) * math.Pow(10, 0.01*r.Field)
			gr = max(gr, r.Signal-r.Field)
		}
		E = 100 * math.Log10(X)
	}
	if s.mode == NoMode {
		r.Mode, r.ElevationDeg = LongMode, math.NaN()
		r.DelaySpread = 3 + 2*(p.DKm-7000)/13000 // P.533-14 §10.2.3
	}
	r.Field, r.Signal = E, E+gr
}

// spread is the difference of delay between the modes within 10 dB of the strongest, ms.
func (s *sum) spread() float64 {
	lo, hi := s.p, s.p
	least := s.best * 0.1
	for i, e := range s.e[:s.n] {
		if e >= least {
			lo, hi = min(lo, s.path[i]), max(hi, s.path[i])
		}
	}
	return (hi - lo) * (1e3 / lightKms)
}

// against sets the signal against the noise: median SNR, deciles, reliability.
//
//	S/N   = Pr − Fa − 10 log b + 204
//	DuSN  = √(DuSd² + DuSh² + DlN²) ,  DlSN = √(DlSd² + DlSh² + DuN²)
//
// Source: P.533-14 §7–8, P.842-5 Table 1, as in our notes (from memory, high).
func (h *Hour) against(b *Band, r *Prediction) {
	p := h.p
	N := p.noiseAt(h.UTC, b, h.foF2Rx)
	r.Noise = N.Fam + p.bandwidthDB - 204
	r.NoiseUpper, r.NoiseLower = N.Du, N.Dl
	if r.Mode == NoMode {
		return
	}
	lower, upper := dayToDayAt(b.MHz/h.BasicMUF, h.high)
	r.DayUpper, r.DayLower = upper, lower
	up := math.Sqrt(upper*upper + upperInHour*upperInHour + N.Dl*N.Dl)
	lo := math.Sqrt(lower*lower + lowerInHour*lowerInHour + N.Du*N.Du)
	r.SNR = r.Signal - r.Noise
	r.Upper, r.Lower = r.SNR+up, r.SNR-lo
	r.Reliability = Reliability(r.SNR, float64(p.NeedSNR), up, lo)
}

// noiseAt is the noise at the receiver, its own included when it is known.
//
//	f = fa − 1 + fc ft fr
//
// Source: P.372 Part 1, as in our notes (from memory, high). The receiver's own noise
// is steady: it narrows the deciles.
func (p *Path) noiseAt(utcH float64, b *Band, foF2 float64) noise.Source {
	var N noise.Source
	field := p.sky.Reading.NoiseFloor
	if p.SiteNoise == nil {
		N = p.site.Total(utcH, &b.noise, p.Noise, foF2, field)
	} else {
		A, _, _, _ := p.site.Atmospheric(utcH, &b.noise)
		N = noise.Combine(field, A, p.SiteNoise(b.MHz), noise.Galactic(b.MHz))
		if b.MHz < foF2 {
			N = noise.Combine(field, A, p.SiteNoise(b.MHz))
		}
	}
	if p.Rx.Internal == nil {
		return N
	}
	own := p.Rx.Internal(b.MHz) - 1
	with := func(FadB float64) float64 { return 10 * math.Log10(math.Max(math.Pow(10, FadB/10)+own, 1e-3)) }
	F := with(N.Fam)
	return noise.Source{Fam: F, Du: with(N.Fam+N.Du) - F, Dl: F - with(N.Fam-N.Dl)}
}
