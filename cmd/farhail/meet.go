package main

import (
	"fmt"
	"io"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/report"
	"farhail/unit"
)

func (s *shell) meet() *cobra.Command {
	days := 1
	c := &cobra.Command{
		Use:   "meet A B",
		Short: "when two field stations can talk to each other",
		Long:  `Finds the windows two stations share, of the directory or our own ("home"): frequencies both have, hours both keep, each direction with its own power, antennas and noise.`,
		Args:  cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.Meet(c.Context(), at, args[0], args[1], days)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) {
					fmt.Fprintln(w, a.Sentence)
					t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
					fmt.Fprintln(t, "\nmhz\topens\tpeaks\tshuts\tconnect_probability\tbytes_per_minute\tbytes_per_minute_back")
					for _, x := range a.Windows {
						fmt.Fprintf(t, "%.4f\t%s\t%s\t%s\t%.2f\t%.0f\t%.0f\n", x.MHz, x.Opens.Format("Mon 15:04"), x.Peaks.Format("15:04"), x.Shuts.Format("Mon 15:04"), x.Best, x.Rate, x.RateBA)
					}
					t.Flush()
					notUsed(w, a.Excluded, a.Notes)
				})
			})
		},
	}
	c.Flags().IntVar(&days, "days", days, "how many days ahead")
	s.atFlag(c.Flags(), "from another `time`, UTC")
	return c
}

func (s *shell) relay() *cobra.Command {
	size, address := 2*unit.KB, ""
	c := &cobra.Command{
		Use:   "relay FROM TO",
		Short: "the chain of hand-overs that brings a message there first",
		Long:  `Finds, within 24 hours, the stations by which a message goes from one station to another when no direct window is left, with the hour of each hand-over. Only stations that carry traffic for its address pass it on; our own passes on whatever it is asked to.`,
		Args:  cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.Relay(c.Context(), at, args[0], args[1], address, size)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) {
					fmt.Fprintln(w, a.Sentence)
					if len(a.Chain) > 0 {
						t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
						fmt.Fprintln(t, "\nstart\tfrom\tto\tmhz\tminutes\tshuts\tconnect_probability")
						for _, x := range a.Chain {
							fmt.Fprintf(t, "%s\t%s\t%s\t%.4f\t%.1f\t%s\t%.2f\n", x.Start.Format("Mon 15:04"), x.From, x.To, x.MHz, x.Minutes, x.Shuts.Format("Mon 15:04"), x.Connect)
						}
						t.Flush()
					}
					notUsed(w, nil, a.Notes)
				})
			})
		},
	}
	quantity(c.Flags(), &size, "size", "size", "2kB", "`size` of the message on the air", unit.ParseBytes)
	c.Flags().StringVar(&address, "for", "", "`address` the message bears (default the call sign or own address of the station it goes to)")
	s.atFlag(c.Flags(), "from another `time`, UTC")
	return c
}

func notUsed(w io.Writer, list []desk.Exclusion, notes []string) {
	for i, x := range list {
		if i == 0 {
			fmt.Fprintln(w, "\nNot used:")
		}
		fmt.Fprintf(w, "  %s %s: %s\n", x.Station, desk.KHz(x.MHz), x.Reason)
	}
	for _, n := range notes {
		fmt.Fprintln(w, "note:", n)
	}
}

// calendar writes the plan's calls as an iCalendar file.
func (s *shell) calendar(d *desk.Desk, a *desk.PlanAnswer) error {
	g := report.Agenda{Name: d.Home.Name, Sign: d.Home.Call, Made: a.At}
	for _, c := range a.Calls {
		x := report.AgendaCall{Start: c.Start, Minutes: c.Minutes, AtMost: c.AtMostMinutes, Station: c.Station, MHz: c.MHz, Waveform: c.Waveform,
			HeadingDeg: c.HeadingDeg, Connect: c.Connect, Bytes: c.ExpectedBytes, Why: c.Why}
		for _, f := range c.Fallbacks {
			x.Fallbacks = append(x.Fallbacks, fmt.Sprintf("%s, %s kHz, %s°: %s", f.Station, desk.KHz(f.MHz), desk.Bearing(f.HeadingDeg), f.Because))
		}
		g.Calls = append(g.Calls, x)
	}
	b, err := report.Calendar(g)
	if err != nil {
		return err
	}
	_, err = s.stdout.Write(b)
	return err
}
