package modem

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"farhail/unit"
)

func links(t testing.TB) map[string]*Link {
	t.Helper()
	m := map[string]*Link{}
	for _, w := range Library() {
		for _, f := range []Fading{AWGN, Poor} {
			m[w.Name+" "+f.String()] = w.Over(3000*unit.Km, f)
		}
	}
	if len(m) == 0 {
		t.Fatal("no waveforms")
	}
	return m
}

// A stronger signal never carries less, either way; a longer path never more.
func TestGoodputRises(t *testing.T) {
	for name, l := range links(t) {
		for x := unit.DB(-35); x < 65; x += 0.05 {
			if a, b := l.Goodput(x, 20), l.Goodput(x+0.05, 20); b < a*(1-1e-9) {
				t.Fatalf("%s: goodput falls from %g to %g bytes/min at %g dB of the data", name, a, b, float64(x))
			}
			if a, b := l.Goodput(20, x), l.Goodput(20, x+0.05); b < a*(1-1e-9) {
				t.Fatalf("%s: goodput falls from %g to %g bytes/min at %g dB of the acknowledgement", name, a, b, float64(x))
			}
		}
	}
	w, _ := ByName("serial-3k")
	near1, far := w.Over(100*unit.Km, Poor), w.Over(20_000*unit.Km, Poor)
	for x := unit.DB(-10); x < 40; x++ {
		if far.Goodput(x, x) > near1.Goodput(x, x) {
			t.Errorf("at %g dB the longer path carries more", float64(x))
		}
	}
}

// The look-up against the exact sum: relative error where anything is carried.
func TestLookupError(t *testing.T) {
	for name, l := range links(t) {
		var worst, at float64
		top := l.goodputExact(60)
		for x := -20.0; x < 50; x += 0.01 {
			want := l.goodputExact(unit.DB(x))
			if want < 0.01*top {
				continue
			}
			if e := math.Abs(lookup(&l.goodput, x)/want - 1); e > worst {
				worst, at = e, x
			}
		}
		t.Logf("%s: worst %.2g of the value, at %.2f dB", name, worst, at)
		if worst > 0.02 {
			t.Errorf("%s: look-up off by %g of the value at %g dB, tolerance 0.02", name, worst, at)
		}
	}
}

// Without hysteresis the level in use is the best of all levels at every SNR (to half
// a per cent: one that is best over less than half a decibel may be passed over); with
// it, the loss against that is small.
func TestLevelsAreTheBest(t *testing.T) {
	w, _ := ByName("serial-3k")
	for _, f := range []Fading{AWGN, Poor} {
		all := w.layOut(3000*unit.Km, f)
		l := w.Over(3000*unit.Km, f)
		if !slices.IsSorted(l.up) {
			t.Fatalf("%v: changes of level are not in order: %v", f, l.up)
		}
		var loss float64
		for x := -10.0; x < 45; x += 0.1 {
			best := 0.0
			for _, g := range all {
				best = max(best, g.bytesPerS()*g.p.at(x))
			}
			i, _ := slices.BinarySearch(l.up, x)
			near(t, "chosen over best, no hysteresis", l.gears[i].bytesPerS()*l.gears[i].p.at(x)/best, 1, 5e-3)
			loss = max(loss, 1-l.goodputExact(unit.DB(x))/(60*best))
			sum := 0.0
			for i := range l.gears {
				sum += l.share(i, x)
			}
			near(t, "shares of the levels", sum, 1, 1e-12)
		}
		t.Logf("%v: hysteresis costs at most %.1f %%", f, 100*loss)
		if loss > 0.3 {
			t.Errorf("%v: hysteresis costs %g, more than 0.3", f, loss)
		}
	}
}

// A ladder with more levels is never worse (but for the hysteresis, left out here).
func TestMoreLevelsNeverWorse(t *testing.T) {
	whole, _ := ByName("serial-3k")
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		part := whole
		part.Levels = nil
		for _, l := range whole.Levels {
			if rng.IntN(2) == 0 {
				part.Levels = append(part.Levels, l)
			}
		}
		if len(part.Levels) == 0 {
			continue
		}
		a, b := part.Over(3000*unit.Km, Poor), whole.Over(3000*unit.Km, Poor)
		best := func(l *Link, x float64) (G float64) {
			if i, _ := slices.BinarySearch(l.up, x); l.Works() {
				G = l.gears[i].bytesPerS() * l.gears[i].p.at(x)
			}
			return G
		}
		for x := -10.0; x < 45; x++ {
			if best(b, x) < best(a, x)*(1-5e-3) {
				t.Fatalf("at %g dB %d levels carry %g bytes/s, all carry %g", x, len(part.Levels), best(a, x), best(b, x))
			}
		}
	}
}

// Shares of the time on the air, by hand: direct printing sends 210 of 450 ms and
// answers in 70.
func TestDuty(t *testing.T) {
	w, _ := ByName("teleprinter-arq")
	s, r := w.Over(1000*unit.Km, AWGN).Duty(20)
	near(t, "sender", s, 210.0/450, 1e-9)
	near(t, "receiver", r, 70.0/450, 1e-9)
}

// Stop and wait as in our notes on links §6: data 4.80 s, acknowledgement 0.32 s, turn
// 0.10 s; share of the time that carries data at 3.9, 36 and 73 ms of delay.
func TestStopAndWait(t *testing.T) {
	for _, c := range []struct{ dataS, delayS, want float64 }{
		{1.28, 3.9e-3, 0.7080}, {1.28, 36e-3, 0.6838}, {1.28, 73e-3, 0.6578},
		{4.80, 3.9e-3, 0.9009}, {4.80, 36e-3, 0.8902}, {4.80, 73e-3, 0.8782},
	} {
		a := ARQ{Block: c.dataS * 1000 / 8, Window: 1, Send: 5e9, Ack: 320e6, Turn: 100e6, Combine: 1}
		g, _ := a.gear(0, 1000, Curve{}, unit.Length(c.delayS*lightKmS)*unit.Km)
		near(t, "share of data", 8*g.bytesPerS()/1000, c.want, 6e-5)
	}
}
