package modem

import (
	"math"
	"time"
)

// Direction says which way the data go.
type Direction uint8

const (
	Outward Direction = iota // from us: judged at the far receiver
	Inward                   // to us
)

// ends returns the SNR that the data and the acknowledgements have.
func (n Node) ends(dir Direction) (data, ack float64) {
	if dir == Outward {
		return float64(n.Out), float64(n.In)
	}
	return float64(n.In), float64(n.Out)
}

// exactUnits is the number of units up to which a distribution is worked out case by
// case; beyond, by its mean and variance.
const exactUnits = 64

// Bytes sets d to the distribution of the user's bytes that arrive, and are
// acknowledged, in a connected time t.
//
// At every node and level in use, ⌊t/C⌋ full transmissions and one shorter in the
// rest; of a transmission that is acknowledged (chance A) each unit arrives with
// chance p. Up to 64 units exactly, beyond by mean and variance:
//
//	mean = N p A,  variance = Σ over transmissions of m units: A m p(1−p) + A(1−A) m²p²
func (l *Link) Bytes(d *Dist, dir Direction, nodes []Node, t time.Duration) {
	d.reset(math.Inf(1))
	for _, n := range nodes {
		data, ack := n.ends(dir)
		A := lookup(&l.ack, ack)
		var used float64
		for i := range l.gears {
			if s := l.share(i, data); s > 0 {
				l.gears[i].bytesIn(d, n.Weight*s, l.gears[i].p.at(data), A, t.Seconds())
				used += s
			}
		}
		if used == 0 {
			d.atoms = append(d.atoms, atom{0, n.Weight})
		}
	}
}

// MeanBytes returns the mean that Bytes would give, without making the distribution.
func (l *Link) MeanBytes(dir Direction, nodes []Node, t time.Duration) (mean float64) {
	for _, n := range nodes {
		data, ack := n.ends(dir)
		var b float64
		for i := range l.gears {
			if s := l.share(i, data); s > 0 {
				g := &l.gears[i]
				full, rest := g.unitsIn(t.Seconds())
				b += s * float64(full*g.units+rest) * g.unitBytes * g.p.at(data)
			}
		}
		mean += n.Weight * b * lookup(&l.ack, ack)
	}
	return mean
}

// unitsIn returns the full transmissions in a time and the units of the last, shorter one.
func (g *gear) unitsIn(tS float64) (full, rest int) {
	full = int((tS + 1e-9) / g.cycleS)
	left := tS + 1e-9 - float64(full)*g.cycleS
	for rest+1 < g.units && g.transmissionS(rest+1) <= left {
		rest++
	}
	return full, rest
}

func (g *gear) bytesIn(d *Dist, weight, p, A, tS float64) {
	full, rest := g.unitsIn(tS)
	N := full*g.units + rest
	if N == 0 || p*A == 0 {
		d.atoms = append(d.atoms, atom{0, weight})
		return
	}
	if N > exactUnits {
		mean := float64(N) * p * A
		squares := float64(full*g.units*g.units + rest*rest)
		variance := mean*(1-p) + A*(1-A)*p*p*squares
		d.bells = append(d.bells, bell{
			mean * g.unitBytes, max(math.Sqrt(variance), 1e-6) * g.unitBytes,
			g.unitBytes, float64(N) * g.unitBytes, weight,
		})
		return
	}
	d.rows = binomialRows(d.rows, g.units, p)
	d.prob = append(d.prob[:0], 1)
	for range full {
		d.prob, d.next = afterTransmission(d.next[:0], d.prob, binomialRow(d.rows, g.units), A), d.prob
	}
	if rest > 0 {
		d.prob, d.next = afterTransmission(d.next[:0], d.prob, binomialRow(d.rows, rest), A), d.prob
	}
	for u, P := range d.prob {
		if P > 0 {
			d.atoms = append(d.atoms, atom{float64(u) * g.unitBytes, weight * P})
		}
	}
}

// afterTransmission returns the chances of 0, 1, … units after one more transmission,
// of which row tells how many arrive.
func afterTransmission(dst, before, row []float64, A float64) []float64 {
	for range len(before) + len(row) - 1 {
		dst = append(dst, 0)
	}
	for u, P := range before {
		dst[u] += P * (1 - A)
		for i, r := range row {
			dst[u+i] += P * A * r
		}
	}
	return dst
}

// binomialRows appends to dst[:0] the laws of how many of m units arrive, m = 0…U,
// one after the other: row m starts at m(m+1)/2.
func binomialRows(dst []float64, U int, p float64) []float64 {
	dst = append(dst[:0], 1)
	for m := 1; m <= U; m++ {
		before := binomialRow(dst, m-1)
		dst = append(dst, before[0]*(1-p))
		for i := 1; i < m; i++ {
			dst = append(dst, before[i]*(1-p)+before[i-1]*p)
		}
		dst = append(dst, before[m-1]*p)
	}
	return dst
}

func binomialRow(rows []float64, m int) []float64 { return rows[m*(m+1)/2 : (m+1)*(m+2)/2] }
