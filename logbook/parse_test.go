package logbook

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"farhail/unit"
)

var now = time.Date(2026, 11, 25, 17, 59, 0, 0, time.UTC)

// around is an invented directory.
var around = Around{
	Now: now,
	Stations: []Station{
		{"Cabo Lume", "QC3LM", []Channel{{8.362 * unit.MHz, []string{"serial-75"}}, {12.6045 * unit.MHz, []string{"serial-2400", "fsk-100"}}}},
		{"Cabo Frio", "QC3FR", []Channel{{8.3913 * unit.MHz, nil}}},
		{"Pedra Alta", "4QPTA", []Channel{{12.5665 * unit.MHz, []string{"fsk-100"}}, {8.3915 * unit.MHz, []string{"fsk-100"}}}},
	},
}

func db(x float64) *unit.DB { v := unit.DB(x); return &v }

func ExampleParse() {
	e, err := Parse("connected cabo-lume 12.6045 9min out=38kB in=2kB snr=12", around)
	fmt.Println(err)
	fmt.Println(e.At.Format("15:04Z"), e.Attempt.Station, e.Attempt.Freq.MHz(), e.Attempt.Outcome, e.Attempt.Out, e.Attempt.In, *e.Attempt.SNRIn)
	fmt.Println(e.Line())
	// Output:
	// <nil>
	// 17:50Z Cabo Lume 12.6045 connected 38 kB 2 kB 12
	// connected station="Cabo Lume" freq=12.6045MHz at=2026-11-25T17:50:00Z 9min out=38kB in=2kB snr-in=12
}

func TestParseAttempt(t *testing.T) {
	planned := around
	planned.Planned = &Call{"Cabo Lume", 12.6045 * unit.MHz, "serial-2400"}
	for _, c := range []struct {
		line   string
		around Around
		at     time.Time
		want   Attempt
	}{
		{"no answer cabo lume 8.362", around, now,
			Attempt{Station: "Cabo Lume", Freq: 8362 * unit.KHz, Waveform: "serial-75", Outcome: NoAnswer}},
		{"12604 kHz BUSY  qc3lm 2 min", around, now.Add(-2 * time.Minute), // the dial shows kilohertz
			Attempt{Station: "Cabo Lume", Freq: 12604.5 * unit.KHz, Outcome: Busy, Took: 2 * time.Minute}},
		{"in=1kB 4qpta out=2 kB connected 12.5665MHz snr-out=-3dB power=80W at=17:40 sent=4f1c,99ab note: \"weak\", fading = deep", around, now.Add(-19 * time.Minute),
			Attempt{Station: "Pedra Alta", Freq: 12566.5 * unit.KHz, Waveform: "fsk-100", Outcome: Connected, Out: 2000, In: 1000,
				SNROut: db(-3), Power: 80, Delivered: []string{"4f1c", "99ab"}, Remark: `"weak", fading = deep`}},
		{"broken-off 12.5665", around, now, // the only station there
			Attempt{Station: "Pedra Alta", Freq: 12566.5 * unit.KHz, Waveform: "fsk-100", Outcome: BrokenOff}},
		{"no-answer cabo-f 23:10z", around, time.Date(2026, 11, 24, 23, 10, 0, 0, time.UTC), // last night's; its only channel
			Attempt{Station: "Cabo Frio", Freq: 8391.3 * unit.KHz, Outcome: NoAnswer}},
		{"no-answer 18:05 cabo-f", around, now.Add(6 * time.Minute), // clocks differ a little
			Attempt{Station: "Cabo Frio", Freq: 8391.3 * unit.KHz, Outcome: NoAnswer}},
		{"connected wave=FSK-100 cabo-lume 12.605", around, now,
			Attempt{Station: "Cabo Lume", Freq: 12604.5 * unit.KHz, Waveform: "fsk-100", Outcome: Connected}},
		{"connected cabo-lume freq=12.61", around, now,
			Attempt{Station: "Cabo Lume", Freq: 12610 * unit.KHz, Outcome: Connected}},
		{"connected 90s out=38.1kB", planned, now.Add(-90 * time.Second), // what the plan said
			Attempt{Station: "Cabo Lume", Freq: 12604.5 * unit.KHz, Waveform: "serial-2400", Outcome: Connected, Took: 90 * time.Second, Out: 38100}},
		{"no answer 8.362", planned, now,
			Attempt{Station: "Cabo Lume", Freq: 8362 * unit.KHz, Waveform: "serial-75", Outcome: NoAnswer}},
		{"no answer", Around{Now: now, Planned: &Call{"Sallow Cay", 10.1 * unit.MHz, ""}}, now,
			Attempt{Station: "Sallow Cay", Freq: 10100 * unit.KHz, Outcome: NoAnswer}},
	} {
		e, err := Parse(c.line, c.around)
		if err != nil {
			t.Errorf("Parse(%q): %v", c.line, err)
			continue
		}
		if e.Attempt == nil || !reflect.DeepEqual(*e.Attempt, c.want) || !e.At.Equal(c.at) || !e.Written.Equal(now) {
			t.Errorf("Parse(%q) =\n at %v %+v, want\n at %v %+v", c.line, e.At, e.Attempt, c.at, c.want)
		}
	}
}

func TestParseListeningAndStrike(t *testing.T) {
	for line, want := range map[string]Entry{
		"faint pedra-alta 12.5665 snr=-4": {At: now, Written: now,
			Listening: &Listening{Station: "Pedra Alta", Freq: 12566.5 * unit.KHz, Heard: Faint, SNR: db(-4)}},
		`not heard "Heard Island time signal" 10 note: only hum`: {At: now, Written: now,
			Listening: &Listening{Station: "Heard Island time signal", Freq: 10 * unit.MHz, Heard: NotHeard, Remark: "only hum"}},
		"strike 12 s was no answer at all": {At: now, Written: now, Strike: &Strike{"12", "s was no answer at all"}},
		"Strike last note: wrong station":  {At: now, Written: now, Strike: &Strike{"last", "wrong station"}},
	} {
		got, err := Parse(line, around)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("Parse(%q) =\n %+v %v, want\n %+v", line, got, err, want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for line, want := range map[string]string{
		"":                                                  `the line is empty`,
		"cabo-lume 12.6045":                                 `does not say what happened`,
		"connected busy cabo-lume 8.362":                    `says both connected and busy`,
		"connected busy 8.362":                              `says both connected and busy`,
		"connected nowhere 8.362":                           `"nowhere" is no station of the directory: it holds Cabo Lume, Cabo Frio, Pedra Alta`,
		"connected cabo 8.362":                              `may mean Cabo Lume or Cabo Frio`,
		"connected cabo-lume 12.0645":                       `"12.0645" MHz is no channel of Cabo Lume, which has 8.362, 12.6045 MHz: write freq=12.0645`,
		"connected cabo-lume":                               `gives no frequency for Cabo Lume`,
		"connected cabo-lume 12604.5":                       `"12604.5" is neither a frequency of 1.6 to 30 MHz nor a time span`,
		"connected cabo-lume 8.362 12.6045":                 `gives the frequency a second time`,
		"connected cabo-lume 8.362 9min 8min":               `gives the length of the call a second time`,
		"connected cabo-lume 8.362 snr=3 snr-in=4":          `gives the snr-in a second time`,
		"connected cabo-lume 8.362 out=38":                  `"out=38" cannot be read: "38" has no unit`,
		"connected cabo-lume 8.362 snr=loud":                `"snr=loud" cannot be read`,
		"connected cabo-lume 8.362 snr=NaN":                 `not a number`,
		"connected cabo-lume 8.362 colour=red":              `is no key of a log line`,
		"connected cabo-lume 8.362 wave=fsk-100":            `is no waveform of Cabo Lume on 8.362 MHz, which takes serial-75`,
		"connected cabo-lume 8.362 wave=":                   `a waveform has a name`,
		"connected cabo-lume 8.362 25:10":                   `is no time`,
		"connected cabo-lume 8.362 at=2026-11-25T17:5":      `is no time`,
		"connected cabo-lume 8.362 at=2026-11-25T19:00Z":    `is still to come`,
		"connected cabo-lume 8.362 at=1976-11-25T19:00Z":    `give a date from 2000 to 2199`,
		"connected cabo-lume 8.362 25h":                     `give 0 to 24 h`,
		"connected cabo-lume 8.362 sent=a,a":                `"a" is named twice`,
		"connected cabo-lume 8.362 sent=":                   `message id "": give`,
		"connected cabo-lume 8.362 power=-5W":               `give 0 to 100,000 W`,
		"no answer cabo-lume 8.362 out=3kB":                 `cannot pass on a call that ended with no answer`,
		"connected station=\"Cabo Lume\" pedra 8.362":       `name a station twice`,
		"connected \"cabo lume 8.362":                       `quote is not closed`,
		"connected 9.9":                                     `"9.9" MHz belongs to 0 stations`,
		"connected 8.3914":                                  `belongs to 2 stations`,
		"connected":                                         `names neither a station nor a frequency`,
		"connected - 8.362":                                 `is no name of a station`,
		"heard somebody":                                    `gives no frequency for somebody`,
		"heard pedra-alta 12.5665 out=3kB":                  `a listening check has no out`,
		"heard pedra-alta 12.5665 3min":                     `a listening check has no length of the call`,
		"strike":                                            `names no entry`,
		"strike 12":                                         `gives no reason`,
		"connected cabo-lume 8.362 note: a\x07b":            `remark "a\ab": give one line`,
		"connected \xff":                                    `not UTF-8`,
		"heard \"a\tb\" 10":                                 `station "a\tb": give one line`,
		"connected cabo-lume 8.362 freq=40MHz":              `out of range`,
		"connected cabo-lume 8.362 sent=41;42":              `message id "41;42": give`,
		"connected 2026-11-25 cabo-lume":                    `"2026-11-25" is neither a frequency`,
		"connected cabo-lume 8.362 out=1kB out=2kB":         `gives the out a second time`,
		"connected cabo-lume 8.362 17:00 at=17:10":          `gives the time a second time`,
		"heard pedra-alta 12.5665 wave=fsk-100":             `a listening check has no wave`,
		"connected cabo-lume 8.362 out=9999999999999999kB ": `cannot be read`,
	} {
		e, err := Parse(line, around)
		var typed *LineError
		if !errors.As(err, &typed) || !strings.Contains(err.Error(), want) {
			t.Errorf("Parse(%q) = %v, want *LineError with %q", line, err, want)
			continue
		}
		if !reflect.DeepEqual(e, Entry{}) {
			t.Errorf("Parse(%q) returns both an error and %+v", line, e)
		}
		if s := err.Error(); strings.ContainsAny(s, "\n\r") || !strings.HasPrefix(s, "read log line: ") {
			t.Errorf("Parse(%q): the error is not one sentence: %q", line, s)
		}
	}
}

// What is accepted can be true, and is read the same after being written back.
func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"connected cabo-lume 12.6045 9min out=38kB in=2kB snr=12", "no answer", "strike 1 wrong", `heard "a b" 10 snr=-3`,
		"broken off pedra 12.5665 1.5h at=17:50 sent=a,b power=80W note: x", "busy freq=3.5 station=cabo-frio wave=x", "not heard beacon 14.1MHz",
	} {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, line string, plan bool) {
		a := around
		if plan {
			a.Planned = &Call{"Sallow Cay", 10.1000001 * unit.MHz, "fsk-100"}
		}
		e, err := Parse(line, a)
		if err != nil {
			if !reflect.DeepEqual(e, Entry{}) {
				t.Fatalf("Parse(%q) returns both %v and %+v", line, err, e)
			}
			return
		}
		e.ID = "x"
		if err := e.Check(); err != nil {
			t.Fatalf("Parse(%q) accepts what Check refuses: %v", line, err)
		}
		again, err := Parse(e.Line(), a)
		again.ID = "x"
		if err != nil || !reflect.DeepEqual(again, e) {
			t.Fatalf("Parse(%q) wrote %q, read back as %+v %v, want %+v", line, e.Line(), again, err, e)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		if _, err := Parse("connected cabo-lume 12.6045 9min out=38kB in=2kB snr=12", around); err != nil {
			b.Fatal(err)
		}
	}
}
