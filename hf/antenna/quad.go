package antenna

import (
	"math"
	"sync"
)

// rule is a Gauss–Legendre rule on [0, 1].
type rule struct{ x, w []float64 }

// Sizes of rule kept ready.
const ruleStep, ruleMax = 8, 96

var rules = sync.OnceValue(func() (rs [ruleMax/ruleStep + 1]rule) {
	for i := 1; i < len(rs); i++ {
		rs[i] = legendre(i * ruleStep)
	}
	return rs
})

// gauss returns the smallest kept rule with at least n nodes, or the largest.
func gauss(n float64) rule {
	i := int(math.Ceil(n / ruleStep))
	return rules()[min(max(i, 1), ruleMax/ruleStep)]
}

// legendre computes nodes and weights of n-point Gauss–Legendre on [0, 1], n even,
// by Newton's method on P_n.
//
// Source: textbook; x_i are the roots of P_n, w_i = 2/((1 − x_i²) P_n'(x_i)²).
func legendre(n int) rule {
	r := rule{make([]float64, n), make([]float64, n)}
	for i := range n / 2 {
		x := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		var dp float64
		for range 100 {
			p0, p1 := 1.0, x
			for m := 2; m <= n; m++ {
				p0, p1 = p1, ((2*float64(m)-1)*x*p1-(float64(m)-1)*p0)/float64(m)
			}
			dp = float64(n) * (x*p1 - p0) / (x*x - 1)
			dx := p1 / dp
			x -= dx
			if math.Abs(dx) < 1e-15 {
				break
			}
		}
		w := 1 / ((1 - x*x) * dp * dp) // half of w_i: the interval is [0, 1]
		r.x[i], r.x[n-1-i] = (1-x)/2, (1+x)/2
		r.w[i], r.w[n-1-i] = w, w
	}
	return r
}
