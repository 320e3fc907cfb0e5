package modem

import (
	"fmt"
	"math"

	"farhail/unit"
)

// Curve is the chance that a block is received, against the mean SNR in the
// waveform's own bandwidth. It holds ln(p/(1−p)) at equal steps of SNR, straight
// between them and beyond the ends: two entries make a logistic, a simulated or a
// computed curve has as many as it needs. The zero Curve is 0 everywhere.
type Curve struct {
	lo, step float64   // dB
	logit    []float64 // not falling
}

// never reports that the chance is 0 everywhere.
func (c Curve) never() bool { return len(c.logit) == 0 }

// tableP is the block success at the SNR a published table gives, by our rule; such
// tables promise a bit error rate of 1e-5 and say nothing of blocks.
const tableP = 0.95

// Logistic returns the curve that is 0.95 at need and goes from 0.1 to 0.9 over width.
//
//	p = 1/(1 + e^−(ln 19 + k (x − need))),  k = 2 ln 9 / width
//
// Source:   none published; an engineer's shape for planning, to be replaced by
// simulated curves or corrected from the log.
// Domain:   width > 0; need +Inf gives a curve that is 0 everywhere.
func Logistic(need, width unit.DB) Curve {
	if math.IsInf(float64(need), 1) {
		return Curve{}
	}
	y := math.Log(tableP / (1 - tableP))
	return Curve{float64(need), 1, []float64{y, y + 2*math.Log(9)/float64(width)}}
}

// Tabulated returns the curve through p at lo, lo+step, … dB. The chances must lie
// strictly between 0 and 1 and not fall.
func Tabulated(lo, step unit.DB, p []float64) (Curve, error) {
	if len(p) < 2 || !(step > 0) || math.IsInf(float64(lo), 0) || lo != lo {
		return Curve{}, fmt.Errorf("tabulate block success: got %d points from %v dB by %v dB: give two or more, by a positive step", len(p), float64(lo), float64(step))
	}
	c := Curve{float64(lo), float64(step), make([]float64, len(p))}
	for i, v := range p {
		if !(v > 0 && v < 1) {
			return Curve{}, fmt.Errorf("tabulate block success: point %d: %w", i+1, &unit.RangeError{Quantity: "chance", Got: v, Lo: 0, Hi: 1})
		}
		c.logit[i] = math.Log(v / (1 - v))
		if i > 0 && c.logit[i] < c.logit[i-1] {
			return Curve{}, fmt.Errorf("tabulate block success: point %d is %g after %g: a stronger signal cannot do worse", i+1, v, p[i-1])
		}
	}
	return c, nil
}

// At returns the chance at a mean SNR of x.
func (c Curve) At(x unit.DB) float64 { return c.at(float64(x)) }

func (c Curve) at(x float64) float64 {
	if x != x {
		return math.NaN()
	}
	if c.never() {
		return 0
	}
	t := (x - c.lo) / c.step
	i := int(min(max(t, 0), float64(len(c.logit)-2)))
	d := c.logit[i+1] - c.logit[i]
	if d == 0 {
		return 1 / (1 + math.Exp(-c.logit[i]))
	}
	return 1 / (1 + math.Exp(-(c.logit[i] + d*(t-float64(i)))))
}

// Need returns the SNR at which the chance is p, 0 < p < 1; +Inf if it never is.
func (c Curve) Need(p float64) unit.DB {
	y := math.Log(p / (1 - p))
	n := len(c.logit)
	if n == 0 {
		return unit.DB(math.Inf(1))
	}
	i, j := 0, n-1 // the cell that holds y, or the end cell on its side
	for j-i > 1 {
		if m := (i + j) / 2; c.logit[m] <= y {
			i = m
		} else {
			j = m
		}
	}
	d := c.logit[i+1] - c.logit[i]
	if d == 0 {
		switch {
		case y > c.logit[i]:
			return unit.DB(math.Inf(1))
		case y < c.logit[i]:
			return unit.DB(math.Inf(-1))
		}
		return unit.DB(c.lo + float64(i)*c.step)
	}
	return unit.DB(c.lo + c.step*(float64(i)+(y-c.logit[i])/d))
}
