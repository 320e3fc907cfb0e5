package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"farhail/desk"
	"farhail/unit"
)

// addDesk adds the commands that work on a station's folder.
func (s *shell) addDesk(root *cobra.Command) {
	root.AddCommand(s.init(), s.check(), s.plan(), s.why(), s.meet(), s.relay(), s.windows(), s.stations(), s.traffic(), s.conditions(), s.log(), s.practice(), s.demo(), s.man(root))
}

// with opens the desk, works, and closes it.
func (s *shell) with(ctx context.Context, work func(*desk.Desk) error) error {
	dir, err := s.folder()
	if err != nil {
		return err
	}
	d, err := desk.Open(ctx, dir)
	if err != nil {
		return err
	}
	err = work(d)
	if e := d.Close(); err == nil {
		err = e
	}
	return err
}

// withAt is with, at the moment --at names.
func (s *shell) withAt(ctx context.Context, work func(*desk.Desk, time.Time) error) error {
	return s.with(ctx, func(d *desk.Desk) error {
		at, err := s.now(d.Now())
		if err != nil {
			return err
		}
		return work(d, at)
	})
}

func (s *shell) init() *cobra.Command {
	var start desk.Start
	c := &cobra.Command{
		Use:   "init",
		Short: "write a commented starting set",
		Long: `Writes home.toml and stations.toml, with comments, into a folder that has none. In a
terminal it asks what the flags did not say; otherwise everything comes from flags.`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			dir, err := s.folder()
			if err != nil {
				return err
			}
			if err := s.ask(&start, c); err != nil {
				return err
			}
			a, err := desk.Init(dir, start)
			if err != nil {
				return err
			}
			return s.print(a, func(w io.Writer) {
				for _, f := range a.Files {
					fmt.Fprintln(w, "wrote", f)
				}
				fmt.Fprintln(w, "next:", a.Next)
			})
		},
	}
	for _, q := range start.Questions() {
		c.Flags().StringVar(q.To, q.Key, "", q.Text)
	}
	return c
}

// ask fills in what the flags did not say: by questions in a terminal, else by what is
// usual; what has no usual answer must be said.
func (s *shell) ask(start *desk.Start, c *cobra.Command) error {
	f, ok := s.stdin.(*os.File)
	terminal := ok && isatty.IsTerminal(f.Fd())
	in := bufio.NewReader(s.stdin)
	for _, q := range start.Questions() {
		if c.Flags().Changed(q.Key) {
			continue
		}
		if !terminal {
			if q.Usual == "" {
				return &desk.UsageError{Problem: "--" + q.Key + " is missing: " + q.Text, Command: c.CommandPath()}
			}
			*q.To = q.Usual
			continue
		}
		fmt.Fprintf(s.stderr, "%s", q.Text)
		if q.Usual != "" {
			fmt.Fprintf(s.stderr, " [%s]", q.Usual)
		}
		fmt.Fprint(s.stderr, " ")
		line, err := in.ReadString('\n')
		if err != nil && line == "" {
			return &desk.UsageError{Problem: "no answer: nothing was written", Command: c.CommandPath()}
		}
		if *q.To = strings.TrimSpace(line); *q.To == "" {
			*q.To = q.Usual
		}
	}
	return nil
}

func (s *shell) check() *cobra.Command {
	return &cobra.Command{
		Use:   "check",
		Short: "verify all files and the store, offline",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			dir, err := s.folder()
			if err != nil {
				return err
			}
			a, err := desk.Check(c.Context(), dir)
			if err != nil {
				return err
			}
			if err := s.print(a, func(w io.Writer) {
				for _, f := range a.Faults {
					fmt.Fprintln(w, f.Text)
				}
				fmt.Fprintf(w, "%d files read, store: %s\n", len(a.Files), a.Store)
			}); err != nil {
				return err
			}
			if !a.Sound {
				return &desk.InputError{What: fmt.Sprintf("%s: not sound", dir), Hint: "correct the lines above; nothing is used until then"}
			}
			return nil
		},
	}
}

func (s *shell) plan() *cobra.Command {
	hours, whatIf, ics := 24.0, false, false
	c := &cobra.Command{
		Use:   "plan",
		Short: "the calls of the coming watch",
		Long: `Decides which calls at which hours clear the traffic in order of precedence within
battery, watch hours and permissions, each with its fallback. Printing the plan does
nothing else: you make the calls, and log them.`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.Plan(c.Context(), at, time.Duration(hours*float64(time.Hour)))
				if err != nil {
					return err
				}
				if ics {
					return s.calendar(d, a)
				}
				if whatIf {
					if a.Changes, err = d.Changes(c.Context(), at, time.Duration(hours*float64(time.Hour))); err != nil {
						return err
					}
				}
				return s.print(a, func(w io.Writer) {
					printPlan(w, d, a)
					if whatIf {
						printChanges(w, a.Changes)
					}
				})
			})
		},
	}
	c.Flags().Float64Var(&hours, "hours", hours, "how far to plan, 0.5 to 72")
	c.Flags().BoolVar(&ics, "calendar", false, "print the calls as an iCalendar file (RFC 5545)")
	c.Flags().BoolVar(&whatIf, "what-if", false, "plan again with what would change it")
	s.atFlag(c.Flags(), "plan for another `time`, UTC")
	return c
}

func printPlan(w io.Writer, d *desk.Desk, a *desk.PlanAnswer) {
	fmt.Fprintf(w, "%s  %s  %s UTC\n\n%s\n", d.Home.Name, d.At(a.At), a.At.Format("Mon 2 Jan 2006 15:04"), a.Sentence)
	if len(a.Calls) > 0 {
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintln(t, "\nstart\tstation\tmhz\theading_deg\twaveform\tconnect_probability\texpected_bytes\tminutes\tenergy_wh\tmessages")
		for _, c := range a.Calls {
			fmt.Fprintf(t, "%s\t%s\t%.4f\t%s\t%s\t%.2f\t%.0f\t%.1f\t%.1f\t%s\n", c.Start.Format("Mon 15:04"), c.Station, c.MHz, desk.Bearing(c.HeadingDeg), c.Waveform,
				c.Connect, c.ExpectedBytes, c.Minutes, c.EnergyWh, short(c.Messages))
			for _, f := range c.Fallbacks {
				fmt.Fprintf(t, "  no answer:\t%s\t%.4f\t%s\t%s\t%.2f\t%.0f\t\t\t\n", f.Station, f.MHz, desk.Bearing(f.HeadingDeg), f.Waveform, f.Connect, f.ExpectedBytes)
			}
		}
		t.Flush()
		fmt.Fprintln(w, "\nWhy:")
		for _, c := range a.Calls {
			fmt.Fprintf(w, "  %s %s %s: %s\n", c.Start.Format("15:04"), c.Station, desk.KHz(c.MHz), c.Why)
			for _, f := range c.Fallbacks {
				fmt.Fprintf(w, "        then %s %s: %s\n", f.Station, desk.KHz(f.MHz), f.Because)
			}
			if c.Again != nil {
				fmt.Fprintf(w, "        nobody answers: %s\n", c.Again.Words(&c))
			}
			if c.Wake != "" {
				fmt.Fprintf(w, "        wake %s for it\n", c.Wake)
			}
		}
	}
	if len(a.Messages) > 0 {
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintln(t, "\nid\tprecedence\tbytes_on_air\tdeadline\tprobability_in_time\tsubject")
		for _, m := range a.Messages {
			due := "–"
			if m.Deadline != nil {
				due = m.Deadline.Format("Mon 15:04")
			}
			in := fmt.Sprintf("%.2f", m.Probability)
			if m.Note != "" {
				in = "0.00 (" + m.Note + ")"
			} else if m.Stations > 0 {
				in += fmt.Sprintf(" (all of %d; %.1f in the mean)", strings.Count(m.By, ",")+1, m.Stations)
			}
			fmt.Fprintf(t, "%s\t%s\t%d\t%s\t%s\t%s\n", m.ID[:6], m.Precedence, m.BytesOnAir, due, in, printable(m.Subject))
		}
		t.Flush()
	}
	for _, b := range a.Bearer {
		fmt.Fprintf(w, "\nBy %s at %s: %s, for %.2f.", b.Bearer, b.At.Format("Mon 15:04"), short([]string{b.Message}), b.Price)
	}
	if len(a.Bearer) > 0 {
		fmt.Fprintln(w)
	}
	printCuts(w, a)
	if n := len(a.Battery); n > 0 {
		low := a.Battery[0]
		for _, b := range a.Battery {
			if b.Wh < low.Wh {
				low = b
			}
		}
		full := d.Home.Battery.Energy().Wh()
		fmt.Fprintf(w, "\nBattery: %.0f %% now, lowest %.0f %% at %s, reserve %.0f %%.\n", 100*a.Battery[0].Wh/full, 100*low.Wh/full, low.At.Format("Mon 15:04"), 100*d.Home.Battery.Reserve)
	}
	if len(a.Excluded) > 0 {
		fmt.Fprintln(w, "\nNot used:")
		for _, x := range a.Excluded {
			fmt.Fprintf(w, "  %s %s: %s\n", x.Station, desk.KHz(x.MHz), x.Reason)
		}
	}
	fmt.Fprintf(w, "\nIndex IG12 %.0f ± %.0f: %s.\n", a.Index.IG12, a.Index.SD, a.Index.Why)
	for _, n := range a.Notes {
		fmt.Fprintln(w, "note:", n)
	}
	fmt.Fprintln(w, "A chance is not a promise: keep the fallback ready. Your licence decides; the desk only reads what you told it.")
}

// printCuts says of pictures that are unlikely to go as they are which cut does.
func printCuts(w io.Writer, a *desk.PlanAnswer) {
	head := "\nPictures that go cut (a call is at most a quarter of an hour):\n"
	for _, m := range a.Messages {
		if c := m.Cut; c != nil {
			fmt.Fprintf(w, "%s  %s %s: cut to %.0f kB it takes %.1f minutes, %.2f in time, value %+.2f\n         farhail traffic picture %s --choose %.0fkB\n",
				head, m.ID[:6], printable(m.Subject), c.Budget.KB(), c.Minutes, c.Probability, c.Gain, m.ID[:6], c.Budget.KB())
			head = ""
		}
	}
}

func short(ids []string) string {
	var out []string
	for _, id := range ids {
		out = append(out, id[:min(6, len(id))])
	}
	return strings.Join(out, " ")
}

func (s *shell) windows() *cobra.Command {
	days := 1
	c := &cobra.Command{
		Use:   "windows [STATION …]",
		Short: "when each channel opens, peaks and shuts",
		RunE: func(c *cobra.Command, args []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.Windows(c.Context(), at, days, args)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) { printWindows(w, a) })
			})
		},
	}
	c.Flags().IntVar(&days, "days", days, "how many UTC days, 1 to 14")
	s.atFlag(c.Flags(), "begin with the day of another `time`, UTC")
	return c
}

func printWindows(w io.Writer, a *desk.WindowsAnswer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "station\tday\tmhz\topens\tpeaks\tshuts\tconnect_probability\tbytes_per_minute\twaveform")
	for _, s := range a.Stations {
		for _, d := range s.Days {
			for _, x := range d.Windows {
				shuts := x.Shuts.Format("15:04")
				if shuts == "00:00" {
					shuts = "24:00"
				}
				fmt.Fprintf(t, "%s\t%s\t%.4f\t%s\t%s\t%s\t%.2f\t%.0f\t%s\n", s.Station, d.Day, x.MHz, x.Opens.Format("15:04"), x.Peaks.Format("15:04"), shuts, x.Best, x.Rate, x.Waveform)
			}
			if len(d.Windows) == 0 {
				fmt.Fprintf(t, "%s\t%s\tshut all day\t\t\t\t\t\t\n", s.Station, d.Day)
			}
		}
	}
	t.Flush()
}

func (s *shell) stations() *cobra.Command {
	c := &cobra.Command{
		Use:   "stations",
		Short: "whom we may call, and what each channel promises now",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.Stations(c.Context(), at)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) {
					t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
					fmt.Fprintln(t, "station\tcall\theading_deg\tcompass_deg\tdistance_km\thours\tmhz\tconnect_probability\tbytes_per_minute")
					for _, x := range a {
						for i, ch := range x.Channels {
							head := "\t\t\t\t\t"
							if i == 0 {
								head = fmt.Sprintf("%s\t%s\t%s\t%s\t%.0f\t%s", x.Station, x.Call, desk.Bearing(x.HeadingDeg), desk.Bearing(x.Compass), x.DistanceKm, x.Hours)
							}
							state := fmt.Sprintf("%.2f\t%.0f", ch.Connect, ch.Rate)
							if ch.Excluded != "" {
								state = "not used: " + ch.Excluded + "\t"
							} else if !ch.Open {
								state = "shut\t"
							}
							if i == 0 && x.ExpectedIn > 0 {
								state += fmt.Sprintf("\t%s wait there", x.ExpectedIn)
							}
							fmt.Fprintf(t, "%s\t%.4f\t%s\n", head, ch.MHz, state)
						}
					}
					t.Flush()
				})
			})
		},
	}
	s.atFlag(c.Flags(), "as it will stand at another `time`, UTC")
	c.AddCommand(&cobra.Command{
		Use:   "expect STATION SIZE",
		Short: "note how much is believed to wait for us at a station",
		Long:  `The plan counts it as one more thing to carry. A call that connects clears the note; 0B takes it away.`,
		Args:  cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			size, err := unit.ParseBytes(args[1])
			if err != nil {
				return err
			}
			return s.with(c.Context(), func(d *desk.Desk) error {
				name, err := d.Expect(c.Context(), args[0], size)
				if err != nil {
					return err
				}
				return s.print(map[string]any{"station": name, "bytes": size}, func(w io.Writer) { fmt.Fprintf(w, "%s: %s expected\n", name, size) })
			})
		},
	})
	return c
}

func (s *shell) conditions() *cobra.Command {
	show := func(w io.Writer, a *desk.IndexAnswer) {
		fmt.Fprintf(w, "IG12 %.0f ± %.0f (R12 %.0f), because %s.\n", a.IG12, a.SD, a.R12, a.Why)
		if a.A != nil {
			fmt.Fprintf(w, "A index %.0f in the last day.\n", *a.A)
		}
		if a.K != nil {
			fmt.Fprintf(w, "K index %.0f in the last day.\n", *a.K)
		}
		if a.A != nil || a.K != nil {
			fmt.Fprintln(w, "A and K are kept for you to read; no forecast moves by them yet.")
		}
		fmt.Fprintf(w, "Noise at home: %s.\n", strings.Join(append([]string{a.Noise}, a.Measured...), ", as read "))
		if a.Note != "" {
			fmt.Fprintln(w, "note:", a.Note)
		}
	}
	c := &cobra.Command{
		Use:   "conditions",
		Short: "what is believed about the sky and the site, and why",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.Conditions(c.Context(), at)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) { show(w, a) })
			})
		},
	}
	s.atFlag(c.Flags(), "at another `time`, UTC")
	var flux, aIndex, k *float64
	set := &cobra.Command{
		Use:   "set",
		Short: "record a bulletin heard on the air",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.SetConditions(c.Context(), at, flux, aIndex, k)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) { show(w, a) })
			})
		},
	}
	optional(set.Flags(), &flux, "flux", "solar flux at 10.7 cm")
	optional(set.Flags(), &aIndex, "a", "A index")
	optional(set.Flags(), &k, "k", "K index")
	s.atFlag(set.Flags(), "`time` of the bulletin, UTC")
	c.AddCommand(set)
	return c
}

func (s *shell) log() *cobra.Command {
	only, limit, csv := "", 0, false
	c := &cobra.Command{
		Use:   "log WORD…",
		Short: "record what happened, in one line",
		Long: `Records one attempt, with the forecast of the moment beside it. Words stand in any
order; what the line leaves out is taken from the plan where there is one answer.

  connected | no answer | busy | broken off     what came of the call
  heard | faint | not heard                     of a listening check
  strike ENTRY REASON                           strike out an entry, by number, id or "last"
  9min 12.6045 17:50                            minutes, MHz, time of start
  out=38kB in=2kB snr=12 sent=ID,ID note: …     and more: docs/format.md`,
		Example: `  farhail log connected cabo-lume 12.61 9min out=38kB
  farhail log no answer
  farhail log strike last wrong station`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return s.with(c.Context(), func(d *desk.Desk) error {
				a, err := d.Log(c.Context(), strings.Join(args, " "))
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) {
					fmt.Fprintf(w, "logged %s: %s\n", a.ID, a.Line)
					for _, id := range a.LeftQueue {
						fmt.Fprintf(w, "delivered %s\n", id)
					}
					if a.Hint != "" {
						fmt.Fprintln(w, "note:", a.Hint)
					}
				})
			})
		},
	}
	list := &cobra.Command{
		Use:   "list",
		Short: "the log, latest first",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return s.with(c.Context(), func(d *desk.Desk) error {
				if csv {
					return d.ExportLog(c.Context(), s.stdout)
				}
				a, err := d.LogLines(c.Context(), only, limit)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) {
					t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
					fmt.Fprintln(t, "no\tat\tstation\tmhz\toutcome\tbytes_out\tbytes_in\tminutes\tpromised_probability\tremark")
					for _, l := range a {
						promised := "–"
						if l.Promised != nil {
							promised = fmt.Sprintf("%.2f", *l.Promised)
						}
						outcome := l.Outcome
						if l.Kind == "strike" {
							outcome = "strike"
						}
						if l.Struck != "" {
							outcome += " (struck: " + l.Struck + ")"
						}
						fmt.Fprintf(t, "%d\t%s\t%s\t%s\t%s\t%d\t%d\t%.0f\t%s\t%s\n", l.No, l.At.Format("2006-01-02 15:04"), l.Station, fmt.Sprintf("%.4f", l.MHz), outcome, l.BytesOut, l.BytesIn, l.Minutes, promised, l.Remark)
					}
					t.Flush()
				})
			})
		},
	}
	list.Flags().StringVar(&only, "station", "", "only this `station`")
	list.Flags().IntVar(&limit, "last", 0, "only so many; 0 lists all")
	list.Flags().BoolVar(&csv, "csv", false, "the whole log as CSV")
	c.AddCommand(list)
	return c
}

func (s *shell) demo() *cobra.Command {
	world, into := "saltmarsh", ""
	c := &cobra.Command{
		Use:   "demo",
		Short: "lay out an invented world and print its plan",
		Long: `Copies a demo world into a new folder, queues its mail, and prints the plan with its
reasons. Everything in it is invented: stations, people, call signs, frequencies. Its
clock stands still at 2026-11-25T17:38Z.`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			debug.SetMemoryLimit(72 << 20) // field computers are small; the demo draws a large photograph
			d, a, err := desk.MakeDemo(c.Context(), world, into)
			if err != nil {
				return err
			}
			defer d.Close()
			pl, err := d.Plan(c.Context(), d.Now(), 24*time.Hour)
			if err != nil {
				return err
			}
			out := struct {
				Demo *desk.DemoAnswer `json:"demo"`
				Plan *desk.PlanAnswer `json:"plan"`
			}{a, pl}
			return s.print(out, func(w io.Writer) {
				printPlan(w, d, pl)
				fmt.Fprintf(w, "\nThe demo world (all invented) is in %s\ntry: farhail plan --dir %s\n", a.Dir, a.Dir)
			})
		},
	}
	c.Flags().StringVar(&world, "world", world, "saltmarsh or tamarind")
	c.Flags().StringVar(&into, "into", "", "`folder` to lay it into (default a temporary one)")
	return c
}

func (s *shell) man(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:   "man FOLDER",
		Short: "write the manual pages into a folder",
		Args:  cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return err
			}
			date := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
			if err := doc.GenManTree(root, &doc.GenManHeader{Title: "FARHAIL", Section: "1", Source: "farhail", Date: &date}, args[0]); err != nil {
				return err
			}
			pages, err := filepath.Glob(filepath.Join(args[0], "farhail*.1"))
			if err != nil {
				return err
			}
			return s.print(pages, func(w io.Writer) { fmt.Fprintf(w, "wrote %d pages into %s\n", len(pages), args[0]) })
		},
	}
}
