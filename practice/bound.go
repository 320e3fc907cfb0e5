package practice

import "math"

// Bound is more than anybody could earn on the day, even knowing every outcome before:
// the clairvoyant's.
//
// Let B_st be what a station can take in quarter t: the bytes through in a call of the
// whole quarter with traffic without end on its best channel, and one full transmission
// more, since a shorter queue may end in short transmissions that go another way (before
// that all calls on it go the same way). With b_i the bytes of item i, w_it its worth and
// a_ist = b_i/B_st if the station takes it and b_i ≤ B_st, any play obeys
//
//	Σ_i a_ist y_ist ≤ 1 for each station and quarter,  Σ_st y_ist ≤ 1,  y_ist ∈ {0, 1}
//
// since a station answers once a quarter. So for any prices μ_st ≥ 0 it earns at most
//
//	L(μ) = Σ_st μ_st + Σ_i max(0, max_st (w_it − μ_st a_ist))
//
// (weak duality). L is convex; the least value found by subgradient steps is the bound.
// Whatever the steps find, it is proven; that calls of one quarter share its minutes,
// battery, sleep and the order of the traffic are left out, which can only raise it.
func (d *Day) Bound() float64 {
	set := d.set
	slots, n := set.Prospect.Slots, len(set.stations)
	B := make([]float64, slots*n)
	for t := range slots {
		if math.IsInf(set.Wake[t], 1) {
			continue
		}
		for c := range set.of {
			B[t*n+set.of[c]] = max(B[t*n+set.of[c]], d.carries(c, t))
		}
	}
	var all []chance
	for i := range set.Items {
		it := &set.Items[i]
		for t := range slots {
			for k := range n {
				if b := B[t*n+k]; set.takes[i][k] && it.Bytes <= b && it.Worth[t] > 0 {
					all = append(all, chance{i, t*n + k, it.Worth[t], it.Bytes / b})
				}
			}
		}
	}
	return least(all, slots*n)
}

// A chance is an item through to one station in one quarter: its worth and the share of
// what the station can take.
type chance struct {
	item, at int
	worth, a float64
}

// carries is what a channel carries in a quarter; 0 when the call does not connect.
func (d *Day) carries(c, t int) float64 {
	if !d.set.usable(c, t) {
		return 0
	}
	r := d.call(c, t, math.Inf(1), slotMin, nil)
	if r.Answer < Connected {
		return 0
	}
	return r.Bytes + r.full
}

// boundSteps of the descent.
const boundSteps = 300

// least brings L down. The chances come item by item.
func least(all []chance, places int) float64 {
	μ, use := make([]float64, places), make([]float64, places)
	best, step := math.Inf(1), 0.0
	for n := range boundSteps {
		L := 0.0
		for k := range use {
			use[k] = -1
			L += μ[k]
		}
		for i := 0; i < len(all); {
			top, at := 0.0, -1
			j := i
			for ; j < len(all) && all[j].item == all[i].item; j++ {
				if v := all[j].worth - μ[all[j].at]*all[j].a; v > top {
					top, at = v, j
				}
			}
			if at >= 0 {
				use[all[at].at] += all[at].a
				L += top
			}
			i = j
		}
		best = min(best, L)
		norm := 0.0
		for k := range use {
			if μ[k] == 0 && use[k] < 0 {
				use[k] = 0 // the price stays at nothing
			}
			norm += use[k] * use[k]
		}
		if norm == 0 {
			break // nothing is overfull and no price idle: this is the least
		}
		if n == 0 {
			step = L / 40
		}
		s := step / (1 + float64(n)/20) / math.Sqrt(norm)
		for k := range μ {
			μ[k] = max(0, μ[k]+s*use[k])
		}
	}
	return best
}
