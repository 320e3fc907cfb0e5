package main

import (
	"context"
	"fmt"
	"io"
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

Where there is no terminal it prints one frame and ends; with --json, the plan it shows.`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			ctx := c.Context()
			m := newWatch(func(work func(*desk.Desk) error) error { return s.with(ctx, work) }, ctx)
			m.focus = focus
			terminal := func(x any) bool {
				f, ok := x.(*os.File)
				return ok && isatty.IsTerminal(f.Fd())
			}
			if s.json || !terminal(s.stdout) || !terminal(s.stdin) {
				return s.printFrame(m)
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

// printFrame shows the screen once, 80 by 24, or as COLUMNS and LINES say; as JSON, the
// plan it shows.
func (s *shell) printFrame(m *watchModel) error {
	m.w, m.h = size(os.Getenv("COLUMNS"), 80), size(os.Getenv("LINES"), 24)
	msg := m.load()
	if f, ok := msg.(failed); ok {
		return f.err
	}
	m.Update(msg)
	return s.print(m.plan, func(w io.Writer) { lipgloss.Fprintln(w, strings.TrimRight(m.frame(), "\n")) })
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
	begins time.Time // when the next watch begins, by the desk's clock; zero: never
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
		begins time.Time
	}
	answered struct{ id, said string }
	failed   struct{ err error }
	tick     time.Time
)

// again is how often the plan is made anew without a key: the log may have grown elsewhere.
const again = time.Minute

// due says whether it is time for that: after a minute, and when a watch begins.
func (m *watchModel) due() bool {
	return m.now.Sub(m.loaded) > again || !m.begins.IsZero() && !m.time().Before(m.begins)
}

func (m *watchModel) Init() tea.Cmd { return tea.Batch(m.load, clock()) }

func clock() tea.Cmd { return tea.Tick(time.Second, func(t time.Time) tea.Msg { return tick(t) }) }

// load plans the watch.
func (m *watchModel) load() tea.Msg {
	var l loaded
	err := m.open(func(d *desk.Desk) (err error) {
		now := d.Now().Truncate(time.Minute)
		l.head = fmt.Sprintf("%s  %s  %s", d.Home.Name, d.Home.Call, d.At(now))
		l.still = d.Demo()
		l.begins, _ = d.WatchBegins(now)
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
		if m.due() && !m.busy {
			m.busy = true
			return m, tea.Batch(m.load, clock())
		}
		return m, clock()
	case loaded:
		m.plan, m.screen, m.head, m.still, m.begins, m.at = msg.plan, msg.screen, msg.head, msg.still, msg.begins, msg.plan.At
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
