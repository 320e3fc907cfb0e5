package noise

import (
	"fmt"
	"math"
	"slices"
)

// kt0 is k·t0 in dB(W/Hz) as the Recommendation rounds it (k·290 K = −203.975).
const kt0 = -204.0

func ratio(dB float64) float64       { return math.Pow(10, dB/10) }
func decibels(ratio float64) float64 { return 10 * math.Log10(ratio) }

// A Chain is what lies between the antenna and the place where a level was read, dB.
type Chain struct {
	AntennaLoss float64 // fc: ground, coil, conductors
	LineLoss    float64 // ft: tuner, feeder
	NoiseFigure float64 // fr of the receiver
}

// An OwnNoiseError is a level that is not above what the receiver makes by itself.
type OwnNoiseError struct{ LevelDBm, BandwidthHz, OwnDBm float64 }

func (e *OwnNoiseError) Error() string {
	return fmt.Sprintf("%.1f dBm in %g Hz is not above the receiver's own %.1f dBm", e.LevelDBm, e.BandwidthHz, e.OwnDBm)
}

// FromDBm turns a noise level read at the receiver's input, rms in a bandwidth, into
// the noise of the site, to stand in place of the man-made category. The deciles are
// the category's, for a reading is one moment.
//
//	f  = p fc ft / (k t0 b) ,  fa = f + 1 − fc ft fr
//
// What it contains: everything from outside while the reading was taken, so also the
// atmospheric and galactic noise of that hour, which Combine will add once more. Read
// it when man-made noise rules: around local noon, on a clear channel.
//
// Source:  the system noise factor of ITU-R P.372-17 §1.2 solved for fa. The level is
// taken as noise of the whole chain, the receiver's own included.
// Domain:  a level above the chain's own noise; else an *OwnNoiseError.
// Departs: P.372 has no such rule; ours.
func FromDBm(levelDBm, bandwidthHz float64, c Chain, e Environment) (Source, error) {
	const dBmInDBW = -30
	loss := c.AntennaLoss + c.LineLoss
	f := ratio(levelDBm + dBmInDBW - 10*math.Log10(bandwidthHz) - kt0 + loss)
	own := ratio(loss+c.NoiseFigure) - 1
	if !(f > own) || math.IsInf(f, 0) {
		least := decibels(own) + 10*math.Log10(bandwidthHz) + kt0 - dBmInDBW - loss
		return Source{}, &OwnNoiseError{levelDBm, bandwidthHz, least}
	}
	m := &manMade[e]
	return Source{decibels(f - own), m.Du, m.Dl}, nil
}

// A Level is a site's measured noise at a frequency.
type Level struct {
	MHz    float64
	Source Source
}

// Measured is the noise of a site from levels at some frequencies: the curve of the
// category, moved to pass through the levels. The shift runs linearly in log f between
// them and stays beyond the outermost; levels at one frequency are averaged in dB.
// Without levels it is the category itself.
func Measured(e Environment, levels ...Level) func(fMHz float64) Source {
	type shift struct{ x, dB, n float64 }
	var shifts []shift
	for _, l := range levels {
		x, dB := math.Log10(l.MHz), l.Source.Fam-ManMade(e, l.MHz).Fam
		i := slices.IndexFunc(shifts, func(s shift) bool { return s.x == x })
		if i < 0 {
			shifts = append(shifts, shift{x, dB, 1})
			continue
		}
		s := &shifts[i]
		s.n++
		s.dB += (dB - s.dB) / s.n
	}
	slices.SortFunc(shifts, func(a, b shift) int {
		if a.x < b.x {
			return -1
		}
		return 1
	})
	return func(fMHz float64) Source {
		out := ManMade(e, fMHz)
		if len(shifts) == 0 {
			return out
		}
		x := math.Log10(fMHz)
		i := slices.IndexFunc(shifts, func(s shift) bool { return s.x > x })
		switch i {
		case -1:
			out.Fam += shifts[len(shifts)-1].dB
		case 0:
			out.Fam += shifts[0].dB
		default:
			a, b := shifts[i-1], shifts[i]
			out.Fam += a.dB + (b.dB-a.dB)*(x-a.x)/(b.x-a.x)
		}
		return out
	}
}
