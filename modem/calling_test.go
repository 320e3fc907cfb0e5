package modem

import (
	"math"
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

// A station that was never called.
func TestUsualPresence(t *testing.T) {
	near(t, "free", UsualPresence.Free(), 0.72, 1e-12)
}
