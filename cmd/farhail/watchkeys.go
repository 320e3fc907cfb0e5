package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"

	"farhail/desk"
)

// twice is how soon a second press of an answer is the same one: wet hands hit twice.
const twice = 800 * time.Millisecond

var answers = map[string]string{"c": "connected", "n": "no answer", "b": "busy", "x": "broken off"}

func (m *watchModel) key(k string) (tea.Model, tea.Cmd) {
	switch k {
	case "q", "ctrl+c":
		return m, tea.Quit
	case "c", "n", "b", "x":
		if t := time.Now(); m.plan != nil && len(m.plan.Calls) > 0 && !m.busy && t.Sub(m.pressed) >= twice {
			m.busy, m.pressed = true, t
			call := m.plan.Calls[0]
			return m, func() tea.Msg { return m.answer(answers[k], call) }
		}
	case "u":
		if m.last != "" && !m.busy {
			m.busy = true
			id := m.last
			return m, func() tea.Msg { return m.undo(id) }
		}
	case "left":
		m.move(-15 * time.Minute)
	case "right":
		m.move(15 * time.Minute)
	case "pgup":
		m.move(-3 * time.Hour)
	case "pgdown":
		m.move(3 * time.Hour)
	case "home":
		m.cursor = nil
		m.move(0)
	case "esc":
		m.cursor = nil
	case "up", "down":
		if m.screen != nil && !m.busy {
			m.turn(k == "down")
			m.busy = true
			return m, m.load
		}
	}
	return m, nil
}

// answer logs what came of a call; of a call that connected all its messages went, until
// the operator says otherwise. It lasted what was planned, unless it is the call that the
// desk is counting.
func (m *watchModel) answer(outcome string, c desk.CallAnswer) tea.Msg {
	line := fmt.Sprintf(`%s "%s" %gMHz`, outcome, strings.ReplaceAll(c.Station, `"`, ""), c.MHz)
	var out answered
	err := m.open(func(d *desk.Desk) error {
		counted, err := d.Calling(m.ctx)
		if err != nil {
			return err
		}
		if outcome == "connected" {
			if counted == nil || counted.Call.Station != c.Station || counted.Call.MHz != c.MHz {
				line += fmt.Sprintf(" %.0fmin", math.Max(1, math.Ceil(c.Minutes)))
			}
			if len(c.Messages) > 0 {
				line += " sent=" + strings.Join(c.Messages, ",")
			}
		}
		l, err := d.Log(m.ctx, line)
		if err != nil {
			return err
		}
		out = answered{l.ID, fmt.Sprintf("Logged: %s, %s %s, %s.", l.Outcome, l.Station, khz(l.MHz), l.At.Format("15:04"))}
		if n := len(l.LeftQueue); n > 0 {
			out.said += fmt.Sprintf(" %d off the queue.", n)
		}
		out.said += "  u takes it back"
		return nil
	})
	if err != nil {
		return failed{err}
	}
	return out
}

func (m *watchModel) undo(id string) tea.Msg {
	err := m.open(func(d *desk.Desk) error {
		_, err := d.Undo(m.ctx, id)
		return err
	})
	if err != nil {
		return failed{err}
	}
	return answered{"", "Taken back; the entry is struck out."}
}

// move sets the cursor on a quarter hour of the ribbon.
func (m *watchModel) move(by time.Duration) {
	if m.screen == nil {
		return
	}
	t := m.screen.Now.Truncate(15 * time.Minute)
	if m.cursor != nil {
		t = m.cursor.Add(by)
	} else if by > 0 {
		t = t.Add(by)
	}
	if t.Before(m.screen.From) {
		t = m.screen.From
	}
	if last := m.screen.To.Add(-time.Minute).Truncate(15 * time.Minute); t.After(last) {
		t = last
	}
	m.cursor = &t
}

// turn chooses the next station for the sky.
func (m *watchModel) turn(down bool) {
	all := m.screen.Stations
	for i, s := range all {
		if s.Name == m.screen.Focus {
			step := 1
			if !down {
				step = len(all) - 1
			}
			m.focus = all[(i+step)%len(all)].Name
			return
		}
	}
}
