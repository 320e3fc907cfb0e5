package practice

import "math"

// Bound is more than anybody could earn on the day, even knowing every outcome before:
// the clairvoyant's.
//
// Let B_ct be what the channel can carry in quarter t: the bytes through in a call of
// the whole quarter with traffic without end, and one full transmission more, since a
// shorter queue may end in short transmissions that go another way (before that all
// calls on it go the same way). With b_i the bytes of item i, w_it its worth and a_it =
// b_i / max B_ct over the channels that take it, if b_i ≤ B_ct there, any play obeys
//
//	Σ_i a_it y_it ≤ 1 in each quarter,  Σ_t y_it ≤ 1,  y_it ∈ {0, 1}
//
// since one call connects a quarter. So for any prices μ_t ≥ 0 of a quarter it earns at most
//
//	L(μ) = Σ_t μ_t + Σ_i max(0, max_t (w_it − μ_t a_it))
//
// (weak duality). L is convex; the least value found by subgradient steps is the bound.
// Whatever the steps find, it is proven; battery, sleep and the order of the traffic are
// left out, which can only raise it.
func (d *Day) Bound() float64 {
	set := d.set
	slots := set.Prospect.Slots
	a := make([][]float64, len(set.Items)) // [item][quarter]; +Inf: cannot
	for i := range a {
		a[i] = make([]float64, slots)
		for t := range a[i] {
			a[i][t] = math.Inf(1)
		}
	}
	for t := range slots {
		if math.IsInf(set.Wake[t], 1) {
			continue
		}
		for c := range set.of {
			B := d.carries(c, t)
			for i := range set.Items {
				if it := &set.Items[i]; it.Bytes <= B && it.Worth[t] > 0 && set.takesOf(c, i) {
					a[i][t] = min(a[i][t], it.Bytes/B)
				}
			}
		}
	}
	return least(a, set.Items)
}

// carries is B_ct; 0 when the call does not connect.
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

// steps of the descent.
const boundSteps = 400

// least brings L down.
func least(a [][]float64, items []Item) float64 {
	if len(a) == 0 {
		return 0
	}
	slots := len(a[0])
	μ, use := make([]float64, slots), make([]float64, slots)
	best := math.Inf(1)
	step := 0.0
	for n := range boundSteps {
		L := 0.0
		for t := range use {
			use[t] = -1
			L += μ[t]
		}
		for i := range a {
			top, at := 0.0, -1
			for t, x := range a[i] {
				if v := items[i].Worth[t] - μ[t]*x; !math.IsInf(x, 1) && v > top {
					top, at = v, t
				}
			}
			if at >= 0 {
				use[at] += a[i][at]
				L += top
			}
		}
		best = min(best, L)
		norm := 0.0
		for t := range use {
			if μ[t] == 0 && use[t] < 0 {
				use[t] = 0 // the price stays at nothing
			}
			norm += use[t] * use[t]
		}
		if norm == 0 {
			break // no quarter is overfull and no price idle: this is the least
		}
		if n == 0 {
			step = L / 10
		}
		k := step / (1 + float64(n)/20) / math.Sqrt(norm) / 4
		for t := range μ {
			μ[t] = max(0, μ[t]+k*use[t])
		}
	}
	return best
}
