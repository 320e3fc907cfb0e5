package report

import (
	"bytes"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/emersion/go-ical"
)

func agenda() Agenda {
	at := time.Date(2026, 11, 25, 17, 38, 0, 0, time.UTC)
	return Agenda{Name: "Saltmarsh", Sign: "QX2SM", Made: at,
		Calls: []AgendaCall{
			{Start: at.Add(7 * time.Minute), Minutes: 6.2, AtMost: 10, Station: "Cabo Lume", MHz: 8.37, Waveform: "serial-3k", HeadingDeg: 359.8, Connect: 0.83, Bytes: 14200,
				Fallbacks: []string{"Same station, 6 262.0 kHz: a failure there means the sky may be below the forecast"}, Why: "1F2, MUF 14.2 MHz (59 % of it); SNR 18 dB out, 21 dB in, in 3 kHz"},
			{Start: at.Add(10 * time.Hour), Minutes: 0.5, AtMost: 5, Station: "Ilha Dourada, a \"gateway\"; north\\south", MHz: 12.6045, Waveform: "psk-narrow", HeadingDeg: 203, Connect: 0.5, Bytes: 900},
		},
		Reminders: []Reminder{{From: at.Add(12 * time.Hour), To: at.Add(16 * time.Hour), Title: "Watch", Note: "Brandt keeps its sked at 06:00"}},
	}
}

// calendarOf parses a calendar with a library that has no code in common with the writer.
func calendarOf(t testing.TB, b []byte) *ical.Calendar {
	t.Helper()
	c, err := ical.NewDecoder(bytes.NewReader(b)).Decode()
	if err != nil {
		t.Fatalf("%v in\n%s", err, b)
	}
	return c
}

func textOf(t testing.TB, p ical.Props, name string) string {
	t.Helper()
	s, err := p.Text(name)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return s
}

// What the independent library reads is what was meant.
func TestCalendarReadsBack(t *testing.T) {
	a := agenda()
	b, err := Calendar(a)
	if err != nil {
		t.Fatal(err)
	}
	cal := calendarOf(t, b)
	if v := textOf(t, cal.Props, "VERSION"); v != "2.0" {
		t.Errorf("version %q", v)
	}
	if textOf(t, cal.Props, "PRODID") == "" || textOf(t, cal.Props, "NAME") != "Calls of Saltmarsh" {
		t.Errorf("head of\n%s", b)
	}
	events := cal.Events()
	if len(events) != 3 {
		t.Fatalf("%d events", len(events))
	}
	for i, want := range []struct {
		start            time.Time
		minutes          float64
		title, location  string
		inDescription    string
		transparent, has bool
	}{
		{a.Calls[0].Start, 10, "Call Cabo Lume, 8\u00a0370.0 kHz", "8\u00a0370.0 kHz, point 000°", "serial-3k, about 7 minutes, at most 10.\nChance to connect 83 %, 14.2 kB expected.\nNo answer? Same station, 6 262.0 kHz: a failure there means the sky may be below the forecast\n1F2, MUF", false, true},
		{a.Calls[1].Start, 5, "Call Ilha Dourada, a \"gateway\"; north\\south, 12\u00a0604.5 kHz", "12\u00a0604.5 kHz, point 203°", "psk-narrow, about 1 minute, at most 5.", false, true},
		{a.Reminders[0].From, 240, "Watch", "", "Brandt keeps its sked at 06:00", true, false},
	} {
		e := events[i]
		start, err1 := e.DateTimeStart(time.UTC)
		end, err2 := e.DateTimeEnd(time.UTC)
		if err1 != nil || err2 != nil || !start.Equal(want.start) || end.Sub(start).Minutes() != want.minutes {
			t.Errorf("event %d from %v to %v (%v, %v), want %v for %g min", i, start, end, err1, err2, want.start, want.minutes)
		}
		if stamp, err := e.Props.DateTime("DTSTAMP", time.UTC); err != nil || !stamp.Equal(a.Made) {
			t.Errorf("event %d: DTSTAMP %v, %v", i, stamp, err)
		}
		if s := textOf(t, e.Props, "SUMMARY"); s != want.title {
			t.Errorf("event %d: summary %q, want %q", i, s, want.title)
		}
		if d := textOf(t, e.Props, "DESCRIPTION"); !strings.Contains(d, want.inDescription) {
			t.Errorf("event %d: description %q, want in it %q", i, d, want.inDescription)
		}
		if e.Props.Get("LOCATION") != nil != want.has || want.has && textOf(t, e.Props, "LOCATION") != want.location {
			t.Errorf("event %d: location %v", i, e.Props.Get("LOCATION"))
		}
		if got := e.Props.Get("TRANSP") != nil && textOf(t, e.Props, "TRANSP") == "TRANSPARENT"; got != want.transparent {
			t.Errorf("event %d: transparent %v", i, got)
		}
		if len(e.Children) != 1 || e.Children[0].Name != "VALARM" {
			t.Fatalf("event %d: children %v", i, e.Children)
		}
		alarm := e.Children[0]
		before, err := alarm.Props.Get("TRIGGER").Duration()
		if err != nil || before != -5*time.Minute || textOf(t, alarm.Props, "ACTION") != "DISPLAY" || textOf(t, alarm.Props, "DESCRIPTION") != want.title {
			t.Errorf("event %d: alarm %v before, %v: %v", i, before, err, alarm.Props)
		}
	}
	// The other library also writes: what it checks of an object (the properties that must
	// be there, once) it finds.
	var again bytes.Buffer
	if err := ical.NewEncoder(&again).Encode(cal); err != nil {
		t.Errorf("the independent library does not accept it: %v", err)
	}
}

// soundLines checks the form of the lines: RFC 5545 §3.1.
func soundLines(t testing.TB, b []byte) {
	t.Helper()
	if !bytes.HasSuffix(b, []byte("\r\n")) {
		t.Fatalf("does not end in CR LF: %q", b[max(0, len(b)-20):])
	}
	for _, line := range strings.Split(strings.TrimSuffix(string(b), "\r\n"), "\r\n") {
		if len(line) > 75 || strings.ContainsAny(line, "\r\n\x00\x1b\x7f") || !utf8.ValidString(line) || line == "" {
			t.Fatalf("line of %d octets %q", len(line), line)
		}
	}
}

func TestCalendarLinesAndUIDs(t *testing.T) {
	a := agenda()
	a.Calls[0].Why = strings.Repeat("Überreichweite über dem Ozean, weiter als gedacht; ", 12) + strings.Repeat("ü", 400)
	b, err := Calendar(a)
	if err != nil {
		t.Fatal(err)
	}
	soundLines(t, b)
	if !strings.Contains(string(b), "\r\n ") {
		t.Error("nothing was folded")
	}
	if d := textOf(t, calendarOf(t, b).Events()[0].Props, "DESCRIPTION"); !strings.HasSuffix(d, a.Calls[0].Why) {
		t.Errorf("unfolded: %q", d)
	}
	uids := func(b []byte) (u []string) {
		for _, e := range calendarOf(t, b).Events() {
			u = append(u, textOf(t, e.Props, "UID"))
		}
		return u
	}
	later := agenda()
	later.Made = later.Made.Add(time.Hour)
	later.Calls[0].MHz, later.Calls[0].Why = 6.262, ""
	later.Calls[1].Start = later.Calls[1].Start.Add(15 * time.Minute)
	c, err := Calendar(later)
	if err != nil {
		t.Fatal(err)
	}
	was, is := uids(b), uids(c)
	if was[0] != is[0] || was[1] == is[1] || was[2] != is[2] {
		t.Errorf("UIDs were %v, are %v: the first call is the same, the second is not", was, is)
	}
	other := agenda()
	other.Sign = "QX3SM"
	d, _ := Calendar(other)
	if uids(d)[0] == was[0] {
		t.Error("two stations' calls have one UID")
	}
}

func TestCalendarRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Agenda){
		"when the plan was made": func(a *Agenda) { a.Made = time.Time{} },
		"lasts from":             func(a *Agenda) { a.Calls[1].Minutes, a.Calls[1].AtMost = 0, 0 },
		`"Watch" lasts`:          func(a *Agenda) { a.Reminders[0].To = a.Reminders[0].From },
		"there twice":            func(a *Agenda) { a.Calls[1].Start, a.Calls[1].Station = a.Calls[0].Start, a.Calls[0].Station },
	} {
		a := agenda()
		spoil(&a)
		if b, err := Calendar(a); b != nil || err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%d bytes, %v; want an error with %q", len(b), err, name)
		}
	}
	if b, err := Calendar(Agenda{Made: time.Unix(1, 0)}); err != nil || len(calendarOf(t, b).Events()) != 0 {
		t.Errorf("a plan without calls: %v", err)
	}
}

// A text of the operator's cannot add lines of its own, nor break the folding.
func FuzzCalendar(f *testing.F) {
	f.Add("Cabo Lume", "plain")
	f.Add("x\r\nEND:VEVENT\r\nBEGIN:VEVENT", "\x00\x1b[1m\xff\xfe;,\\n\n\n ")
	f.Add(strings.Repeat("é", 80), strings.Repeat(" ", 90)+"<"+strings.Repeat("<>", 60))
	f.Fuzz(func(t *testing.T, station, why string) {
		a := agenda()
		a.Calls[0].Station, a.Calls[0].Why = station, why
		b, err := Calendar(a)
		if err != nil {
			t.Fatal(err)
		}
		soundLines(t, b)
		events := calendarOf(t, b).Events()
		if len(events) != 3 {
			t.Fatalf("%d events", len(events))
		}
		want := plain("Call " + station + ", 8\u00a0370.0 kHz")
		if s := textOf(t, events[0].Props, "SUMMARY"); s != want {
			t.Fatalf("summary %q, want %q", s, want)
		}
		if s := textOf(t, events[0].Props, "DESCRIPTION"); !strings.HasSuffix(s, plain(why)) {
			t.Fatalf("description %q, want %q at its end", s, plain(why))
		}
	})
}
