package main

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/practice"
)

func (s *shell) practice() *cobra.Command {
	hours, seed := 24.0, uint64(1)
	c := &cobra.Command{
		Use:   "practice",
		Short: "play a day on a simulated air",
		Long: `Plays one day of the practice air: a sky, noise and far stations that differ from what
the plan believes. In every quarter of an hour in which the plan would call, it says how
things stand and what the plan would do; you answer:

  (nothing)            do as the plan says
  call N M …           call these channels in turn, by their numbers, until one answers
  rest [N]             rest N quarters of an hour (1)
  channels             list the channels with their numbers
  quit                 rest for the remaining day

Nothing is transmitted, and nothing is written into the log.`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				g := &game{in: bufio.NewReader(s.stdin), out: s.stdout, quiet: s.json}
				set, score, bound, err := d.Practise(c.Context(), at, time.Duration(hours*float64(time.Hour)), seed, g.ask, g.turn)
				if err != nil {
					return err
				}
				through := 0
				for _, t := range score.Delivered {
					if t >= 0 {
						through++
					}
				}
				v := map[string]any{"seed": seed, "items": len(set.Items), "delivered": through, "worth": score.Worth, "clairvoyant_bound": bound,
					"calls": score.Calls, "connected": score.Connected, "minutes": score.Minutes, "energy_wh": score.Energy}
				return s.print(v, func(w io.Writer) {
					g.news(set, score.Log)
					fmt.Fprintf(w, "\n%d of %d through, worth %.1f; nobody could have had more than %.1f.\n%d calls, %d connected, %.0f minutes on the air, %.0f Wh.\n",
						through, len(set.Items), score.Worth, bound, score.Calls, score.Connected, score.Minutes, score.Energy)
				})
			})
		},
	}
	c.Flags().Float64Var(&hours, "hours", hours, "length of the day, 0.5 to 72")
	c.Flags().Uint64Var(&seed, "seed", seed, "the day: the same seed gives the same air")
	s.atFlag(c.Flags(), "begin at another `time`, UTC")

	days, first := 40, uint64(1)
	measure := &cobra.Command{
		Use:   "measure",
		Short: "play many days: the plan against the notebook, the greedy and the bound",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.MeasurePractice(c.Context(), at, time.Duration(hours*float64(time.Hour)), first, days)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) { printMeasure(w, a) })
			})
		},
	}
	measure.Flags().IntVar(&days, "days", days, "how many days, 2 to 100000")
	measure.Flags().Uint64Var(&first, "seed", first, "seed of the first day")
	measure.Flags().Float64Var(&hours, "hours", hours, "length of a day, 0.5 to 72")
	s.atFlag(measure.Flags(), "days that begin at another `time`, UTC")
	c.AddCommand(measure)
	return c
}

func printMeasure(w io.Writer, a *desk.PracticeAnswer) {
	pm := func(m desk.MeanAnswer, format string) string {
		return fmt.Sprintf(format+" ± "+format, m.Mean, m.Half)
	}
	fmt.Fprintf(w, "%d days, seeds from %d; clairvoyant bound %s\n", a.Days, a.Seed, pm(a.Bound, "%.2f"))
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "player\tweighted_delivery\tshare_of_bound\tover_notebook\tminutes_on_the_air\tenergy_wh\twh_per_kb\tcalls")
	for _, l := range a.Lines {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", l.Player, pm(l.Worth, "%.2f"), pm(l.OfBound, "%.3f"), pm(l.OverNotebook, "%.3f"), pm(l.Minutes, "%.1f"), pm(l.Energy, "%.1f"), pm(l.WhPerKB, "%.3f"), pm(l.Calls, "%.1f"))
	}
	t.Flush()
	t = tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "\nin time\tflash\timmediate\tpriority\troutine")
	for _, l := range a.Lines {
		fmt.Fprint(t, l.Player)
		for _, p := range []string{"flash", "immediate", "priority", "routine"} {
			if m, ok := l.InTime[p]; ok {
				fmt.Fprintf(t, "\t%s", pm(m, "%.3f"))
			} else {
				fmt.Fprint(t, "\t–")
			}
		}
		fmt.Fprintln(t)
	}
	t.Flush()
}

// A game is a practice day played by somebody at the keyboard.
type game struct {
	in    *bufio.Reader
	out   io.Writer
	quiet bool
	seen  int
	until int                     // rest to this quarter without asking
	turns []practice.Transmission // of the call just made
	over  bool
	slot  int     // of the last call told
	spent float64 // minutes of calls in it
}

const quarterMin = 15.0

// airTime is so many minutes into a quarter.
func airTime(set *practice.Setting, slot int, minutes float64) time.Time {
	return set.Prospect.Start.Add(time.Duration((quarterMin*float64(slot) + minutes) * float64(time.Minute)))
}

func (g *game) ask(s *practice.Situation, plan practice.Order) practice.Order {
	g.news(s.Set, s.Log)
	if g.over || s.Slot < g.until {
		return practice.Order{}
	}
	if plan.Resting > s.Slot {
		return practice.Order{}
	}
	if len(plan.Calls) == 0 {
		return plan
	}
	for {
		g.say("\n%s: %d waiting", airTime(s.Set, s.Slot, quarterMin-s.Left).Format("Mon 15:04"), len(s.Waiting))
		if s.Set.Battery.Capacity > 0 {
			g.say(", battery %.0f %%", 100*s.Level/s.Set.Battery.Capacity)
		}
		g.say("; the plan calls %s", name(s.Set, plan.Calls[0]))
		for _, c := range plan.Calls[1:] {
			g.say(", then %s", name(s.Set, c))
		}
		g.say("\n> ")
		line, err := g.in.ReadString('\n')
		words := strings.Fields(line)
		if err != nil && len(words) == 0 {
			return plan // nobody at the keyboard: the plan plays itself
		}
		if len(words) == 0 {
			return plan
		}
		switch words[0] {
		case "quit":
			g.over = true
			return practice.Order{}
		case "rest":
			n := 1
			if len(words) > 1 {
				n, _ = strconv.Atoi(words[1])
			}
			g.until = s.Slot + max(n, 1)
			return practice.Order{}
		case "channels":
			for i := range s.Set.Prospect.Channels {
				g.say("%3d  %s\n", i+1, name(s.Set, i))
			}
			continue
		case "call":
			o := practice.Order{Limit: plan.Limit}
			ok := len(words) > 1
			for _, w := range words[1:] {
				n, err := strconv.Atoi(w)
				if err != nil || n < 1 || n > len(s.Set.Prospect.Channels) {
					ok = false
					break
				}
				o.Calls = append(o.Calls, n-1)
			}
			if ok {
				return o
			}
		}
		g.say("say nothing to follow the plan, or: call N …, rest [N], channels, quit\n")
	}
}

// news tells what came of the calls since the last question.
func (g *game) news(set *practice.Setting, log []practice.Attempt) {
	for ; g.seen < len(log); g.seen++ {
		a := &log[g.seen]
		if a.Slot != g.slot {
			g.slot, g.spent = a.Slot, 0
		}
		at := airTime(set, a.Slot, g.spent).Format("15:04")
		g.spent += a.Minutes
		if len(a.Items) > 0 || a.Bytes > 0 {
			g.say("%s %s: connected, %d through, %.1f kB in %.1f minutes\n", at, name(set, a.Channel), len(a.Items), a.Bytes/1000, a.Minutes)
			g.story()
		} else {
			g.say("%s %s: %s after %.1f minutes\n", at, name(set, a.Channel), a.Answer, a.Minutes)
		}
	}
}

func (g *game) turn(t practice.Transmission) { g.turns = append(g.turns, t) }

// shown is how many turns of a call are told.
const shown = 8

// story tells how a call went, turn by turn.
func (g *game) story() {
	for n, t := range g.turns {
		if n == shown && len(g.turns) > shown+1 {
			g.say("       … %d turns more\n", len(g.turns)-shown)
			break
		}
		g.say("       %4.1f min  %s, SNR %.0f dB out, %.0f in: %d of %d blocks", t.At, t.Level, t.Out, t.In, t.Got, t.Units)
		if t.Acknowledge {
			g.say(", acknowledged\n")
		} else {
			g.say(", no acknowledgement heard\n")
		}
	}
	g.turns = nil
}

func (g *game) say(format string, args ...any) {
	if !g.quiet {
		fmt.Fprintf(g.out, format, args...)
	}
}

func name(set *practice.Setting, c int) string {
	ch := &set.Prospect.Channels[c]
	return fmt.Sprintf("%s %s", ch.Station.Name, desk.KHz(ch.MHz))
}
