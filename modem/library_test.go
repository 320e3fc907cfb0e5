package modem

import (
	"math"
	"strings"
	"testing"

	"farhail/unit"
)

// MIL-STD-188-110D Appendix D, Tables D-II and D-LXIV, 3 kHz, as in our notes (single
// transcription): the success at the table's SNR is 0.95, and the rows are those.
func TestSerialTable(t *testing.T) {
	w, err := ByName("serial-3k")
	if err != nil {
		t.Fatal(err)
	}
	bitRate := []float64{75, 150, 300, 600, 1200, 1600, 2400, 3200, 4800, 6400, 8000, 9600, 12000, 16000}
	awgn := []unit.DB{-6, -3, 0, 3, 5, 6, 6, 9, 13, 16, 19, 21, 24, 30}
	poor := []unit.DB{-1, 3, 5, 7, 10, 11, 11, 14, 19, 23, 27, 31}
	if len(w.Levels) != len(bitRate) || w.Bandwidth != 3000 {
		t.Fatalf("got %d levels in %v Hz", len(w.Levels), w.Bandwidth.Hz())
	}
	for i, l := range w.Levels {
		if l.BitRate != bitRate[i] {
			t.Errorf("level %s: got %g bit/s, want %g", l.Name, l.BitRate, bitRate[i])
		}
		near(t, l.Name+" steady", l.Success(AWGN, awgn[i]), 0.95, 1e-9)
		if i < len(poor) {
			near(t, l.Name+" fading", l.Success(Poor, poor[i]), 0.95, 1e-9)
		} else if p := l.Success(Poor, 60); p != 0 {
			t.Errorf("level %s has no requirement on Poor, got %g at 60 dB", l.Name, p)
		}
	}
	// No level promises more than the channel can carry: log₂(1+SNR) in 3 kHz.
	for _, l := range w.Levels {
		if limit := 3000 * math.Log2(1+l.NeedAWGN.Ratio()); l.BitRate > limit {
			t.Errorf("level %s: %g bit/s at %g dB is beyond the limit of %g", l.Name, l.BitRate, float64(l.NeedAWGN), limit)
		}
	}
}

func TestLibraryIsSound(t *testing.T) {
	names := Names()
	for i, w := range Library() {
		if w.Name != names[i] || w.Note == "" || w.Source == "" {
			t.Errorf("waveform %d: name %q, want %q with a note and a source", i, w.Name, names[i])
		}
		if err := w.check(); err != nil {
			t.Errorf("%s: %v", w.Name, err)
		}
		for _, f := range []Fading{AWGN, Poor} {
			if !w.Over(3000*unit.Km, f).Works() {
				t.Errorf("%s does not work over 3,000 km, %v", w.Name, f)
			}
		}
		for _, l := range w.Levels {
			near(t, w.Name+" "+l.Name+" at its need, steady", l.Success(AWGN, l.NeedAWGN), 0.95, 1e-9)
			if l.NeedPoor != Never {
				near(t, w.Name+" "+l.Name+" at its need, fading", l.Success(Poor, l.NeedPoor), 0.95, 1e-9)
			}
		}
	}
	if _, err := ByName("morse"); err == nil || !strings.Contains(err.Error(), "teleprinter-arq") {
		t.Errorf("an unknown name: got %v, want an error that lists the names", err)
	}
}

// ITU-R M.625, as in our notes on links §6: 400 (1−ε)^28 characters a minute, ε the
// element error rate; and no contact when the path takes longer than the cycle allows
// (equipment 20 ms: 22,484 km along the path).
func TestDirectPrintingLimits(t *testing.T) {
	w, err := ByName("teleprinter-arq")
	if err != nil {
		t.Fatal(err)
	}
	l := w.Over(1000*unit.Km, AWGN)
	const bytesPerChar = 5.0 / 8
	near(t, "characters a minute, no errors", l.Goodput(50, 50)/bytesPerChar, 400, 1e-6)
	for ε, want := range map[float64]float64{1e-3: 388.9, 5e-3: 347.6, 1e-2: 301.9, 2e-2: 227.2, 5e-2: 95.1} {
		// ε = ½ e^{−γs/2} at 100 Bd; SNR in 300 Hz, 3 dB for a real receiver.
		γs := -2 * math.Log(2*ε)
		snr := unit.DB(10*math.Log10(γs*100/300) + practicalDB)
		// 0.5 %: the look-up is straight between points 1/8 dB apart.
		near(t, "characters a minute with errors, over the notes'", l.Goodput(snr, snr)/bytesPerChar/want, 1, 5e-3)
	}
	if !w.Over(22_480*unit.Km, Poor).Works() {
		t.Error("22,480 km: got no contact, want one")
	}
	if far := w.Over(22_490*unit.Km, Poor); far.Works() || far.Goodput(60, 60) != 0 || far.Reach(60) != 0 || far.Level(60) != -1 {
		t.Error("22,490 km: got a contact, want none")
	}
}
