package modem

import (
	"math"
	"sync"

	"farhail/unit"
)

// SNRDist is how the SNR of an hour spreads over days: a median, the deviation
// exceeded upwards on one day in ten and the one exceeded downwards on one in ten.
//
//	SNR = median + D z/1.282, z standard normal, D the upper deviation for z > 0 and
//	the lower for z < 0
//
// Source: two half-normals meeting at the median, the shape that the reliability
// formula of ITU-R P.842-5 approximates, as in our notes (from memory, high).
type SNRDist struct {
	Median, Upper, Lower unit.DB
}

// z of the upper decile of the normal law; ITU-R P.842 rounds it to 1.28.
const zDecile = 1.2815515655446004

// At returns the SNR at z standard deviations.
func (d SNRDist) At(z float64) unit.DB {
	if z > 0 {
		return d.Median + d.Upper*unit.DB(z/zDecile)
	}
	return d.Median + d.Lower*unit.DB(z/zDecile)
}

// Exceeded returns the chance that the SNR is at least x.
func (d SNRDist) Exceeded(x unit.DB) float64 {
	D := d.Lower
	if x > d.Median {
		D = d.Upper
	}
	if x == d.Median {
		return 0.5
	}
	return normalTail(float64(x-d.Median) / float64(D) * zDecile)
}

// normalTail returns P(Z ≥ z).
func normalTail(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// Node is one of the weighted cases that stand for a distribution of the SNR: what
// the far receiver has of us, what ours has of it. The weights of a set sum to 1.
type Node struct {
	Out, In unit.DB
	Weight  float64
}

// Both appends the nodes of a path whose two directions rise and fall together (the
// sky is the same for both; the noise that differs is in the medians and deciles),
// 2·half of them, half on each side of the median.
//
// Accuracy: a mean over the nodes is exact for polynomials in z of order 2·half − 1
// on each side; for the chance to connect and for goodput see docs/accuracy.md.
func Both(dst []Node, out, in SNRDist, half int) []Node {
	for _, n := range halfNormal(half) {
		dst = append(dst, Node{out.At(-n.z), in.At(-n.z), n.weight / 2})
	}
	for _, n := range halfNormal(half) {
		dst = append(dst, Node{out.At(n.z), in.At(n.z), n.weight / 2})
	}
	return dst
}

type zNode struct{ z, weight float64 }

// maxHalf is the most nodes a side that Both makes.
const maxHalf = 12

// halfNormal returns the Gauss rule of n points for |Z|, Z standard normal.
func halfNormal(n int) []zNode { return halfRules()[min(max(n, 1), maxHalf)] }

// halfRules holds the Gauss rules of 1…maxHalf points for the weight φ on z > 0.
//
// The polynomials orthogonal under it are built by the Stieltjes procedure on a fine
// grid; their zeros are found by bisection, since those of one order lie between
// those of the next; the weights are 1/Σ p_k(z)² of the normalised polynomials.
var halfRules = sync.OnceValue(func() (rules [maxHalf + 1][]zNode) {
	const steps, top = 4000, 12.0 // Simpson's rule; e^{−72} beyond
	grid := make([]zNode, steps+1)
	var total float64
	for i := range grid {
		z := top * float64(i) / steps
		w := float64(2 + 2*(i%2))
		if i == 0 || i == steps {
			w = 1
		}
		grid[i] = zNode{z, w * math.Exp(-z*z/2)}
		total += grid[i].weight
	}
	var α, rootβ [maxHalf + 1]float64 // z p_k = √β_{k+1} p_{k+1} + α_k p_k + √β_k p_{k−1}
	value := func(k int, z float64) (p, squares float64) {
		before, p := 0.0, 1.0
		for j := range k {
			squares += p * p
			before, p = p, ((z-α[j])*p-rootβ[j]*before)/rootβ[j+1]
		}
		return p, squares
	}
	roots := []float64{0, top}
	for k := range maxHalf {
		for _, g := range grid {
			p, _ := value(k, g.z)
			α[k] += g.weight * g.z * p * p / total
		}
		rootβ[k+1] = 1
		var norm float64
		for _, g := range grid {
			p, _ := value(k+1, g.z)
			norm += g.weight * p * p / total
		}
		rootβ[k+1] = math.Sqrt(norm)

		next := []float64{0}
		for i := range k + 1 {
			lo, hi := roots[i], roots[i+1]
			at, _ := value(k+1, lo)
			for range 60 {
				mid := (lo + hi) / 2
				if p, _ := value(k+1, mid); (p > 0) == (at > 0) {
					lo = mid
				} else {
					hi = mid
				}
			}
			_, squares := value(k+1, lo)
			rules[k+1] = append(rules[k+1], zNode{lo, 1 / squares})
			next = append(next, lo)
		}
		roots = append(next, top)
	}
	return rules
})
