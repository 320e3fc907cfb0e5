package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"
	"charm.land/lipgloss/v2"
	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"farhail/desk"
)

func (s *shell) watch() *cobra.Command {
	focus := ""
	c := &cobra.Command{
		Use:   "watch",
		Short: "the watch as a text screen",
		Long: `Shows the next call, its countdown and fallback, and the ribbon of the day, for those
without a browser. Answers go by key: c connected, n no answer, b busy, x broken off; each
is logged and the plan made again; u takes the last back. Left and right move a cursor
through the ribbon by quarter hours, page up and down by three hours, escape lets it go;
up and down choose the station whose sky is shown; q leaves.

Where there is no terminal it prints one frame and ends.`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			ctx := c.Context()
			m := newWatch(func(work func(*desk.Desk) error) error { return s.with(ctx, work) }, ctx)
			m.focus = focus
			terminal := func(x any) bool {
				f, ok := x.(*os.File)
				return ok && isatty.IsTerminal(f.Fd())
			}
			if !terminal(s.stdout) || !terminal(s.stdin) {
				return printFrame(s.stdout, m)
			}
			if msg, ok := m.load().(failed); ok { // a fault of the files is told before the screen is taken
				return msg.err
			}
			_, err := tea.NewProgram(m, tea.WithContext(ctx), tea.WithInput(s.stdin), tea.WithOutput(s.stdout)).Run()
			return err
		},
	}
	c.Flags().StringVar(&focus, "focus", "", "the `station` whose sky is shown (default that of the next call)")
	return c
}

// printFrame shows the screen once, 80 by 24, or as COLUMNS and LINES say.
func printFrame(w io.Writer, m *watchModel) error {
	m.w, m.h = size(os.Getenv("COLUMNS"), 80), size(os.Getenv("LINES"), 24)
	switch msg := m.load().(type) {
	case failed:
		return msg.err
	default:
		m.Update(msg)
	}
	_, err := lipgloss.Fprintln(w, strings.TrimRight(m.frame(), "\n"))
	return err
}

func size(s string, usual int) int {
	if n, err := strconv.Atoi(s); err == nil && n >= 40 && n <= 400 {
		return n
	}
	return usual
}

// A watchModel is the text screen.
type watchModel struct {
	open func(func(*desk.Desk) error) error
	ctx  context.Context
	w, h int

	focus  string // station asked for
	plan   *desk.PlanAnswer
	screen *desk.Screen
	head   string
	still  bool      // the clock of a demo world stands still
	at     time.Time // of the last plan, by the desk's clock
	loaded time.Time // the same by ours
	now    time.Time // ours

	cursor  *time.Time
	last    string // id of the entry just logged
	said    string // what the last key did
	err     error
	busy    bool
	pressed time.Time
}

func newWatch(open func(func(*desk.Desk) error) error, ctx context.Context) *watchModel {
	return &watchModel{open: open, ctx: ctx, w: 80, h: 24, now: time.Now()}
}

// What comes back from the desk.
type (
	loaded struct {
		plan   *desk.PlanAnswer
		screen *desk.Screen
		head   string
		still  bool
	}
	answered struct{ id, said string }
	failed   struct{ err error }
	tick     time.Time
)

// again is how often the plan is made anew without a key: the log may have grown elsewhere.
const again = time.Minute

func (m *watchModel) Init() tea.Cmd { return tea.Batch(m.load, clock()) }

func clock() tea.Cmd { return tea.Tick(time.Second, func(t time.Time) tea.Msg { return tick(t) }) }

// load plans the watch.
func (m *watchModel) load() tea.Msg {
	var l loaded
	err := m.open(func(d *desk.Desk) (err error) {
		now := d.Now().Truncate(time.Minute)
		l.head = fmt.Sprintf("%s  %s  %s", d.Home.Name, d.Home.Call, d.At(now))
		l.still = d.Demo()
		l.plan, l.screen, err = d.Screen(m.ctx, now, desk.ScreenQuery{Focus: m.focus, Back: 3 * time.Hour, Ahead: 21 * time.Hour})
		return err
	})
	if err != nil {
		return failed{err}
	}
	return l
}

// time is the moment by the desk's clock.
func (m *watchModel) time() time.Time {
	if m.still || m.plan == nil {
		return m.at
	}
	return m.at.Add(m.now.Sub(m.loaded))
}

func (m *watchModel) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = max(msg.Width, 40), max(msg.Height, 10)
	case tick:
		m.now = time.Time(msg)
		if m.now.Sub(m.loaded) > again && !m.busy {
			m.busy = true
			return m, tea.Batch(m.load, clock())
		}
		return m, clock()
	case loaded:
		m.plan, m.screen, m.head, m.still, m.at = msg.plan, msg.screen, msg.head, msg.still, msg.plan.At
		m.loaded, m.busy, m.err = m.now, false, nil
	case answered:
		m.last, m.said, m.err = msg.id, msg.said, nil
		return m, m.load
	case failed:
		m.err, m.busy = msg.err, false
	case tea.KeyPressMsg:
		return m.key(msg.String())
	}
	return m, nil
}

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
// the operator says otherwise.
func (m *watchModel) answer(outcome string, c desk.CallAnswer) tea.Msg {
	line := fmt.Sprintf(`%s "%s" %gMHz`, outcome, strings.ReplaceAll(c.Station, `"`, ""), c.MHz)
	if outcome == "connected" {
		line += fmt.Sprintf(" %.0fmin", math.Max(1, math.Ceil(c.Minutes)))
		if len(c.Messages) > 0 {
			line += " sent=" + strings.Join(c.Messages, ",")
		}
	}
	var out answered
	err := m.open(func(d *desk.Desk) error {
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
	point := fmt.Sprintf("point %03.0f°", math.Mod(math.Round(c.HeadingDeg)+360, 360))
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
