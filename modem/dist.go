package modem

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// Dist is the distribution of bytes carried or minutes needed: exact cases, and
// smooth parts for large numbers of blocks. Fill one with Link.Bytes or Link.Minutes;
// filling it again reuses its memory. A minutes Dist has a limit, when the operator
// gives up: cases not done by then are counted at the limit in the mean.
type Dist struct {
	atoms  []atom
	bells  []bell
	limit  float64 // +Inf: none
	sorted bool

	rows, prob, moment, next []float64 // scratch
	parts                    [2]transfer
}

type atom struct{ x, weight float64 }

// bell is a smooth part with given mean and deviation.
type bell struct {
	mean, sd float64
	step     float64 // of what it counts, the bytes of a unit; 0: no steps
	top      float64 // cannot be more
	weight   float64
}

func (d *Dist) reset(limit float64) {
	d.atoms, d.bells, d.limit, d.sorted = d.atoms[:0], d.bells[:0], limit, false
}

// Mean returns the mean; for minutes, that of the time spent until done or given up.
func (d *Dist) Mean() (mean float64) {
	for _, a := range d.atoms {
		mean += a.weight * min(a.x, d.limit)
	}
	for _, b := range d.bells {
		mean += b.weight * b.meanBelow(d.limit)
	}
	return mean
}

// AtLeast returns the chance of x or more.
func (d *Dist) AtLeast(x float64) (P float64) {
	for _, a := range d.atoms {
		if a.x >= x {
			P += a.weight
		}
	}
	for _, b := range d.bells {
		P += b.weight * (1 - b.below(x))
	}
	return P
}

// AtMost returns the chance of x or less; for minutes, of being done within x. Beyond
// the limit it stays what it is at the limit.
func (d *Dist) AtMost(x float64) (P float64) {
	x = min(x, d.limit)
	for _, a := range d.atoms {
		if a.x <= x {
			P += a.weight
		}
	}
	for _, b := range d.bells {
		P += b.weight * b.upTo(x)
	}
	return P
}

// Quantile returns the least x that is not exceeded with chance q, 0 < q < 1: the
// median for 0.5. It is +Inf when the limit comes first.
func (d *Dist) Quantile(q float64) float64 {
	const whole = 1 - 1e-12 // weights are summed in floating point
	if d.AtMost(d.limit) < q*whole {
		return math.Inf(1)
	}
	lo, hi := 0.0, 0.0
	for _, a := range d.atoms {
		if a.x <= d.limit {
			hi = max(hi, a.x)
		}
	}
	for _, b := range d.bells {
		hi = max(hi, min(b.mean+9*b.sd, b.top, d.limit))
	}
	if d.AtMost(lo) >= q*whole {
		return lo
	}
	if len(d.bells) == 0 {
		return d.atomQuantile(q * whole)
	}
	for range 60 {
		if mid := (lo + hi) / 2; d.AtMost(mid) >= q*whole {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

func (d *Dist) atomQuantile(q float64) float64 {
	if !d.sorted {
		slices.SortFunc(d.atoms, func(a, b atom) int {
			switch {
			case a.x < b.x:
				return -1
			case a.x > b.x:
				return 1
			}
			return 0
		})
		d.sorted = true
	}
	var P float64
	for _, a := range d.atoms {
		if P += a.weight; P >= q {
			return a.x
		}
	}
	return math.Inf(1)
}

// below returns P(X < x): for a count, half a step back from the next one.
func (b bell) below(x float64) float64 {
	switch {
	case x > b.top:
		return 1
	case b.step == 0:
		return b.cdf(x)
	}
	return b.cdf((math.Ceil(x/b.step-1e-9) - 0.5) * b.step)
}

// upTo returns P(X ≤ x): for a count, half a step on from the last one.
func (b bell) upTo(x float64) float64 {
	switch {
	case x >= b.top:
		return 1
	case b.step == 0:
		return b.cdf(x)
	}
	return b.cdf((math.Floor(x/b.step+1e-9) + 0.5) * b.step)
}

// manyCounts is mean²/variance from which the normal law serves; below, a gamma law
// of the same mean and variance, which is right for rare events at both ends:
// exponential waiting for one success, skewed waiting for a few.
const manyCounts = 2500

func (b bell) cdf(x float64) float64 {
	if x <= 0 {
		return 0
	}
	a := b.mean * b.mean / (b.sd * b.sd)
	if a > manyCounts {
		return normalTail((b.mean - x) / b.sd)
	}
	return mathext.GammaIncReg(a, x*a/b.mean)
}

// meanBelow returns E[min(X, L)].
//
//	gamma:  μ P(a+1, La/μ) + L (1 − P(a, La/μ))
//	normal: μ Φ(t) − σ φ(t) + L (1 − Φ(t)),  t = (L − μ)/σ
func (b bell) meanBelow(L float64) float64 {
	if math.IsInf(L, 1) {
		return b.mean
	}
	a := b.mean * b.mean / (b.sd * b.sd)
	if a > manyCounts {
		t := (L - b.mean) / b.sd
		φ := math.Exp(-t*t/2) / math.Sqrt(2*math.Pi)
		return b.mean*(1-normalTail(t)) - b.sd*φ + L*normalTail(t)
	}
	x := L * a / b.mean
	return b.mean*mathext.GammaIncReg(a+1, x) + L*(1-mathext.GammaIncReg(a, x))
}
