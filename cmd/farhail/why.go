package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/unit"
)

func (s *shell) why() *cobra.Command {
	hours := 24.0
	c := &cobra.Command{
		Use:   "why CALL",
		Short: "every number behind a call of the plan",
		Long:  `Opens call number CALL of the plan: modes, MUF, signal and noise both ways, what the channel promises in each state of the day's sky, and what the alternatives of the same quarter-hour are worth.`,
		Args:  cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			n, err := strconv.Atoi(args[0])
			if err != nil {
				return &desk.UsageError{Problem: fmt.Sprintf("%q is not the number of a call: count from 1", args[0]), Command: c.CommandPath()}
			}
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				a, err := d.Why(c.Context(), at, time.Duration(hours*float64(time.Hour)), n)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) { printWhy(w, a) })
			})
		},
	}
	c.Flags().Float64Var(&hours, "hours", hours, "the plan's length, 0.5 to 72")
	s.atFlag(c.Flags(), "as planned for another `time`, UTC")
	return c
}

func printWhy(w io.Writer, a *desk.WhyAnswer) {
	c := a.Call
	fmt.Fprintf(w, "%s %s on %s kHz, %s: %.0f km, %s°\n\n", c.Start.Format("Mon 15:04"), c.Station, desk.KHz(c.MHz), c.Waveform, c.DistanceKm, desk.Bearing(c.HeadingDeg))
	fmt.Fprintf(w, "basic MUF %.1f MHz, operational %.1f, optimum working %.1f; the basic MUF reaches the channel on %.0f %% of days\n\n", a.BasicMUF, a.OperationalMUF, a.OWF, 100*a.Support)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "\tmode\televation_deg\tfield_dbuvm\tsignal_dbw\tnoise_dbw\tsnr_db (3 kHz)\tday to day\tnoise\tground_dbw")
	for _, x := range []struct {
		name string
		d    desk.DirectionAnswer
	}{{"out", a.Out}, {"in", a.In}} {
		ground := "–"
		if x.d.Ground != nil {
			ground = fmt.Sprintf("%.0f", *x.d.Ground)
		}
		fmt.Fprintf(t, "%s\t%s\t%.0f\t%.0f\t%.0f\t%.0f\t%.0f\t+%.0f −%.0f\t+%.0f −%.0f\t%s\n", x.name, x.d.Mode, x.d.Elevation, x.d.Field, x.d.Signal, x.d.Noise, x.d.SNR, x.d.DayUpper, x.d.DayLower, x.d.NoiseUpper, x.d.NoiseLower, ground)
	}
	t.Flush()
	if a.Fading != "" {
		fmt.Fprintf(w, "\n%s\n", a.Fading)
	}
	fmt.Fprintf(w, "\nif it is there and free (%s): connecting takes %.1f minutes, giving up %.1f\n\n", desk.Chance(a.Presence), a.SetupMinutes, a.GiveUpMinutes)
	t = tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "sky\tbelief\tconnect_probability\tbytes_per_minute")
	for _, k := range a.States {
		fmt.Fprintf(t, "%s\t%.2f\t%.2f\t%.0f\n", k.State, k.Belief, k.Connect, k.Rate)
	}
	t.Flush()
	fmt.Fprintf(w, "\nworth %.2f; resting instead %.2f\n", a.Value, a.RestValue)
	if len(a.Alternatives) > 0 {
		t = tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintln(t, "instead\tmhz\tvalue\tconnect_probability\tbytes_per_minute")
		for _, x := range a.Alternatives {
			fmt.Fprintf(t, "%s\t%.4f\t%.2f\t%.2f\t%.0f\n", x.Station, x.MHz, x.Value, x.Connect, x.Rate)
		}
		t.Flush()
	}
	fmt.Fprintf(w, "\nIndex IG12 %.0f ± %.0f: %s.\n", a.Index.IG12, a.Index.SD, a.Index.Why)
}

func printChanges(w io.Writer, list []desk.Change) {
	fmt.Fprintln(w, "\nWhat would change it (each planned through):")
	for _, c := range list {
		fmt.Fprintf(w, "  %s: value %+.2f\n", c.What, c.Gain)
		for _, m := range c.Messages {
			fmt.Fprintf(w, "    %s %.2f → %.2f  %s\n", m.ID[:6], m.From, m.To, printable(m.Subject))
		}
	}
	if len(list) == 0 {
		fmt.Fprintln(w, "  nothing that the desk knows how to try")
	}
}

func (s *shell) picture() *cobra.Command {
	var budgets, choose string
	into := ""
	c := &cobra.Command{
		Use:   "picture ID",
		Short: "a message's picture cut to budgets in bytes and minutes",
		Long: `Makes smaller versions of the first picture of a message, each within a budget (the
picture's; the letter around it comes on top), and says what each takes on the watch's
best channel and what the plan gains by it. With --choose a new message with that
version is queued and the original held; the original is never changed.`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return s.with(c.Context(), func(d *desk.Desk) error {
				var list []unit.Bytes
				for _, w := range strings.FieldsFunc(budgets, func(r rune) bool { return r == ',' }) {
					b, err := unit.ParseBytes(w)
					if err != nil {
						return fmt.Errorf("--budget: %w", err)
					}
					list = append(list, b)
				}
				var a *desk.PictureAnswer
				var err error
				if choose != "" {
					b, e := unit.ParseBytes(choose)
					if e != nil {
						return fmt.Errorf("--choose: %w", e)
					}
					a, err = d.ChoosePicture(c.Context(), args[0], b)
				} else {
					a, err = d.Pictures(c.Context(), args[0], list)
				}
				if err != nil {
					return err
				}
				if into != "" {
					if err := writePictures(into, a); err != nil {
						return err
					}
				}
				return s.print(a, func(w io.Writer) {
					fmt.Fprintf(w, "%s in %s: %.0f kB, %.1f minutes as it is\n", a.Picture, a.Message.ID, a.Bytes.KB(), a.Minutes)
					t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
					fmt.Fprintln(t, "budget\twidth\theight\tquality\tfidelity_db\tbytes_on_air\tminutes\tprobability_in_time\tvalue_gained")
					for _, v := range a.Versions {
						fmt.Fprintf(t, "%d\t%d\t%d\t%d\t%.1f\t%d\t%.1f\t%.2f\t%+.2f\n", v.Budget, v.Width, v.Height, v.Quality, v.FidelityDB, v.BytesOnAir, v.Minutes, v.Probability, v.Gain)
					}
					t.Flush()
					if a.Chosen != nil {
						fmt.Fprintf(w, "queued %s with it; %s is held, unchanged\n", a.Chosen.ID, a.Message.ID)
					}
				})
			})
		},
	}
	c.Flags().StringVar(&budgets, "budget", "", "`sizes` parted by commas, like 10kB,25kB (default 10, 25 and 60 kB)")
	c.Flags().StringVar(&choose, "choose", "", "queue a message with a version of this `size`")
	c.Flags().StringVar(&into, "into", "", "write the versions as JPEG into this `folder`")
	return c
}

func writePictures(dir string, a *desk.PictureAnswer) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("make folder: %w", err)
	}
	for i := range a.Versions {
		v := &a.Versions[i]
		name := filepath.Join(dir, fmt.Sprintf("%s-%d.jpg", a.Message.ID, v.Budget))
		if err := os.WriteFile(name, v.Data(), 0o644); err != nil {
			return fmt.Errorf("write picture: %w", err)
		}
	}
	return nil
}
