package modem

import (
	"math"
	"testing"
	"time"

	"farhail/unit"
)

// The Gaussian column of our notes on ITU-R P.842 §2: reliability of SNRs against a
// need of 10 dB, with deviations of 11.68803 dB up and 16.74067 dB down.
func TestExceeded(t *testing.T) {
	for median, want := range map[unit.DB]float64{35: 97.222, 27: 90.352, 20: 77.810, 10: 50, 5: 29.170, -5: 4.996} {
		d := SNRDist{median, 11.68803, 16.74067}
		// The notes round z of the decile to 1.282.
		near(t, "reliability %", 100*d.Exceeded(10), want, 0.02)
	}
	d := SNRDist{7, 5, 8}
	near(t, "upper decile", d.Exceeded(12), 0.1, 1e-9)
	near(t, "lower decile", d.Exceeded(-1), 0.9, 1e-9)
}

// A Gauss rule of n points is exact up to order 2n−1; E|Z|^k in closed form.
func TestHalfNormalMoments(t *testing.T) {
	for n := 1; n <= maxHalf; n++ {
		for k := 0; k < 2*n; k++ {
			want := math.Pow(2, float64(k)/2) * math.Gamma(float64(k+1)/2) / math.SqrtPi
			var got float64
			for _, q := range halfNormal(n) {
				got += q.weight * math.Pow(q.z, float64(k))
			}
			near(t, "moment over exact", got/want, 1, 1e-8)
		}
	}
}

// What the nodes cost, against a fine sum over the whole law: chance to connect, and
// mean goodput where it is more than 20 bytes a minute.
func TestNodesError(t *testing.T) {
	w, _ := ByName("serial-3k")
	for _, f := range []Fading{AWGN, Poor} {
		l := w.Over(3000*unit.Km, f)
		for _, half := range []int{4, 6, 8, 12} {
			var connect, goodput float64
			for m := unit.DB(-20); m <= 40; m += 2 {
				for _, d := range []SNRDist{{m, 5, 8}, {m, 8, 14}, {m, 2, 3}} {
					nodes := Both(nil, d, d, half)
					gotC, gotG := overNodes(l, nodes)
					var fine []Node
					var sum float64
					for z := -6.0; z <= 6; z += 0.005 {
						fine = append(fine, Node{d.At(z), d.At(z), math.Exp(-z * z / 2)})
						sum += fine[len(fine)-1].Weight
					}
					for i := range fine {
						fine[i].Weight /= sum
					}
					wantC, wantG := overNodes(l, fine)
					connect = max(connect, math.Abs(gotC-wantC))
					if wantG > 20 {
						goodput = max(goodput, math.Abs(gotG/wantG-1))
					}
				}
			}
			t.Logf("%v, %d nodes a side: chance to connect off by at most %.3f, goodput by %.0f %%", f, half, connect, 100*goodput)
			if half >= 8 && (connect > 0.05 || goodput > 0.2) {
				t.Errorf("%v, %d nodes a side: off by %g and %g, tolerance 0.05 and 0.2", f, half, connect, goodput)
			}
		}
	}
}

func overNodes(l *Link, nodes []Node) (connect, goodput float64) {
	c := Scanned(5, 2*time.Second)
	for _, n := range nodes {
		connect += n.Weight * l.Connect(c, n)
		goodput += n.Weight * l.Goodput(n.Out, n.In)
	}
	return connect, goodput
}
