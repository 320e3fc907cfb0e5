package modem

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"farhail/unit"
)

func seconds(s float64) time.Duration { return time.Duration(s * 1e9) }

// Our notes on links §6: channels, dwell, call length, time needed in a dwell, chance.
func TestMet(t *testing.T) {
	for _, c := range []struct {
		N              int
		d, Tc, tn, met float64
	}{
		{10, 0.5, 3, 0.2, 0.6200}, {10, 0.5, 5, 0.2, 1}, {5, 2, 4, 0.392, 0.5216}, {8, 0.2, 1.2, 0.1, 0.7500},
		{10, 0.5, 4.9, 0.2, 1}, {5, 2, 8.784, 0.392, 1}, {8, 0.2, 1.6, 0.1, 1},
	} {
		call := Calling{Channels: c.N, Dwell: seconds(c.d), Extra: seconds(c.Tc - float64(c.N)*c.d), Hear: seconds(c.tn)}
		near(t, "chance that the scan comes by", call.Met(), c.met, 1e-9)
	}
	for n := 1; n < 30; n++ {
		if c := Scanned(n, 2*time.Second); c.Met() != 1 || c.Length() != time.Duration(2*n+5)*time.Second {
			t.Errorf("%d channels of 2 s: call of %v met with %g, want %d s and 1", n, c.Length(), c.Met(), 2*n+5)
		}
	}
	if p := Scanned(4, 500*time.Millisecond).Met(); p != 0 {
		t.Errorf("a dwell too short to notice a call: got %g, want 0", p)
	}
}

// The same place: chance in m tries and mean tries given success.
func TestTries(t *testing.T) {
	for _, c := range []struct {
		q            float64
		m            int
		within, mean float64
	}{{0.4 * 0.9, 5, 0.8926, 2.1763}, {0.7, 3, 0.9730, 1.3453}, {0.5, 3, 0.8750, 1.5714}} {
		call := Calling{Tries: c.m}
		near(t, "chance in all tries", call.within(c.q), c.within, 6e-5)
		near(t, "mean tries", call.meanTries(c.q), c.mean, 6e-5)
	}
	near(t, "mean tries, hopeless", Calling{Tries: 3}.meanTries(0), 2, 1e-12)
}

// Connecting by hand: both directions at the need of the slowest level.
func TestConnect(t *testing.T) {
	w, _ := ByName("serial-3k")
	l, c := w.Over(3000*unit.Km, Poor), Scanned(5, 2*time.Second)
	q := 0.95 * 0.95
	near(t, "at the need both ways", l.Connect(c, Node{-1, -1, 1}), 1-math.Pow(1-q, 3), 1e-9)
	for x := unit.DB(-30); x < 40; x++ {
		if l.Connect(c, Node{x, 10, 1}) > l.Connect(c, Node{x + 1, 10, 1}) || l.Connect(c, Node{10, x, 1}) > l.Connect(c, Node{10, x + 1, 1}) {
			t.Errorf("a stronger signal at %g dB connects less often", float64(x))
		}
		if a, b := l.Connect(c, Node{x, 3, 1}), l.Connect(c, Node{3, x, 1}); math.Abs(a-b) > 1e-12 {
			t.Errorf("connecting needs both ways alike: %g and %g", a, b)
		}
	}
	connected, givenUp := l.Spent(c, Node{60, 60, 1}, 3000*unit.Km)
	near(t, "sending when the first try works, s", connected.Sending.Seconds(), 15, 1e-6)
	near(t, "listening when the first try works, s", connected.Receiving.Seconds(), 3+2*3000/lightKmS, 1e-6)
	near(t, "sending when nobody answers, s", givenUp.Sending.Seconds(), 45, 1e-6)
	near(t, "listening when nobody answers, s", givenUp.Receiving.Seconds(), 3*(5+2*3000/lightKmS), 1e-6)
}

// Chain and After against a watch played many times: states of the sky, stations that
// are there or not all through, calls one after another until one connects.
func TestChainByMonteCarlo(t *testing.T) {
	weights := []float64{0.3, 0.5, 0.2}
	attempts := []Attempt{
		{"shore", 0.72, []float64{0.1, 0.6, 0.95}},
		{"shore", 0.72, []float64{0.7, 0.8, 0.3}},
		{"camp", 0.5, []float64{0.2, 0.5, 0.9}},
		{"shore", 0.72, []float64{0.1, 0.6, 0.95}},
	}
	first, given := Chain(weights, attempts)
	posterior, free := After(weights, attempts)

	const runs = 300_000
	rng := rand.New(rand.NewPCG(9, 9))
	var won [4]float64
	var sky [3]float64
	var there [4]float64
	var lost float64
	for range runs {
		k := 0
		for u := rng.Float64() - weights[0]; u >= 0 && k < 2; u -= weights[k] {
			k++
		}
		present := map[string]bool{"shore": rng.Float64() < 0.72, "camp": rng.Float64() < 0.5}
		won1 := false
		for i, a := range attempts {
			if present[a.Station] && rng.Float64() < a.Connect[k] {
				won[i]++
				won1 = true
				break
			}
		}
		if !won1 {
			lost++
			sky[k]++
			for i, a := range attempts {
				if present[a.Station] {
					there[i]++
				}
			}
		}
	}
	left := 1.0
	for i := range attempts {
		near(t, "connects first", first[i], won[i]/runs, 0.004) // four deviations
		near(t, "given that all before failed", given[i], first[i]/left, 1e-12)
		near(t, "station free after all failed", free[i], there[i]/lost, 0.006)
		left -= first[i]
	}
	near(t, "all fail", left, lost/runs, 0.004)
	for k := range weights {
		near(t, "sky after all failed", posterior[k], sky[k]/lost, 0.006)
	}
}

// Corners of the chain: a repeat on an open sky finds nobody new, a sure call leaves
// nothing to learn, and other stations owe each other nothing.
func TestChainCorners(t *testing.T) {
	sure := []float64{1}
	first, given := Chain(sure, []Attempt{{"a", 0.72, sure}, {"a", 0.72, sure}, {"b", 0.72, sure}})
	near(t, "first", first[0], 0.72, 1e-12)
	near(t, "again at an absent station", given[1], 0, 1e-12)
	near(t, "at another station", given[2], 0.72, 1e-12)
	posterior, free := After(sure, []Attempt{{"a", 1, sure}})
	near(t, "nothing learned from what cannot be", posterior[0]+free[0], 2, 1e-12)
	near(t, "a station never called", UsualPresence.Free(), 0.72, 1e-12)
	if p, _ := After(nil, nil); len(p) != 0 {
		t.Error("no nodes")
	}
}
