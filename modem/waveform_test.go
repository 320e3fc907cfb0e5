package modem

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"farhail/unit"
)

func ladder(levels ...Level) Waveform {
	return Waveform{Name: "own", Bandwidth: 2 * unit.KHz, Levels: levels}
}

func TestNewRefuses(t *testing.T) {
	slow := Level{Name: "slow", BitRate: 100, NeedAWGN: 0, NeedPoor: 6}
	fast := Level{Name: "fast", BitRate: 800, NeedAWGN: 9, NeedPoor: 16}
	with := func(change func(*Waveform)) Waveform {
		w := ladder(slow, fast)
		w.ARQ = StandardARQ()
		change(&w)
		return w
	}
	for _, c := range []struct {
		w    Waveform
		want string
	}{
		{Waveform{Bandwidth: 2000, Levels: []Level{slow}}, `describe waveform "": it has no name`},
		{with(func(w *Waveform) { w.Bandwidth = 0 }), "bandwidth of 0 Hz is out of range: give 10 to 100000 Hz"},
		{ladder(), "it has no levels"},
		{ladder(Level{BitRate: 0}), "bit rate of 0 bit/s is out of range"},
		{ladder(Level{BitRate: math.NaN()}), "bit rate is not a number"},
		{ladder(slow, Level{Name: "x", BitRate: 1e5, NeedAWGN: 9, NeedPoor: 16}), `level 2 "x": bit rate of 100000 bit/s is out of range: give 1 to 40000 bit/s`},
		{ladder(fast, slow), `level 2 "slow": 100 bit/s come after 800 bit/s: list the levels from slow to fast`},
		{ladder(slow, slow), "100 bit/s come after 100 bit/s"},
		{ladder(slow, Level{Name: "x", BitRate: 200, NeedAWGN: -1, NeedPoor: 6}), "it is faster than the level before and yet needs less SNR"},
		{ladder(slow, Level{Name: "x", BitRate: 200, NeedAWGN: 1, NeedPoor: 5}), "it is faster than the level before and yet needs less SNR"},
		{ladder(Level{BitRate: 100, NeedAWGN: 6, NeedPoor: 0}), "fading cannot help"},
		{ladder(Level{BitRate: 100, NeedAWGN: 6, NeedPoor: Never}), "the slowest level must work on a fading path"},
		{ladder(Level{BitRate: 100, NeedAWGN: 200, NeedPoor: 201}), "SNR needed on a steady path of 200 dB is out of range"},
		{ladder(Level{BitRate: 100, NeedAWGN: 2, NeedPoor: 99}), "SNR needed on a fading path of 99 dB is out of range"},
		{with(func(w *Waveform) { w.ARQ.Block = 0 }), "block of 0 bytes is out of range"},
		{with(func(w *Waveform) { w.ARQ.Window = 1000 }), "window of 1000 blocks is out of range"},
		{with(func(w *Waveform) { w.ARQ.Send = 0 }), "longest transmission of 0 s is out of range"},
		{with(func(w *Waveform) { w.ARQ.Turn = -time.Second }), "turnaround of -1 s is out of range"},
		{with(func(w *Waveform) { w.ARQ.Combine = 0 }), "receptions combined of 0 is out of range: give 1 to 16"},
	} {
		got, err := New(c.w)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("New(%+v): got error %v, want one with %q", c.w, err, c.want)
		}
		if got.Name != "" || got.Levels != nil {
			t.Errorf("New(%+v): a refused waveform was returned", c.w)
		}
	}
	var r *unit.RangeError
	if _, err := New(with(func(w *Waveform) { w.Bandwidth = -1 })); !errors.As(err, &r) || r.Quantity != "bandwidth" {
		t.Errorf("a range error is not kept as such: %v", err)
	}
	levels := []Level{slow, fast}
	w, err := New(ladder(levels...))
	if err != nil || w.ARQ != StandardARQ() || levels[0].Curves[AWGN].logit != nil {
		t.Errorf("a good ladder: error %v, ARQ %+v, the caller's levels touched: %v", err, w.ARQ, levels[0].Curves[AWGN].logit != nil)
	}
}

// Whatever is accepted keeps the laws: goodput finite, never negative, no worse for a
// better SNR, never above the bit rate; the chance to connect between 0 and 1.
func FuzzNew(f *testing.F) {
	f.Add(100.0, 0.0, 6.0, 800.0, 9.0, 16.0, 200.0, 20.0, 7.68, 60.0, 0.0, 1, 128, 3e6)
	f.Add(75.0, -6.0, -1.0, 16000.0, 30.0, math.Inf(1), 1.875, 0.75, 0.0, 0.21, 0.0, 4, 1, 2e7)
	f.Add(50.0, -20.0, 40.0, 51.0, -20.0, 40.0, 9000.0, 0.0, 60.0, 0.05, 0.45, 16, 256, 0.0)
	f.Fuzz(func(t *testing.T, r1, a1, p1, r2, a2, p2, block, over, span, send, cycle float64, combine, window int, path float64) {
		s := func(v float64) time.Duration { return time.Duration(min(max(v, -1e3), 1e3) * 1e9) }
		w, err := New(Waveform{
			Name: "fuzz", Bandwidth: 3000,
			Levels: []Level{{"a", r1, unit.DB(a1), unit.DB(p1), [2]Curve{}}, {"b", r2, unit.DB(a2), unit.DB(p2), [2]Curve{}}},
			ARQ: ARQ{Block: block, Overhead: over, Window: window, Send: s(send), Span: s(span), Start: s(0.5),
				Ack: s(1), Turn: s(0.2), Cycle: s(cycle), Combine: combine},
		})
		if err != nil {
			if w.Name != "" {
				t.Fatalf("refused (%v) and yet returned", err)
			}
			return
		}
		if !(path >= 0 && path <= 4.1e7) {
			path = 0
		}
		for _, fading := range []Fading{AWGN, Poor} {
			l := w.Over(unit.Length(path), fading)
			before := 0.0
			for x := unit.DB(-40); x <= 75; x += 0.7 {
				g, c := l.Goodput(x, x), l.Connect(Scanned(4, 2*time.Second), Node{x, x, 1})
				if !(g >= before*(1-1e-9)) || g > r2/8*60 {
					t.Fatalf("goodput at %v dB, %v: got %g after %g bytes/min, bit rate %g", x, fading, g, before, r2)
				}
				if !(c >= 0 && c <= 1) || (c > 0 && !l.Works()) {
					t.Fatalf("chance to connect at %v dB: got %g, works %v", x, c, l.Works())
				}
				before = g
			}
		}
	})
}

// Curves given in place of needs: the needs follow, and the curves stay as they are.
func TestNewKeepsGivenCurves(t *testing.T) {
	steady, err := Tabulated(-2, 1, []float64{0.05, 0.5, 0.95, 0.99})
	if err != nil {
		t.Fatal(err)
	}
	poor, err := Tabulated(0, 4, []float64{0.1, 0.6, 0.95, 0.98})
	if err != nil {
		t.Fatal(err)
	}
	w, err := New(ladder(Level{Name: "seen", BitRate: 300, Curves: [2]Curve{AWGN: steady, Poor: poor}}))
	if err != nil {
		t.Fatal(err)
	}
	l := w.Levels[0]
	near(t, "need, steady", float64(l.NeedAWGN), 0, 1e-9)
	near(t, "need, fading", float64(l.NeedPoor), 8, 1e-9)
	near(t, "chance, fading", l.Success(Poor, 4), 0.6, 1e-9)
	near(t, "acknowledgement, fading", w.Over(0, Poor).ack[int((4-gridLo)/gridStep)], 0.6, 1e-9)
}
