package modem

import (
	"fmt"
	"strings"
	"sync"
	"time"

	"farhail/unit"
)

// practicalDB is what the plain waveforms lose against theory: about what the open
// serial-tone standard leaves between its table and the matched-filter bound on a
// steady path (2.3 to 3.6 dB, our notes on links §5).
const practicalDB = 3

// library holds the waveforms by name, in the order shown to people; each is worked
// out when first asked for.
var library = []struct {
	name string
	make func() Waveform
}{
	{"serial-3k", sync.OnceValue(serial3k)},
	{"teleprinter-arq", sync.OnceValue(teleprinter)},
	{"fsk-eight", sync.OnceValue(fskEight)},
	{"fsk-binary", sync.OnceValue(fskBinary)},
	{"psk-narrow", sync.OnceValue(pskNarrow)},
}

// Library returns the waveforms that come with the program, all of them defined by
// open standards or plain enough to need none. They are shared: change a copy.
func Library() []Waveform {
	ws := make([]Waveform, len(library))
	for i, entry := range library {
		ws[i] = entry.make()
	}
	return ws
}

// Names lists the waveforms of the library without working them out.
func Names() []string {
	names := make([]string, len(library))
	for i, entry := range library {
		names[i] = entry.name
	}
	return names
}

// ByName returns the waveform of the library with that name.
func ByName(name string) (Waveform, error) {
	for _, entry := range library {
		if entry.name == name {
			return entry.make(), nil
		}
	}
	return Waveform{}, fmt.Errorf("find waveform %q: not in the library: use one of %s, or describe it by its ladder", name, strings.Join(Names(), ", "))
}

// serial3k is the single-carrier family for a 3 kHz channel.
//
// Source:   MIL-STD-188-110D Appendix D, Tables D-II and D-LXIV, waveforms 0…13 (long
// interleaver, bit error rate 1e-5; Poor is ITU-R F.1487 mid-latitude disturbed), as
// in our notes (a single transcription). The last two have no requirement on Poor:
// they are taken not to work there.
func serial3k() Waveform {
	levels := make([]Level, 0, 14)
	for _, r := range []struct {
		name               string
		bitRate            float64
		needAWGN, needPoor unit.DB
	}{
		{"0 Walsh", 75, -6, -1},
		{"1 2-phase", 150, -3, 3},
		{"2 2-phase", 300, 0, 5},
		{"3 2-phase", 600, 3, 7},
		{"4 2-phase", 1200, 5, 10},
		{"5 2-phase", 1600, 6, 11},
		{"13 4-phase", 2400, 6, 11},
		{"6 4-phase", 3200, 9, 14},
		{"7 8-phase", 4800, 13, 19},
		{"8 16-QAM", 6400, 16, 23},
		{"9 32-QAM", 8000, 19, 27},
		{"10 64-QAM", 9600, 21, 31},
		{"11 64-QAM", 12000, 24, Never},
		{"12 256-QAM", 16000, 30, Never},
	} {
		levels = append(levels, Level{Name: r.name, BitRate: r.bitRate, NeedAWGN: r.needAWGN, NeedPoor: r.needPoor})
	}
	return sound(Waveform{
		Name:      "serial-3k",
		Note:      "single-carrier data modem for a 3 kHz voice channel, 75 to 16,000 bit/s",
		Source:    "MIL-STD-188-110D Appendix D, Tables D-II and D-LXIV, as in our notes (single transcription)",
		Bandwidth: 3 * unit.KHz,
		Levels:    levels,
	})
}

// teleprinter is direct printing with error correction by repetition: 100 Bd, blocks
// of three characters of seven elements in a cycle of 450 ms, one control signal of
// seven elements as the answer.
//
// Source:   ITU-R M.625-4 and M.476-5 for the timing, as in our notes (two independent
// descriptions agree); element errors in closed form (non-coherent binary FSK).
// Ours: both stations' equipment takes 20 ms a cycle (assumed). A character carries
// 5 of its bits of the user's data: mail is compressed before it goes, and 32 of
// the 35 combinations are free to carry it. A block is wrong if any element is; the
// constant-ratio code detects it (a mark and a space both inverted pass: 12ε² a
// character, ignored here). The end of the call after 32 repeats is not modelled.
func teleprinter() Waveform {
	k := keying{baud: 100, bits: 1, fails: func(γs float64) float64 { return fskError(2, γs) }}
	const b = 300 // ITU-R F.339 gives 300 Hz for this emission
	l := Level{Name: "100 Bd", BitRate: 100}
	w := Waveform{
		Name:      "teleprinter-arq",
		Note:      "direct printing with repeats, 100 Bd, 170 Hz shift; at most 400 characters a minute",
		Source:    "ITU-R M.625-4, as in our notes; closed-form error rate",
		Bandwidth: b * unit.Hz,
		ARQ: ARQ{
			Block: 15.0 / 8, Overhead: 6.0 / 8, Window: 1,
			Send: 210 * time.Millisecond, Ack: 70 * time.Millisecond, Turn: 10 * time.Millisecond,
			Cycle: 450 * time.Millisecond, Combine: 1,
		},
	}
	l.Curves[AWGN], l.Curves[Poor] = k.block(21, b, practicalDB)
	w.Ack[AWGN], w.Ack[Poor] = k.block(7, b, practicalDB)
	w.Levels = []Level{l}
	return sound(w)
}

// Blocks of the uncoded waveforms: short, because one wrong bit spoils them, and on
// a fading path a short block finds its way between two fades. Ours.
var plainARQ = ARQ{
	Block: 16, Overhead: 4, Window: 32,
	Send: 20 * time.Second, Start: 300 * time.Millisecond,
	Ack: 500 * time.Millisecond, Turn: 100 * time.Millisecond,
	Combine: 1,
}

// fskBinary keys between two tones, 170 Hz apart.
func fskBinary() Waveform {
	two := func(γs float64) float64 { return fskError(2, γs) }
	return plainLadder("fsk-binary", "two tones 170 Hz apart, 50 or 100 Bd, uncoded blocks with repeats", 300,
		keying{baud: 50, bits: 1, fails: two}, keying{baud: 100, bits: 1, fails: two})
}

// fskEight sends one of eight tones, 50 Hz apart.
func fskEight() Waveform {
	eight := func(γs float64) float64 { return fskError(8, γs) }
	return plainLadder("fsk-eight", "one of eight tones 50 Hz apart, 25 or 50 Bd, uncoded blocks with repeats", 500,
		keying{baud: 25, bits: 3, fails: eight}, keying{baud: 50, bits: 3, fails: eight})
}

// pskNarrow turns the phase of one carrier between symbols.
func pskNarrow() Waveform {
	return plainLadder("psk-narrow", "differential phase keying of one carrier at 100 Bd, two or four phases, uncoded blocks with repeats", 200,
		keying{baud: 100, bits: 1, fails: dbpskError, doppler: true},
		keying{baud: 100, bits: 2, fails: dqpskError, doppler: true})
}

// plainLadder makes an uncoded waveform in bHz; the acknowledgement is as long as a
// quarter of a block at the slowest level and as safe as a whole one.
func plainLadder(name, note string, bHz float64, ks ...keying) Waveform {
	w := Waveform{
		Name: name, Note: note,
		Source:    "closed-form error rates of textbook theory, 3 dB short of them",
		Bandwidth: unit.Freq(bHz),
		ARQ:       plainARQ,
	}
	for _, k := range ks {
		bits := 8 * (w.ARQ.Block + w.ARQ.Overhead)
		l := Level{Name: fmt.Sprintf("%g Bd, %g bit", k.baud, k.bits), BitRate: k.baud * k.bits}
		l.Curves[AWGN], l.Curves[Poor] = k.block(bits/k.bits, bHz, practicalDB)
		w.Levels = append(w.Levels, l)
	}
	return sound(w)
}

// sound makes a waveform of ours ready for use.
func sound(w Waveform) Waveform {
	w, err := New(w)
	if err != nil {
		panic("modem: " + err.Error())
	}
	return w
}
