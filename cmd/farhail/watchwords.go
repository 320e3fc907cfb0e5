package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"
	"charm.land/lipgloss/v2"

	"farhail/desk"
)

func (m *watchModel) View() tea.View {
	v := tea.NewView(m.frame())
	v.AltScreen = true
	v.WindowTitle = "farhail watch"
	return v
}

// frame is the whole screen as text.
func (m *watchModel) frame() string {
	if m.plan == nil {
		if m.err != nil {
			return strings.Join(m.wrong(), "\n")
		}
		return "Working out the watch …"
	}
	var out []string
	now := m.time()
	clock := now.Format("Mon 2 Jan 15:04") + " UTC"
	out = append(out, spread(m.head, clock, m.w))
	for i, l := range m.sentence(now) {
		if i < 4 {
			out = append(out, l)
		}
	}
	out = append(out, pencils[faintInk].Render(fit("c connected  n no answer  b busy  x broken off  u undo  ←→ time  ↑↓ sky  q quit", m.w)))
	switch {
	case m.err != nil:
		out = append(out, m.wrong()...)
	case m.said != "":
		out = append(out, fit(m.said, m.w))
	}
	foot := m.foot()
	ribbon := desk.Ribbon(m.plan, m.screen, nil)
	out = append(out, paintRibbon(*ribbon, m.w, m.h-len(out)-1, m.cursor)...)
	for len(out) < m.h-1 {
		out = append(out, "")
	}
	return strings.Join(append(out[:m.h-1], foot), "\n")
}

// sentence is what to do, when, and what else if nobody answers.
func (m *watchModel) sentence(now time.Time) []string {
	bold := pencils[boldInk]
	if len(m.plan.Calls) == 0 {
		return styled(bold, wrapText(m.plan.Sentence, m.w))
	}
	c := m.plan.Calls[0]
	wait := c.Start.Sub(now)
	when := "Call now:"
	switch {
	case wait >= time.Hour:
		when = fmt.Sprintf("In %d h %02d min, at %s, call", int(wait.Hours()), int(wait.Minutes())%60, c.Start.Format("15:04"))
	case wait >= 5*time.Minute || wait > 0 && m.still:
		when = fmt.Sprintf("In %.0f min, at %s, call", math.Ceil(wait.Minutes()), c.Start.Format("15:04"))
	case wait > 0:
		when = fmt.Sprintf("In %d:%02d, at %s, call", int(wait.Minutes()), int(wait.Seconds())%60, c.Start.Format("15:04"))
	}
	point := fmt.Sprintf("point %s°", desk.Bearing(c.HeadingDeg))
	if c.DistanceKm < 400 { // by way of the sky overhead: a bearing means nothing (common practice)
		point = "straight up"
	}
	first := fmt.Sprintf("%s %s on %s kHz, %s.", when, c.Station, khz(c.MHz), point)
	second := fmt.Sprintf("%s to connect; %s, about %.0f min, %.0f Wh.", desk.Chance(c.Connect), carried(c), math.Ceil(c.Minutes), math.Ceil(c.EnergyWh))
	give := c.Start.Add(time.Duration(math.Ceil(m.screen.GiveUpMinutes)) * time.Minute).Format("15:04")
	third := fmt.Sprintf("No answer by %s? Leave it; n plans again.", give)
	if len(c.Fallbacks) > 0 {
		f := c.Fallbacks[0]
		who := f.Station
		if who == c.Station {
			who = "Same station"
		}
		third = fmt.Sprintf("No answer by %s? %s on %s, %s.", give, who, khz(f.MHz), desk.Chance(f.Connect))
	}
	out := styled(bold, wrapText(first, m.w))
	out = append(out, wrapText(second, m.w)...)
	return append(out, wrapText(third, m.w)...)
}

func carried(c desk.CallAnswer) string {
	n, kB := "1 message", c.ExpectedBytes/1000
	if k := len(c.Messages); k != 1 {
		n = fmt.Sprintf("%d messages", k)
	}
	if kB < 10 {
		return fmt.Sprintf("%s, %.1f kB", n, kB)
	}
	return fmt.Sprintf("%s, %.0f kB", n, kB)
}

// foot tells what is under the cursor, or what the ribbon shows.
func (m *watchModel) foot() string {
	if m.busy {
		return fit("Planning …", m.w)
	}
	if m.cursor == nil {
		return pencils[faintInk].Render(fit(fmt.Sprintf("Sky to %s. Not a distress watch; a chance is not a promise.", m.screen.Focus), m.w))
	}
	return fit(m.cursor.UTC().Format("Mon 15:04")+"  chance to connect; other stations: their best channel; esc lets go", m.w)
}

func (m *watchModel) wrong() []string {
	problem, hint := desk.Say(m.err)
	if hint != "" {
		problem = append(problem, hint)
	}
	return wrapText("! "+strings.Join(problem, "; "), m.w)
}

// Small words of the screen.

func khz(mhz float64) string { return desk.KHz(mhz) }

func percent(p float64) string { return fmt.Sprintf("%.0f %%", 100*p) }

func tenth(p float64) string { return fmt.Sprintf("%.0f/10", math.Round(p*10)) }

func kilo(kB float64) string { return fmt.Sprintf("%.0f kB", kB) }

func digits(n int) string { return strconv.Itoa(n) }

func styled(s lipgloss.Style, lines []string) []string {
	for i := range lines {
		lines[i] = s.Render(lines[i])
	}
	return lines
}

// spread puts words at both ends of a line.
func spread(a, b string, w int) string {
	gap := w - lipgloss.Width(a) - lipgloss.Width(b)
	if gap < 2 {
		return fit(b, w)
	}
	return a + strings.Repeat(" ", gap) + b
}

// fit cuts words to a width.
func fit(s string, w int) string {
	if lipgloss.Width(s) <= w {
		return s
	}
	r := []rune(s)
	for lipgloss.Width(string(r)) > w-1 {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// wrapText breaks a sentence into lines.
func wrapText(s string, w int) []string {
	var out []string
	line := ""
	for _, word := range strings.Split(s, " ") {
		if line != "" && lipgloss.Width(line)+1+lipgloss.Width(word) > w {
			out, line = append(out, line), ""
		}
		if line != "" {
			line += " "
		}
		line += fit(word, w)
	}
	return append(out, line)
}
