package logbook

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"farhail/unit"
)

// draft gathers what the words say until all are read.
type draft struct {
	around Around
	seen   map[string]bool // what was said already

	verb     string
	station  []string
	named    bool // by station=
	freq     unit.Freq
	unlisted bool // by freq=
	wave     string
	took     time.Duration
	at       time.Time
	out, in  unit.Bytes
	snrOut   *unit.DB
	snrIn    *unit.DB
	power    unit.Power
	sent     []string
	remark   string
}

// once refuses a second value for the same thing.
func (p *draft) once(what, word string) error {
	if p.seen[what] {
		return wrong(word, "gives the %s a second time: give it once", what)
	}
	p.seen[what] = true
	return nil
}

func (p *draft) take(w word) error {
	if w.quoted {
		p.station = append(p.station, w.text)
		return nil
	}
	if name, value, ok := strings.Cut(w.text, "="); ok {
		return p.takeKey(w.text, strings.ToLower(name), value)
	}
	if v := verb(w.text); v != "" && p.verb == "" {
		p.verb = v
		return nil
	}
	if strings.Contains(w.text, ":") {
		return p.takeClock(w.text, w.text)
	}
	if c := w.text[0]; c < '0' || c > '9' {
		p.station = append(p.station, w.text)
		return nil
	}
	if d, err := unit.ParseDuration(w.text); err == nil {
		p.took = d.Round(time.Millisecond)
		return p.once("length of the call", w.text)
	}
	if f, err := freq(w.text); err == nil {
		p.freq = f
		return p.once("frequency", w.text)
	}
	if startsStation(w.text, p.around.Stations) {
		p.station = append(p.station, w.text)
		return nil
	}
	return wrong(w.text, "is neither a frequency of 1.6 to 30 MHz nor a time span: write 12.6045, 12604.5kHz or 9min")
}

func (p *draft) takeKey(text, name, value string) (err error) {
	switch name {
	case "out":
		p.out, err = unit.ParseBytes(value)
	case "in":
		p.in, err = unit.ParseBytes(value)
	case "snr", "snr-in":
		name = "snr-in"
		p.snrIn, err = ratio(value)
	case "snr-out":
		p.snrOut, err = ratio(value)
	case "power":
		p.power, err = unit.ParsePower(value)
	case "sent":
		p.sent = strings.Split(value, ",")
	case "wave":
		p.wave = value
		if value == "" {
			err = fmt.Errorf("a waveform has a name")
		}
	case "at":
		return p.takeClock(text, value)
	case "freq":
		name, p.unlisted = "frequency", true
		p.freq, err = freq(value)
	case "station":
		p.station, p.named = append(p.station, value), true
	default:
		return wrong(text, "is no key of a log line: the keys are out, in, snr, snr-in, snr-out, power, sent, wave, at, freq, station")
	}
	if err != nil {
		return wrong(text, "cannot be read: %v", err)
	}
	return p.once(name, text)
}

// takeClock reads a clock time, the latest one that is not ahead of now, or a
// date and time. Ten minutes ahead pass: clocks differ, and people round up.
func (p *draft) takeClock(text, value string) error {
	latest := p.around.Now.Add(10 * time.Minute)
	for _, layout := range []string{"15:04", "15:04Z", "15:04:05", "15:04:05Z"} {
		t, err := time.Parse(layout, strings.ToUpper(value))
		if err != nil {
			continue
		}
		y, m, d := latest.Date()
		p.at = time.Date(y, m, d, t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
		if p.at.After(latest) {
			p.at = p.at.AddDate(0, 0, -1)
		}
		return p.once("time", text)
	}
	for _, layout := range []string{"2006-01-02T15:04Z07:00", time.RFC3339Nano} {
		if t, err := time.Parse(layout, value); err == nil {
			if p.at = t.UTC().Round(time.Millisecond); p.at.After(latest) {
				return wrong(text, "is still to come (now %s): give the time the attempt began", p.around.Now.Format("2006-01-02T15:04Z"))
			}
			return p.once("time", text)
		}
	}
	return wrong(text, "is no time: write at=17:50 or at=2026-11-25T17:50Z, in UTC")
}

func (p *draft) entry() (Entry, error) {
	if p.verb == "" {
		return Entry{}, wrong("", "the line does not say what happened: add connected, no answer, busy or broken off, or heard, faint or not heard")
	}
	e := Entry{At: p.at, Written: p.around.Now}
	if p.at.IsZero() {
		e.At = p.around.Now.Add(-p.took)
	}
	heard := Heard(p.verb)
	listening := heard == Clear || heard == Faint || heard == NotHeard
	c, err := p.call(listening)
	if err != nil {
		return Entry{}, err
	}
	c.Freq = round(c.Freq)
	if !listening {
		e.Attempt = &Attempt{Station: c.Station, Freq: c.Freq, Waveform: c.Waveform, Outcome: Outcome(p.verb),
			Out: p.out, In: p.in, Took: p.took, SNROut: p.snrOut, SNRIn: p.snrIn, Power: p.power, Delivered: p.sent, Remark: p.remark}
		return checked(e)
	}
	for _, what := range []string{"out", "in", "snr-out", "power", "sent", "wave", "length of the call"} {
		if p.seen[what] {
			return Entry{}, wrong("", "a listening check has no %s: leave it out, or say how the call ended", what)
		}
	}
	e.Listening = &Listening{Station: c.Station, Freq: c.Freq, Heard: heard, SNR: p.snrIn, Remark: p.remark}
	return checked(e)
}

func freq(s string) (unit.Freq, error) {
	f, err := unit.ParseFreq(s)
	if err != nil {
		mhz, numErr := strconv.ParseFloat(s, 64)
		if numErr != nil {
			return 0, err
		}
		f = unit.Freq(mhz) * unit.MHz
	}
	f = round(f)
	return f, checkFreq(f)
}

// ratio reads decibels; the unit may be left out, since there is no other.
func ratio(s string) (*unit.DB, error) {
	v, err := strconv.ParseFloat(strings.ReplaceAll(s, "−", "-"), 64)
	x := unit.DB(v)
	if err != nil {
		x, err = unit.ParseDB(s)
	}
	if err == nil {
		err = checkSNR(&x)
	}
	if err != nil {
		return nil, err
	}
	return &x, nil
}
