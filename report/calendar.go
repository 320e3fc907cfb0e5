package report

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"math"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"
)

// An Agenda is what of a plan goes into the operator's calendar.
type Agenda struct {
	Name      string // our own station
	Sign      string // its call sign
	Made      time.Time
	Calls     []AgendaCall
	Reminders []Reminder
}

// An AgendaCall is a call to make.
type AgendaCall struct {
	Start      time.Time
	Minutes    float64 // expected
	AtMost     float64 // minutes after which it is broken off
	Station    string
	MHz        float64
	Waveform   string
	HeadingDeg float64
	Connect    float64 // chance
	Bytes      float64 // expected outward
	Fallbacks  []string
	Why        string
}

// A Reminder is a span to be at the radio for: a watch, a far station's sked.
type Reminder struct {
	From, To time.Time
	Title    string
	Note     string
}

// alarmBefore is how long before a call the calendar rings: time to wake, to switch on and
// to tune. Assumed.
const alarmBefore = 5 * time.Minute

// Calendar writes an agenda as an iCalendar file: an event with an alarm for each call and
// each reminder, times in UTC. The same call of the next plan has the same UID, so that
// reading the file in again changes the event instead of doubling it; a call is the same when
// it goes to the same station at the same time. Reminders do not mark the time as taken.
//
// Source: RFC 5545 (VEVENT, VALARM; lines end in CR LF and are folded at 75 octets), RFC
// 7986 §5.1 (NAME).
func Calendar(a Agenda) ([]byte, error) {
	if a.Made.IsZero() {
		return nil, fmt.Errorf("write calendar: it does not say when the plan was made")
	}
	cal := ics.NewCalendarFor("Farhail")
	cal.SetProductId("-//Farhail//plan of calls//EN")
	cal.SetCalscale("GREGORIAN")
	cal.CalendarProperties = append(cal.CalendarProperties, ics.CalendarProperty{BaseProperty: ics.BaseProperty{IANAToken: "NAME", Value: plain("Calls of " + a.Name)}})
	seen := map[string]bool{}
	event := func(kind, what string, from, to time.Time) (*ics.VEvent, error) {
		if from.IsZero() || !to.After(from) {
			return nil, fmt.Errorf("write calendar: %s %q lasts from %v to %v", kind, what, from, to)
		}
		sum := sha256.Sum256([]byte(strings.Join([]string{a.Sign, kind, what, from.UTC().Format(time.RFC3339)}, "\x00")))
		uid := fmt.Sprintf("%x-farhail", sum[:16])
		if seen[uid] {
			return nil, fmt.Errorf("write calendar: %s %q at %v is there twice", kind, what, from)
		}
		seen[uid] = true
		e := cal.AddEvent(uid)
		e.SetDtStampTime(a.Made)
		e.SetStartAt(from)
		e.SetEndAt(to)
		return e, nil
	}
	for _, c := range a.Calls {
		length := time.Duration(math.Ceil(max(c.Minutes, c.AtMost))) * time.Minute
		e, err := event("call", c.Station, c.Start, c.Start.Add(length))
		if err != nil {
			return nil, err
		}
		title := fmt.Sprintf("Call %s, %s kHz", c.Station, khz(c.MHz))
		describe(e, title, c.text())
		e.SetLocation(plain(fmt.Sprintf("%s kHz, point %03.0f°", khz(c.MHz), math.Mod(math.Round(c.HeadingDeg), 360))))
		alarm(e, title)
	}
	for _, r := range a.Reminders {
		e, err := event("reminder", r.Title, r.From, r.To)
		if err != nil {
			return nil, err
		}
		e.SetTimeTransparency(ics.TransparencyTransparent)
		describe(e, r.Title, r.Note)
		alarm(e, r.Title)
	}
	var out bytes.Buffer
	if err := cal.SerializeTo(&out, ics.WithNewLineWindows, ics.WithLineLength(75)); err != nil {
		return nil, fmt.Errorf("write calendar: %w", err)
	}
	return out.Bytes(), nil
}

func describe(e *ics.VEvent, title, text string) {
	e.SetSummary(plain(title))
	if text = plain(text); text != "" {
		e.SetDescription(text)
	}
}

func alarm(e *ics.VEvent, title string) {
	a := e.AddAlarm()
	a.SetAction(ics.ActionDisplay)
	a.SetProperty(ics.ComponentPropertyDescription, plain(title))
	a.SetTrigger(fmt.Sprintf("-PT%.0fM", alarmBefore.Minutes()))
}

// text is all one needs at the radio.
func (c *AgendaCall) text() string {
	about := fmt.Sprintf("%.0f minutes", math.Ceil(c.Minutes))
	if c.Minutes <= 1 {
		about = "1 minute"
	}
	lines := []string{
		fmt.Sprintf("%s, about %s, at most %.0f.", c.Waveform, about, c.AtMost),
		fmt.Sprintf("Chance to connect %.0f %%, %.1f kB expected.", 100*c.Connect, c.Bytes/1000),
	}
	for _, f := range c.Fallbacks {
		lines = append(lines, "No answer? "+f)
	}
	if c.Why != "" {
		lines = append(lines, c.Why)
	}
	return strings.Join(lines, "\n")
}

// plain leaves a text without what RFC 5545 §3.1 forbids in a value: control characters
// other than the tab and the line feed, which is escaped later, and broken UTF-8.
func plain(s string) string {
	s = strings.ReplaceAll(strings.ToValidUTF8(s, "\ufffd"), "\r\n", "\n")
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' || r == 0x7f {
			return -1
		}
		return r
	}, s))
}
