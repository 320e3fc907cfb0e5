package antenna

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"farhail/unit"
)

// RowError says that a figure of an operator's table stands there twice.
type RowError struct{ Row TableRow }

func (e *RowError) Error() string {
	return fmt.Sprintf("antenna table has two figures for %g MHz at %g deg: keep one", e.Row.Freq.MHz(), e.Row.Elevation.Deg())
}

func (s Spec) checkRows() error {
	if s.Kind != Table {
		return nil
	}
	if err := unit.Check("number of figures in the antenna table", float64(len(s.Rows)), 1, 10_000, ""); err != nil {
		return err
	}
	type place struct{ f, el float64 }
	seen := make(map[place]bool, len(s.Rows))
	for _, r := range s.Rows {
		if err := firstError(
			unit.Check("frequency in the antenna table", r.Freq.MHz(), loFreqMHz, hiFreqMHz, "MHz"),
			unit.Check("elevation in the antenna table", r.Elevation.Deg(), 0, 90*(1+1e-12), "deg"),
			unit.Check("gain in the antenna table", float64(r.Gain), -80, 40, "dB"),
		); err != nil {
			return err
		}
		p := place{r.Freq.Hz(), r.Elevation.Rad()}
		if seen[p] {
			return &RowError{r}
		}
		seen[p] = true
	}
	return nil
}

// curve is gain by elevation, both in degrees and dBi, elevations rising.
type curve struct{ elDeg, dBi []float64 }

// at interpolates linearly; beyond its ends the end stands.
func (c *curve) at(elDeg float64) float64 {
	i, _ := slices.BinarySearch(c.elDeg, elDeg)
	switch {
	case i == 0:
		return c.dBi[0]
	case i == len(c.elDeg):
		return c.dBi[i-1]
	}
	x := (elDeg - c.elDeg[i-1]) / (c.elDeg[i] - c.elDeg[i-1])
	return c.dBi[i-1] + x*(c.dBi[i]-c.dBi[i-1])
}

// max returns the greatest gain between two elevations.
func (c *curve) max(lo, hi float64) float64 {
	g := math.Max(c.at(lo), c.at(hi))
	for i, e := range c.elDeg {
		if e > lo && e < hi {
			g = math.Max(g, c.dBi[i])
		}
	}
	return g
}

// share is the part of the power fed in that the figures find again in the upper
// half space.
//
//	P_up/P_in = ½ ∫_0^{π/2} G cos Δ dΔ      for a gain equal at all bearings
//
// It follows from G = 4πU/P_in (§1). The figures are straight lines in dB, so each
// half degree is integrated by its middle.
func (c *curve) share() float64 {
	const n = 180
	sum := 0.0
	for i := range n {
		Δ := 90 * (float64(i) + 0.5) / n
		sum += unit.DB(c.at(Δ)).Ratio() * math.Cos(Δ*math.Pi/180)
	}
	return sum * math.Pi / 2 / n / 2
}

// curveAt is the table at a frequency: straight lines in frequency between the
// nearest rows below and above, held beyond the first and last. inside is false there.
func curveAt(rows []TableRow, f unit.Freq) (c curve, inside bool) {
	byFreq := slices.Clone(rows)
	slices.SortFunc(byFreq, func(a, b TableRow) int {
		if a.Freq != b.Freq {
			return cmp.Compare(a.Freq, b.Freq)
		}
		return cmp.Compare(a.Elevation, b.Elevation)
	})
	lo, hi := byFreq[0].Freq, byFreq[len(byFreq)-1].Freq
	inside = f >= lo && f <= hi
	f = max(lo, min(hi, f))
	for _, r := range byFreq {
		if r.Freq <= f {
			lo = r.Freq
		}
	}
	for _, r := range slices.Backward(byFreq) {
		if r.Freq >= f {
			hi = r.Freq
		}
	}
	below, above := curveOf(byFreq, lo), curveOf(byFreq, hi)
	x := 0.0
	if hi > lo {
		x = float64((f - lo) / (hi - lo))
	}
	c.elDeg = append(slices.Clone(below.elDeg), above.elDeg...)
	slices.Sort(c.elDeg)
	c.elDeg = slices.Compact(c.elDeg)
	for _, e := range c.elDeg {
		c.dBi = append(c.dBi, (1-x)*below.at(e)+x*above.at(e))
	}
	return c, inside
}

// curveOf picks the rows of one frequency out of sorted rows.
func curveOf(sorted []TableRow, f unit.Freq) (c curve) {
	for _, r := range sorted {
		if r.Freq == f {
			c.elDeg = append(c.elDeg, r.Elevation.Deg())
			c.dBi = append(c.dBi, float64(r.Gain))
		}
	}
	return c
}
