package modem

import (
	"math"
	"time"

	"farhail/unit"
)

// transfer is how long one direction takes at one node and level: exact cases, or
// mean and variance.
type transfer struct {
	exact          bool
	atoms          []atom  // seconds, chance; +Inf: not within the limit
	mean, variance float64 // s, s²
}

// Minutes sets d to the distribution of the connected minutes until so many bytes
// are across each way, given up after the limit. Nothing either way takes no time.
//
// A transmission carries at most U of the units still missing; those that arrive are
// acknowledged with chance A. Up to 64 units the cases are followed transmission by
// transmission; beyond, the moments come from the same recursion, carried on by
// renewal theory, and the law between is gamma (normal when the deviation is small
// against the mean). With traffic both ways the two times are independent at a node.
func (l *Link) Minutes(d *Dist, nodes []Node, out, in unit.Bytes, limit time.Duration) {
	d.reset(limit.Minutes())
	limitS := limit.Seconds()
	for _, n := range nodes {
		var used float64
		for i := range l.gears {
			so := 1.0
			if out > 0 {
				if so = l.share(i, float64(n.Out)); so == 0 {
					continue
				}
			} else if i > 0 {
				break
			}
			l.transfer(d, 0, i, n, Outward, out, limitS)
			for j := range l.gears {
				si := 1.0
				if in > 0 {
					if si = l.share(j, float64(n.In)); si == 0 {
						continue
					}
				} else if j > 0 {
					break
				}
				l.transfer(d, 1, j, n, Inward, in, limitS)
				d.both(n.Weight * so * si)
				used += so * si
			}
		}
		if used == 0 {
			d.atoms = append(d.atoms, atom{math.Inf(1), n.Weight})
		}
	}
}

// transfer works out one direction at gear i into d.parts[k].
func (l *Link) transfer(d *Dist, k, i int, n Node, dir Direction, size unit.Bytes, limitS float64) {
	data, ack := n.ends(dir)
	g, t := &l.gears[i], &d.parts[k]
	t.atoms, t.exact, t.mean, t.variance = t.atoms[:0], true, 0, 0
	p, A := g.p.at(data), lookup(&l.ack, ack)
	units := int(math.Ceil(float64(size)/g.unitBytes - 1e-9))
	switch {
	case size <= 0:
		t.atoms = append(t.atoms, atom{0, 1})
	case float64(units) > limitS/g.cycleS*float64(g.units)+float64(g.units):
		t.atoms = append(t.atoms, atom{math.Inf(1), 1}) // not even if all arrived
	case p*A < 1e-9:
		t.atoms = append(t.atoms, atom{math.Inf(1), 1})
	default:
		g.timeFor(d, t, units, p, A, limitS)
	}
}

// both adds the two directions at one node to d.
func (d *Dist) both(weight float64) {
	const most = 256 // pairs of cases; beyond, by moments
	a, b := &d.parts[0], &d.parts[1]
	switch {
	case a.exact && b.exact && len(a.atoms)*len(b.atoms) <= most:
		for _, x := range a.atoms {
			for _, y := range b.atoms {
				d.atoms = append(d.atoms, atom{(x.x + y.x) / 60, weight * x.weight * y.weight})
			}
		}
	case a.never() || b.never():
		d.atoms = append(d.atoms, atom{math.Inf(1), weight})
	default:
		mean, variance := a.mean+b.mean, a.variance+b.variance
		d.bells = append(d.bells, bell{mean / 60, max(math.Sqrt(variance), 1e-6*mean) / 60, 0, math.Inf(1), weight})
	}
}

// never reports that the transfer is not done within the limit.
func (t *transfer) never() bool {
	return t.exact && len(t.atoms) == 1 && math.IsInf(t.atoms[0].x, 1)
}

// timeFor works out the time for n units.
func (g *gear) timeFor(d *Dist, t *transfer, n int, p, A, limitS float64) {
	d.rows = binomialRows(d.rows, g.units, p)
	t.mean, t.variance = g.moments(d, n, p, A)
	const cases = 400 // transmissions followed one by one
	if n > exactUnits || t.mean > cases/4*g.cycleS {
		t.exact = false
		return
	}
	g.follow(d, t, n, A, limitS)
}

// follow lists when n units are through: prob[k] is the chance that k are missing
// before a transmission and moment[k] that chance times the mean time spent by then.
func (g *gear) follow(d *Dist, t *transfer, n int, A, limitS float64) {
	d.prob, d.moment = zeros(d.prob, n+1), zeros(d.moment, n+1)
	d.prob[n] = 1
	left := 1.0
	for left > 1e-9 {
		soonest := math.Inf(1)
		for k := 1; k <= n; k++ { // fewer missing only: each k is read before it is written
			P, M := d.prob[k], d.moment[k]
			if P == 0 {
				continue
			}
			soonest = min(soonest, M/P)
			m := min(k, g.units)
			row := binomialRow(d.rows, m)
			M += P * g.transmissionS(m)
			for i := 1; i <= m; i++ {
				d.prob[k-i] += P * A * row[i]
				d.moment[k-i] += M * A * row[i]
			}
			stay := A*row[0] + 1 - A
			d.prob[k], d.moment[k] = P*stay, M*stay
		}
		if P := d.prob[0]; P > 0 {
			t.atoms = append(t.atoms, atom{d.moment[0] / P, P})
			left -= P
			d.prob[0], d.moment[0] = 0, 0
		}
		if soonest > limitS {
			break
		}
	}
	if left > 0 {
		t.atoms = append(t.atoms, atom{math.Inf(1), left})
	}
}

func zeros(s []float64, n int) []float64 {
	s = s[:0]
	for range n {
		s = append(s, 0)
	}
	return s
}

// moments returns mean and variance of the time for n units.
//
//	E[k] = (d_k + Σ_{i≥1} P_i E[k−i]) / (1 − P_0)
//	S[k] = (d_k² + 2 d_k Σ_{i≥0} P_i E[k−i] + Σ_{i≥1} P_i S[k−i]) / (1 − P_0)
//
// d_k the time of a transmission of min(k,U) units, P_i the chance that i of them
// arrive and are acknowledged. From ten transmissions' worth on, each unit more adds
// C/μ to the mean and C²v/μ³ to the variance, μ = UAp and v = μ(1−p) + U²p²A(1−A)
// being mean and variance of what a transmission brings.
//
// Source: our notes on links §6 (recursion and simulation agree), there with d = 1.
func (g *gear) moments(d *Dist, n int, p, A float64) (mean, variance float64) {
	U := g.units
	n0 := min(n, 10*U)
	d.prob, d.moment = zeros(d.prob, n0+1), zeros(d.moment, n0+1) // E and S
	E, S := d.prob, d.moment
	for k := 1; k <= n0; k++ {
		m := min(k, U)
		row, dk := binomialRow(d.rows, m), g.transmissionS(m)
		var sE, sS float64
		for i := 1; i <= m; i++ {
			sE += row[i] * E[k-i]
			sS += row[i] * S[k-i]
		}
		go1 := A * (1 - row[0]) // 1 − P_0
		E[k] = (dk + A*sE) / go1
		S[k] = (dk*dk + 2*dk*((1-go1)*E[k]+A*sE) + A*sS) / go1
	}
	mean, variance = E[n0], S[n0]-E[n0]*E[n0]
	μ := float64(U) * A * p
	v := μ*(1-p) + float64(U*U)*p*p*A*(1-A)
	more := float64(n - n0)
	return mean + more*g.cycleS/μ, max(0, variance) + more*g.cycleS*g.cycleS*v/(μ*μ*μ)
}
