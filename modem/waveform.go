package modem

import (
	"fmt"
	"math"
	"slices"

	"farhail/unit"
)

// Level is one rung of a ladder: a way of sending with its speed and the SNR it needs.
type Level struct {
	Name    string
	BitRate float64 // user bits per second while data are sent

	// The SNR in the waveform's own bandwidth at which 95 of 100 blocks arrive.
	// Never if that is not to be had.
	NeedAWGN, NeedPoor unit.DB

	// Block success by Fading, where more is known than the needs: simulated or
	// computed. Left zero, New makes it logistic around the needs; given, the needs
	// follow from it.
	Curves [2]Curve
}

// Never is the need of a level on a channel where 95 of 100 blocks never arrive.
var Never = unit.DB(math.Inf(1))

// Widths over which the success of a level goes from 0.1 to 0.9 when only a table's
// SNR is known: 3 dB steady and 9 dB fading. An engineer's rule for planning (our
// notes on F.1487, end of §2), not from a standard.
const (
	widthAWGN unit.DB = 3
	widthPoor unit.DB = 9
)

// Success returns the chance that one block at this level is received.
func (l Level) Success(f Fading, snr unit.DB) float64 { return l.Curves[f].At(snr) }

// Waveform is a way of sending data: a ladder of levels, slowest first, and the ARQ
// that carries blocks over it. Make one with New; the zero Waveform carries nothing.
type Waveform struct {
	Name      string
	Note      string // one line for the operator
	Source    string
	Bandwidth unit.Freq // all SNRs are in it
	Levels    []Level
	ARQ       ARQ      // left zero: StandardARQ
	Ack       [2]Curve // success of an acknowledgement, by Fading; left zero: as a block at the slowest level
}

// New checks a waveform and makes it ready for use: what was left zero is filled in as
// the fields say, and a ladder that cannot be is refused.
func New(w Waveform) (Waveform, error) {
	if w.ARQ == (ARQ{}) {
		w.ARQ = StandardARQ()
	}
	w.Levels = slices.Clone(w.Levels)
	for i := range w.Levels {
		w.Levels[i].complete()
	}
	if len(w.Levels) > 0 && w.Ack[AWGN].never() {
		w.Ack = w.Levels[0].Curves
	}
	if err := w.check(); err != nil {
		return Waveform{}, fmt.Errorf("describe waveform %q: %w", w.Name, err)
	}
	return w, nil
}

// complete makes curves from needs, or needs from curves.
func (l *Level) complete() {
	if l.Curves[AWGN].never() {
		l.Curves = [2]Curve{AWGN: Logistic(l.NeedAWGN, widthAWGN), Poor: Logistic(l.NeedPoor, widthPoor)}
		return
	}
	l.NeedAWGN, l.NeedPoor = l.Curves[AWGN].Need(tableP), l.Curves[Poor].Need(tableP)
	if l.NeedPoor > curveHi { // the turning path spoils more than that at any SNR
		l.NeedPoor = Never
	}
}

func (w Waveform) check() error {
	if w.Name == "" {
		return fmt.Errorf("it has no name: give one in plain words")
	}
	if err := unit.Check("bandwidth", w.Bandwidth.Hz(), 10, 100e3, "Hz"); err != nil {
		return err
	}
	if len(w.Levels) == 0 {
		return fmt.Errorf("it has no levels: give at least one bit rate with the SNR it needs")
	}
	for i, l := range w.Levels {
		if err := w.checkLevel(i); err != nil {
			return fmt.Errorf("level %d %q: %w", i+1, l.Name, err)
		}
	}
	return w.ARQ.check()
}

// checkLevel refuses what cannot be: speeds beyond any signal of that bandwidth, and
// a ladder on which a faster level needs less than a slower one.
func (w Waveform) checkLevel(i int) error {
	l := w.Levels[i]
	if err := unit.Check("bit rate", l.BitRate, 1, 20*w.Bandwidth.Hz(), "bit/s"); err != nil {
		return err
	}
	if err := unit.Check("SNR needed on a steady path", float64(l.NeedAWGN), -40, 60, "dB"); err != nil {
		return err
	}
	if l.NeedPoor != Never {
		if err := unit.Check("SNR needed on a fading path", float64(l.NeedPoor), -40, 70, "dB"); err != nil {
			return err
		}
	}
	if l.NeedPoor < l.NeedAWGN {
		return fmt.Errorf("it needs %g dB on a fading path but %g dB on a steady one: fading cannot help, exchange them", float64(l.NeedPoor), float64(l.NeedAWGN))
	}
	if i == 0 && l.Curves[Poor].never() {
		return fmt.Errorf("the slowest level must work on a fading path: give the SNR it needs there")
	}
	if i == 0 {
		return nil
	}
	b := w.Levels[i-1]
	switch {
	case l.BitRate <= b.BitRate:
		return fmt.Errorf("%g bit/s come after %g bit/s: list the levels from slow to fast", l.BitRate, b.BitRate)
	case l.NeedAWGN < b.NeedAWGN || l.NeedPoor < b.NeedPoor:
		return fmt.Errorf("it is faster than the level before and yet needs less SNR: check the ladder, or leave the level before out")
	}
	return nil
}
