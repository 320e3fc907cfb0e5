package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/x/ansi"

	"farhail/desk"
)

// screenOf runs the text screen of a demo world without a terminal.
func screenOf(t *testing.T, name string, w, h int) *watchModel {
	t.Helper()
	s := world(t, name)
	m := newWatch(func(work func(*desk.Desk) error) error { return s.with(context.Background(), work) }, context.Background())
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	play(t, m, m.load)
	return m
}

// play runs a command and what it leads to, but for the clock.
func play(t *testing.T, m *watchModel, cmd tea.Cmd) {
	t.Helper()
	for cmd != nil {
		_, cmd = m.Update(cmd())
	}
}

func press(t *testing.T, m *watchModel, keys ...string) {
	t.Helper()
	codes := map[string]rune{"left": tea.KeyLeft, "right": tea.KeyRight, "up": tea.KeyUp, "down": tea.KeyDown, "pgup": tea.KeyPgUp, "pgdown": tea.KeyPgDown, "esc": tea.KeyEscape, "home": tea.KeyHome}
	for _, k := range keys {
		msg := tea.KeyPressMsg{Code: codes[k]}
		if msg.Code == 0 {
			msg = tea.KeyPressMsg{Code: rune(k[0]), Text: k}
		}
		m.pressed = time.Time{} // a hand that takes its time
		_, cmd := m.Update(msg)
		play(t, m, cmd)
	}
}

func text(m *watchModel) string { return ansi.Strip(m.frame()) }

// The frame fills the screen and no line is wider, whatever the screen.
func TestWatchFits(t *testing.T) {
	for _, name := range desk.Worlds {
		m := screenOf(t, name, 80, 24)
		for _, c := range [][2]int{{80, 24}, {132, 43}, {200, 60}, {40, 10}, {61, 17}, {400, 12}} {
			m.Update(tea.WindowSizeMsg{Width: c[0], Height: c[1]})
			for _, keys := range [][]string{{"esc"}, {"right", "pgdown"}} {
				press(t, m, keys...)
				lines := strings.Split(m.frame(), "\n")
				if len(lines) != c[1] {
					t.Errorf("%s: %d lines on a screen of %d × %d", name, len(lines), c[0], c[1])
				}
				for i, l := range lines {
					if w := lipgloss.Width(l); w > c[0] {
						t.Errorf("%s, %d × %d: line %d is %d wide: %q", name, c[0], c[1], i+1, w, ansi.Strip(l))
					}
				}
			}
		}
	}
}

func TestWatchSaysTheNextCall(t *testing.T) {
	m := screenOf(t, "saltmarsh", 80, 24)
	c := m.plan.Calls[0]
	got := text(m)
	for _, want := range []string{"Call now: " + c.Station + " on " + khz(c.MHz) + " kHz", fmt.Sprintf("point %03.0f°", c.HeadingDeg), desk.Chance(c.Connect) + " to connect",
		"No answer by ", khz(c.Fallbacks[0].MHz), "c connected", "x broken off", "u undo", "Battery", "sunset 18:35", "Not a distress watch"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q on the screen:\n%s", want, got)
		}
	}
	for _, ch := range m.screen.Stations {
		if ch.Name != m.screen.Focus && !strings.Contains(got, ch.Name) {
			t.Errorf("no strand for %s:\n%s", ch.Name, got)
		}
	}
	if near := text(screenOf(t, "tamarind", 100, 30)); !strings.Contains(near, "straight up") {
		t.Errorf("a post overhead is given a bearing:\n%s", near)
	}
}

func TestWatchCountsDown(t *testing.T) {
	m := screenOf(t, "saltmarsh", 80, 24)
	start := m.plan.Calls[0].Start
	for wait, want := range map[time.Duration]string{0: "Call now:", 90 * time.Second: "In 1:30, at ", 12*time.Minute + time.Second: "In 13 min, at ", 130 * time.Minute: "In 2 h 10 min, at ", -time.Hour: "Call now:"} {
		m.still = false
		if got := m.sentence(start.Add(-wait))[0]; !strings.Contains(ansi.Strip(got), want) {
			t.Errorf("%v before the call: %q, want %q", wait, ansi.Strip(got), want)
		}
	}
}

// The string joins the calls in their order, told by its own signs and not by ink alone;
// what is to send has a lane. Both on the smallest usual screen and on a large one.
func TestWatchStringAndLoad(t *testing.T) {
	for _, name := range desk.Worlds {
		for _, size := range [][2]int{{80, 24}, {120, 40}} {
			m := screenOf(t, name, size[0], size[1])
			lines := strings.Split(text(m), "\n")
			at := map[int][2]int{} // call → column, row
			calls := len(m.plan.Calls)
			for y, l := range lines[5:] {
				for x, r := range []rune(l) {
					if n := int(r - '0'); n >= 1 && n <= calls && x >= 15 && strings.ContainsRune(swelling+"┈│╎╲╱╌◇ ░▒", []rune(l)[x-1]) && strings.ContainsRune(swelling+"┈│╎╲╱╌◇ ░▒", []rune(l)[x+1]) {
						at[n] = [2]int{x, y + 5}
					}
				}
			}
			if len(at) != calls {
				t.Fatalf("%s %v: calls at %v, want %d of them:\n%s", name, size, at, calls, text(m))
			}
			for n := 1; n < calls; n++ {
				a, b := at[n], at[n+1]
				for y := min(a[1], b[1]) + 1; y < max(a[1], b[1]); y++ {
					w := float64(y-a[1]) / float64(b[1]-a[1])
					x := float64(a[0]) + w*float64(b[0]-a[0])
					near := 2 + math.Abs(float64(b[0]-a[0])/float64(b[1]-a[1]))
					seen := false // of the string, or of a block that stands in its way
					for i, r := range []rune(lines[y]) {
						seen = seen || math.Abs(float64(i)-x) <= near && strings.ContainsRune("╎╲╱╌◇123456789", r)
					}
					if !seen {
						t.Errorf("%s %v: no string between calls %d and %d on row %d:\n%s", name, size, n, n+1, y, text(m))
					}
				}
			}
			var lane string
			for _, l := range lines {
				if strings.HasPrefix(l, "To send") {
					lane = l
				}
			}
			r := desk.Ribbon(m.plan, m.screen, nil)
			flags := 0
			for _, d := range r.Load.Due {
				if d.At.Before(m.screen.To) {
					flags++
				}
			}
			// Deadlines of one column fly one flag.
			if got := strings.Count(lane, "►"); !strings.Contains(lane, kilo(r.Load.KB)) || !strings.Contains(lane, "↘") || got == 0 || got > flags {
				t.Errorf("%s %v: the lane of what is to send is %q, with %d deadlines", name, size, lane, flags)
			}
		}
	}
}

// A minute later, and when a watch begins, the plan is made anew.
func TestWatchPlansAnew(t *testing.T) {
	m := screenOf(t, "saltmarsh", 80, 24)
	m.still = false
	for wait, want := range map[time.Duration]bool{0: false, 30 * time.Second: false, 61 * time.Second: true} {
		if m.now = m.loaded.Add(wait); m.due() != want {
			t.Errorf("after %v: %v, want %v", wait, m.due(), want)
		}
	}
	m.now, m.begins = m.loaded.Add(20*time.Second), m.at.Add(20*time.Second)
	if !m.due() {
		t.Error("not when the watch begins")
	}
	if m.begins = m.at.Add(21 * time.Second); m.due() {
		t.Error("before the watch begins")
	}
}

// The call that the desk counts is logged with its minutes.
func TestWatchAnswersTheCallCounted(t *testing.T) {
	m := screenOf(t, "saltmarsh", 80, 24)
	c := m.plan.Calls[0]
	if err := m.open(func(d *desk.Desk) error {
		_, err := d.BeginCalling(context.Background(), m.plan, c.Station, c.MHz)
		return err
	}); err != nil {
		t.Fatal(err)
	}
	press(t, m, "c")
	if err := m.open(func(d *desk.Desk) error {
		l, err := d.LogLines(context.Background(), "", 1)
		if err == nil && (len(l) != 1 || l[0].Minutes != 1 || c.Minutes < 2) {
			t.Errorf("logged %+v, want the minute counted, not the %.0f planned", l, c.Minutes)
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
}

// Every answer is logged and the plan made again; undo strikes it and puts the traffic back.
func TestWatchAnswers(t *testing.T) {
	for key, outcome := range answers {
		m := screenOf(t, "saltmarsh", 100, 30)
		first, waiting := m.plan.Calls[0], len(m.plan.Messages)
		press(t, m, key)
		if m.err != nil {
			t.Fatalf("%s: %v", key, m.err)
		}
		if want := "Logged: " + outcome + ", " + first.Station; !strings.Contains(text(m), want) {
			t.Errorf("%s: no %q on the screen:\n%s", key, want, text(m))
		}
		if len(m.screen.Outcomes) != 1 || m.screen.Outcomes[0].What != outcome {
			t.Errorf("%s: the ribbon's outcomes are %+v, want one %q", key, m.screen.Outcomes, outcome)
		}
		left := waiting
		if outcome == "connected" {
			left -= len(first.Messages)
		}
		if len(m.plan.Messages) != left {
			t.Errorf("%s: %d messages wait, want %d", key, len(m.plan.Messages), left)
		}
		if c := m.plan.Calls; outcome == "no answer" && len(c) > 0 && c[0].Station == first.Station && c[0].MHz == first.MHz {
			t.Errorf("after no answer the same channel is called again at once")
		}
		press(t, m, "u")
		if m.err != nil || len(m.plan.Messages) != waiting || len(m.screen.Outcomes) != 0 || !strings.Contains(text(m), "Taken back") {
			t.Errorf("%s then u: error %v, %d messages, want %d, outcomes %v:\n%s", key, m.err, len(m.plan.Messages), waiting, m.screen.Outcomes, text(m))
		}
		press(t, m, "u")
		if m.err != nil {
			t.Errorf("%s, u, u: %v", key, m.err)
		}
	}
}

// Wet hands hit twice: the second press is the same one.
func TestWatchSecondPress(t *testing.T) {
	m := screenOf(t, "saltmarsh", 80, 24)
	press(t, m, "n")
	m.pressed = time.Now()
	if _, cmd := m.Update(tea.KeyPressMsg{Code: 'n', Text: "n"}); cmd != nil {
		t.Error("a second press at once is logged")
	}
}

func TestWatchCursor(t *testing.T) {
	m := screenOf(t, "saltmarsh", 100, 30)
	press(t, m, "right", "right")
	if got := m.cursor.Format("15:04"); got != "18:00" {
		t.Errorf("two quarters right of 17:38 is %s, want 18:00", got)
	}
	if got := text(m); !strings.Contains(got, "18:00") || !regexp.MustCompile(`┃ \d+ % `).MatchString(got) {
		t.Errorf("no time or chance at the cursor:\n%s", got)
	}
	press(t, m, "pgdown", "left")
	if got := m.cursor.Format("15:04"); got != "20:45" {
		t.Errorf("three hours on and a quarter back is %s, want 20:45", got)
	}
	for range 12 {
		press(t, m, "pgdown")
	}
	if m.cursor.After(m.screen.To) {
		t.Errorf("the cursor is at %v, past the ribbon's end %v", m.cursor, m.screen.To)
	}
	for range 12 {
		press(t, m, "pgup")
	}
	if !m.cursor.Equal(m.screen.From) {
		t.Errorf("the cursor is at %v, want the ribbon's start %v", m.cursor, m.screen.From)
	}
	press(t, m, "esc")
	if m.cursor != nil {
		t.Error("escape does not let go")
	}
}

func TestWatchFocus(t *testing.T) {
	m := screenOf(t, "saltmarsh", 100, 30)
	was := m.screen.Focus
	press(t, m, "down")
	next := m.screen.Focus
	press(t, m, "up")
	if next == was || m.screen.Focus != was {
		t.Errorf("down and up go from %s to %s to %s", was, next, m.screen.Focus)
	}
}

func TestWatchLeaves(t *testing.T) {
	m := screenOf(t, "tamarind", 80, 24)
	_, cmd := m.Update(tea.KeyPressMsg{Code: 'q', Text: "q"})
	if cmd == nil {
		t.Fatal("q does nothing")
	}
	if _, ok := cmd().(tea.QuitMsg); !ok {
		t.Error("q does not leave")
	}
}

// Where there is no terminal one frame is printed, plain.
func TestWatchWithoutTerminal(t *testing.T) {
	s := world(t, "tamarind")
	c := s.watch()
	c.SetArgs([]string{})
	if err := c.ExecuteContext(context.Background()); err != nil {
		t.Fatal(err)
	}
	got := s.stdout.(*bytes.Buffer).String()
	if strings.Contains(got, "\x1b") {
		t.Error("there are escape sequences where there is no terminal")
	}
	if lines := strings.Split(strings.TrimRight(got, "\n"), "\n"); len(lines) != 24 {
		t.Errorf("%d lines, want 24:\n%s", len(lines), got)
	}
	s.dir = t.TempDir()
	c = s.watch()
	c.SetArgs([]string{})
	c.SilenceErrors, c.SilenceUsage = true, true
	if err := c.ExecuteContext(context.Background()); desk.Classify(err) != desk.Missing {
		t.Errorf("an empty folder: %v, want a missing home", err)
	}
}

// A fault of the files while the screen stands is told on it, and the old plan stays.
func TestWatchTellsFaults(t *testing.T) {
	m := screenOf(t, "saltmarsh", 80, 24)
	m.Update(failed{&desk.InputError{What: "stations.toml:3: no such thing", Hint: "correct it"}})
	if got := text(m); !strings.Contains(got, "! stations.toml:3: no such thing; correct it") || !strings.Contains(got, "Call now") {
		t.Errorf("the fault or the plan is missing:\n%s", got)
	}
}
