package modem

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"farhail/unit"
)

// counting is a gear that counts cycles: every transmission takes 1.
func counting(U int) *gear {
	return &gear{units: U, unitBytes: 1, airS: make([]float64, U+1), startS: 1, cycleS: 1}
}

// The table of our notes on links §6: cycles for n blocks, window J, success p (there by
// recursion and simulation).
func TestCyclesForBlocks(t *testing.T) {
	for _, c := range []struct {
		n, J     int
		p        float64
		mean, sd float64
		q90, q99 float64
	}{
		{10, 1, 0.7, 14.286, 2.474, 18, 21},
		{50, 8, 0.9, 7.677, 0.675, 8, 10},
		{50, 8, 0.6, 12.301, 1.616, 14, 17},
		{200, 8, 0.5, 52.486, 3.040, 56, 60},
		{9, 9, 0.8, 2.261, 0.825, 3, 5},
	} {
		var d Dist
		d.reset(1e4)
		g := counting(c.J)
		tr := &d.parts[0]
		tr.exact = true
		g.timeFor(&d, tr, c.n, c.p, 1, 1e6)
		near(t, "mean cycles", tr.mean, c.mean, 1e-3)
		near(t, "deviation", math.Sqrt(tr.variance), c.sd, 2e-3)
		d.parts[1] = transfer{exact: true, atoms: []atom{{0, 1}}}
		d.both(1)
		near(t, "0.9 quantile", 60*d.Quantile(0.9), c.q90, 0.51)
		near(t, "0.99 quantile", 60*d.Quantile(0.99), c.q99, 0.51)
		if tr.exact {
			near(t, "mean of the cases", 60*d.Mean(), c.mean, 1e-3)
			near(t, "0.9 quantile exactly", 60*d.Quantile(0.9), c.q90, 1e-9)
		}
	}
	// All or nothing is one unit a cycle: 7 units, p = 0.6.
	var d Dist
	mean, variance := counting(1).timeMoments(&d, 7, 0.6)
	near(t, "all or nothing, mean", mean, 11.667, 1e-3)
	near(t, "all or nothing, deviation", math.Sqrt(variance), 2.789, 1e-3)
}

func (g *gear) timeMoments(d *Dist, n int, p float64) (mean, variance float64) {
	d.rows = binomialRows(d.rows, g.units, p)
	return g.moments(d, n, p, 1)
}

// arq runs the procedure unit by unit: units that fail
// are sent again, a transmission whose acknowledgement is lost was for nothing. It
// returns the units through after a time, or the time for n units (n > 0).
func arq(rng *rand.Rand, g *gear, p, A, tS float64, n int) (units int, at float64) {
	for {
		m := g.units
		if n > 0 {
			m = min(m, n-units)
		} else {
			for m > 0 && at+g.transmissionS(m) > tS+1e-9 {
				m--
			}
		}
		if m == 0 {
			return units, at
		}
		at += g.transmissionS(m)
		got := 0
		for range m {
			if rng.Float64() < p {
				got++
			}
		}
		if rng.Float64() < A {
			units += got
		}
		if n > 0 && (units >= n || at > tS) || n == 0 && at > tS {
			return units, at
		}
	}
}

// Bytes in so many minutes against the procedure itself.
func TestBytesByMonteCarlo(t *testing.T) {
	const runs = 4000
	rng := rand.New(rand.NewPCG(7, 7))
	nodes := []Node{{8, 8, 0.5}, {15, 3, 0.3}, {-4, 0, 0.2}}
	for _, name := range []string{"serial-3k", "teleprinter-arq"} {
		w, _ := ByName(name)
		l := w.Over(3000*unit.Km, Poor)
		for _, minutes := range []float64{0.5, 3, 10, 30} {
			var d Dist
			l.Bytes(&d, Outward, nodes, time.Duration(minutes*60e9))
			var sim []float64
			var sum float64
			for range runs {
				n := pick(rng, nodes)
				g := l.pickGear(rng, n.Out)
				units, _ := arq(rng, g, g.p.At(n.Out), lookup(&l.ack, float64(n.In)), 60*minutes, 0)
				sim = append(sim, float64(units)*g.unitBytes)
				sum += sim[len(sim)-1]
			}
			mean, sd := moments(sim)
			near(t, "mean bytes", d.Mean(), mean, 4*sd/math.Sqrt(runs)+1e-9)
			near(t, "mean bytes without the law", l.MeanBytes(Outward, nodes, time.Duration(minutes*60e9)), d.Mean(), 1e-6*d.Mean()+1e-9)
			worst := compareLaws(t, name, func(x float64) float64 { return d.AtLeast(x) }, sim)
			t.Logf("%s, %g min: mean %.0f simulated %.0f bytes; chance of so many off by at most %.3f", name, minutes, d.Mean(), mean, worst)
		}
	}
}

// Minutes for so many bytes against the procedure itself.
func TestMinutesByMonteCarlo(t *testing.T) {
	const runs = 4000
	rng := rand.New(rand.NewPCG(8, 8))
	nodes := []Node{{8, 8, 0.5}, {15, 6, 0.3}, {0, 3, 0.2}}
	const limit = 60.0
	for _, name := range []string{"serial-3k", "teleprinter-arq"} {
		w, _ := ByName(name)
		l := w.Over(3000*unit.Km, Poor)
		for _, c := range []struct{ out, in unit.Bytes }{{300, 0}, {2000, 0}, {20_000, 0}, {200_000, 0}, {1500, 2500}} {
			if name == "teleprinter-arq" && c.out > 2000 {
				continue // hours
			}
			var d Dist
			l.Minutes(&d, nodes, c.out, c.in, time.Duration(limit*60e9))
			var sim []float64
			for range runs {
				n := pick(rng, nodes)
				var s float64
				for _, way := range []struct {
					dir  Direction
					size unit.Bytes
				}{{Outward, c.out}, {Inward, c.in}} {
					data, ack := n.ends(way.dir)
					g := l.pickGear(rng, unit.DB(data))
					if way.size > 0 {
						_, took := arq(rng, g, g.p.at(data), lookup(&l.ack, ack), 61*limit, int(math.Ceil(float64(way.size)/g.unitBytes-1e-9)))
						s += took / 60
					}
				}
				sim = append(sim, min(s, limit+1))
			}
			capped := make([]float64, runs)
			for i, s := range sim {
				capped[i] = min(s, limit)
			}
			mean, sd := moments(capped)
			near(t, name+": mean minutes", d.Mean(), mean, 4*sd/math.Sqrt(runs)+0.02*mean+1e-9)
			slices.Sort(sim)
			var worst float64
			for _, q := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
				// The law may be shifted by one interleaver span or 2 %, and by 0.03 in chance.
				x := sim[int(q*runs)]
				shift := max(7.68/60, 0.02*x) + 1e-9
				if lo, hi := d.AtMost(x-shift), d.AtMost(x+shift); x < limit && (lo > q+0.03 || hi < q-0.03) {
					t.Errorf("%s, %d out %d in: done within %.2f ± %.2f min with chance %.3f to %.3f, simulated %g", name, c.out, c.in, x, shift, lo, hi, q)
				}
				if got := d.Quantile(q); x < limit && !math.IsInf(got, 1) {
					worst = max(worst, math.Abs(got-x))
				}
			}
			t.Logf("%s, %d out %d in: mean %.2f simulated %.2f min; quantiles 0.1 to 0.9 off by at most %.2f min", name, c.out, c.in, d.Mean(), mean, worst)
		}
	}
}

// compareLaws compares chances at the simulated deciles, shifted half-way to the next
// different value so that a step is not asked for on its edge. Sampling takes 0.02 (2.5
// deviations of 4,000 runs) of the tolerance; smooth laws for lattice counts the rest.
func compareLaws(t *testing.T, name string, chance func(float64) float64, sim []float64) (worst float64) {
	t.Helper()
	slices.Sort(sim)
	for k := 1; k < 10; k++ {
		x := sim[len(sim)*k/10]
		i, _ := slices.BinarySearch(sim, x)
		if i == 0 {
			continue
		}
		x = (x + sim[i-1]) / 2
		want := 1 - float64(i)/float64(len(sim))
		e := math.Abs(chance(x) - want)
		worst = max(worst, e)
		if e > 0.045 {
			t.Errorf("%s: chance at %g is %.3f, simulated %.3f, tolerance 0.045", name, x, chance(x), want)
		}
	}
	return worst
}

func pick(rng *rand.Rand, nodes []Node) Node {
	u := rng.Float64()
	for _, n := range nodes {
		if u -= n.Weight; u < 0 {
			return n
		}
	}
	return nodes[len(nodes)-1]
}

func (l *Link) pickGear(rng *rand.Rand, x unit.DB) *gear {
	u := rng.Float64()
	for i := range l.gears {
		if u -= l.share(i, float64(x)); u < 0 {
			return &l.gears[i]
		}
	}
	return &l.gears[len(l.gears)-1]
}

func moments(xs []float64) (mean, sd float64) {
	for _, x := range xs {
		mean += x / float64(len(xs))
	}
	for _, x := range xs {
		sd += (x - mean) * (x - mean) / float64(len(xs))
	}
	return mean, math.Sqrt(sd)
}

// Chances sum to one, more time never carries less, quantiles invert the law.
func TestTransferLaws(t *testing.T) {
	nodes := Both(nil, SNRDist{8, 6, 9}, SNRDist{5, 6, 9}, 4)
	for name, l := range links(t) {
		var d Dist
		before := make([]float64, 0, 4)
		for minutes := 0.25; minutes < 100; minutes *= 1.3 {
			at := time.Duration(minutes * 60e9)
			l.Bytes(&d, Outward, nodes, at)
			near(t, name+": chance of nothing or more", d.AtLeast(0), 1, 1e-9)
			now := []float64{d.Mean(), d.AtLeast(50), d.AtLeast(5000), d.Quantile(0.5)}
			for i := range before {
				// Exact cases give way to a smooth law at 64 units: chances may step by 0.01.
				if now[i] < before[i]*(1-1e-9)-0.012*max(1, before[i]) {
					t.Errorf("%s: after %g min figure %d falls from %g to %g", name, minutes, i, before[i], now[i])
				}
			}
			before = now
		}
		for _, size := range []unit.Bytes{1, 300, 5000, 100_000} {
			l.Minutes(&d, nodes, size, 0, 4*time.Hour)
			last := 0.0
			for x := 0.0; x < 300; x += 2.5 {
				P := d.AtMost(x)
				if P < last-1e-12 || P > 1+1e-9 {
					t.Errorf("%s: chance of %d bytes within %g min is %g after %g", name, size, x, P, last)
				}
				last = P
			}
			for _, q := range []float64{0.1, 0.5, 0.9} {
				x := d.Quantile(q)
				if math.IsInf(x, 1) {
					if d.AtMost(240) >= q {
						t.Errorf("%s: %d bytes: quantile %g is endless, yet done by the limit with %g", name, size, q, d.AtMost(240))
					}
				} else if d.AtMost(x*(1+1e-9)) < q-1e-9 || x > 1e-9 && d.AtMost(x*(1-1e-6)-1e-9) > q+1e-9 {
					t.Errorf("%s: %d bytes: quantile %g = %g min, chance just before %g, there %g", name, size, q, x, d.AtMost(x*(1-1e-6)), d.AtMost(x))
				}
			}
		}
	}
}

// A call where nothing can get through says so.
func TestHopelessTransfer(t *testing.T) {
	w, _ := ByName("teleprinter-arq")
	var d Dist
	for name, l := range map[string]*Link{"too far": w.Over(40_000*unit.Km, Poor), "no signal": w.Over(1000*unit.Km, AWGN)} {
		nodes := []Node{{-60, -60, 1}}
		l.Bytes(&d, Inward, nodes, 10*time.Minute)
		if d.Mean() > 1e-3 || d.AtLeast(1) > 1e-4 {
			t.Errorf("%s: got %g bytes, chance of one %g", name, d.Mean(), d.AtLeast(1))
		}
		l.Minutes(&d, nodes, 0, 100, 30*time.Minute)
		if d.Mean() != 30 || d.AtMost(30) != 0 || !math.IsInf(d.Quantile(0.1), 1) {
			t.Errorf("%s: got mean %g min, done with %g", name, d.Mean(), d.AtMost(30))
		}
	}
	l := w.Over(1000*unit.Km, Poor)
	l.Minutes(&d, []Node{{20, 20, 1}}, 0, 0, time.Hour)
	if d.Mean() != 0 || d.AtMost(0) != 1 || d.Quantile(0.9) != 0 {
		t.Errorf("nothing to carry takes %g min", d.Mean())
	}
}

// In a long call bytes come at the pace that Goodput says.
func TestLongCallRunsAtGoodput(t *testing.T) {
	for name, l := range links(t) {
		for _, n := range []Node{{20, 20, 1}, {8, 4, 1}, {2, 15, 1}} {
			got := l.MeanBytes(Outward, []Node{n}, 50*time.Hour) / 3000
			var want float64
			for i := range l.gears {
				g := &l.gears[i]
				want += 60 * l.share(i, float64(n.Out)) * g.bytesPerS() * g.p.At(n.Out) * lookup(&l.ack, float64(n.In))
			}
			near(t, name+": long call over exact pace", got/want, 1, 2e-3)
			if want > 1 {
				near(t, name+": looked-up goodput over exact pace", l.Goodput(n.Out, n.In)/want, 1, 0.02)
			}
		}
	}
}
