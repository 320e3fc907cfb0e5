package logbook

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"farhail/hf/earth"
	"farhail/unit"
)

// FieldError says which part of an entry cannot be so.
type FieldError struct {
	Field   string
	Problem string // what is wrong and what is expected
}

func (e *FieldError) Error() string { return e.Field + " " + e.Problem }

func bad(field, format string, args ...any) error {
	return &FieldError{field, fmt.Sprintf(format, args...)}
}

// Check returns a *FieldError for the first thing in e that cannot be true.
func (e Entry) Check() error {
	if e.ID == "" || strings.ContainsFunc(e.ID, notInID) {
		return bad("entry id", "%q: give letters, digits, and -_.@", e.ID)
	}
	if err := firstOf(checkTime("time of the entry", e.At), checkTime("time of writing", e.Written)); err != nil {
		return err
	}
	n := 0
	for _, set := range []bool{e.Attempt != nil, e.Listening != nil, e.Strike != nil} {
		if set {
			n++
		}
	}
	if n != 1 {
		return bad("entry", "holds %d things: give one attempt, one listening check or one strike", n)
	}
	switch {
	case e.Attempt != nil:
		return e.Attempt.check()
	case e.Listening != nil:
		return e.Listening.check()
	}
	return e.Strike.check()
}

func (a *Attempt) check() error {
	linked := a.Outcome == Connected || a.Outcome == BrokenOff
	switch {
	case !linked && a.Outcome != NoAnswer && a.Outcome != Busy:
		return bad("outcome", "%q: give connected, no answer, busy or broken off", a.Outcome)
	case a.Out < 0 || a.In < 0:
		return bad("traffic", "of %d and %d octets: give none or more", a.Out, a.In)
	case !linked && (a.Out > 0 || a.In > 0 || len(a.Delivered) > 0):
		return bad("traffic", "cannot pass on a call that ended with %s: give connected or broken off", a.Outcome)
	case a.Took < 0 || a.Took > 24*time.Hour:
		return bad("length of the call", "of %v: give 0 to 24 h", a.Took)
	case !(a.Power >= 0 && a.Power <= 1e5):
		return bad("power", "of %g W: give 0 to 100,000 W", a.Power.W())
	}
	for i, id := range a.Delivered {
		if id == "" || strings.ContainsFunc(id, notInID) {
			return bad("message id", "%q: give the id that farhail traffic list shows", id)
		}
		if slices.Contains(a.Delivered[:i], id) {
			return bad("message id", "%q is named twice", id)
		}
	}
	return firstOf(checkStation(a.Station), checkFreq(a.Freq), checkText("waveform", a.Waveform),
		checkSNR(a.SNROut), checkSNR(a.SNRIn), checkPosition(a.Position), a.Promised.check(), checkText("remark", a.Remark))
}

func (l *Listening) check() error {
	if l.Heard != Clear && l.Heard != Faint && l.Heard != NotHeard {
		return bad("listening check", "%q: give heard, faint or not heard", l.Heard)
	}
	return firstOf(checkStation(l.Station), checkFreq(l.Freq), checkSNR(l.SNR),
		checkPosition(l.Position), l.Promised.check(), checkText("remark", l.Remark))
}

func (s *Strike) check() error {
	if s.Of == "" {
		return bad("strike", "names no entry: give the number or id of the entry to strike")
	}
	if s.Reason == "" {
		return bad("strike", "gives no reason: say in a few words why the entry is wrong")
	}
	return firstOf(checkText("entry to strike", s.Of), checkText("reason", s.Reason))
}

func (f *Forecast) check() error {
	switch {
	case f == nil:
		return nil
	case !(f.Chance >= 0 && f.Chance <= 1):
		return bad("promised chance", "of %g: give 0 to 1", f.Chance)
	case f.Bytes < 0:
		return bad("promised traffic", "of %d octets: give none or more", f.Bytes)
	case math.IsNaN(f.Value) || math.IsInf(f.Value, 0):
		return bad("solar index", "is not a number")
	case len(f.Full) > 0 && !json.Valid(f.Full):
		return bad("promised forecast", "is not JSON")
	}
	return checkText("solar index", f.Index)
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func notInID(r rune) bool {
	return !(r < utf8.RuneSelf && (unicode.IsLetter(r) || unicode.IsDigit(r)) || strings.ContainsRune("-_.@", r))
}

// checkTime refuses times that only a slip or a dead clock battery gives.
func checkTime(field string, t time.Time) error {
	if y := t.UTC().Year(); y < 2000 || y > 2199 {
		return bad(field, "is %s: give a date from 2000 to 2199", t.UTC().Format(time.RFC3339))
	}
	return nil
}

func checkStation(name string) error {
	if key(name) == "" || strings.Contains(name, `"`) {
		return bad("station", "%q: give a name of letters and digits, without double quotes", name)
	}
	return checkText("station", name)
}

func checkFreq(f unit.Freq) error {
	return unit.Check("frequency", f.MHz(), 1.6, 30, "MHz")
}

// ±100 dB is far outside what any receiver reports; it catches slips only.
func checkSNR(x *unit.DB) error {
	if x == nil {
		return nil
	}
	return unit.Check("signal-to-noise ratio", float64(*x), -100, 100, "dB")
}

func checkPosition(p *earth.Point) error {
	if p == nil {
		return nil
	}
	return firstOf(unit.Check("latitude", p.Lat.Deg(), -90, 90, "deg"), unit.Check("longitude", p.Lon.Deg(), -360, 360, "deg"))
}

// checkText keeps an entry on one line, whatever shows it.
func checkText(field, s string) error {
	if !utf8.ValidString(s) || strings.ContainsFunc(s, unicode.IsControl) {
		return bad(field, "%q: give one line of UTF-8 text", s)
	}
	return nil
}
