package logbook

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"farhail/unit"
)

// Line writes e as a line that Parse reads back to the same entry. The id, the
// time of writing, the position and the forecast are not part of a line.
func (e Entry) Line() string {
	switch {
	case e.Attempt != nil:
		return e.Attempt.line(e.At)
	case e.Listening != nil:
		return e.Listening.line(e.At)
	}
	return "strike " + quote(e.Strike.Of) + " note: " + e.Strike.Reason
}

func (a *Attempt) line(at time.Time) string {
	var b strings.Builder
	b.WriteString(head(string(a.Outcome), a.Station, a.Freq, at))
	add := func(format string, set bool, v any) {
		if set {
			fmt.Fprintf(&b, format, v)
		}
	}
	add(" %s", a.Took > 0, span(a.Took))
	add(" out=%s", a.Out > 0, octets(a.Out))
	add(" in=%s", a.In > 0, octets(a.In))
	if a.SNROut != nil {
		add(" snr-out=%s", true, number(float64(*a.SNROut)))
	}
	if a.SNRIn != nil {
		add(" snr-in=%s", true, number(float64(*a.SNRIn)))
	}
	add(" power=%sW", a.Power > 0, number(a.Power.W()))
	add(" wave=%s", a.Waveform != "", quote(a.Waveform))
	add(" sent=%s", len(a.Delivered) > 0, strings.Join(a.Delivered, ","))
	add(" note: %s", a.Remark != "", a.Remark)
	return b.String()
}

func (l *Listening) line(at time.Time) string {
	s := head(string(l.Heard), l.Station, l.Freq, at)
	if l.SNR != nil {
		s += " snr-in=" + number(float64(*l.SNR))
	}
	if l.Remark != "" {
		s += " note: " + l.Remark
	}
	return s
}

func head(verb, station string, f unit.Freq, at time.Time) string {
	return fmt.Sprintf("%s station=%s freq=%sMHz at=%s", verb, quote(station), mhz(f), at.UTC().Format(time.RFC3339Nano))
}

func quote(s string) string { return `"` + s + `"` }

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func span(d time.Duration) string {
	if d%time.Minute == 0 {
		return number(d.Minutes()) + "min"
	}
	return number(d.Seconds()) + "s"
}

func octets(n unit.Bytes) string {
	if n%unit.KB == 0 {
		return fmt.Sprintf("%dkB", n/unit.KB)
	}
	return fmt.Sprintf("%dB", n)
}
