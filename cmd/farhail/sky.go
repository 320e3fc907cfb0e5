package main

import (
	"bytes"
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/hf/earth"
)

func newReader(b []byte) io.Reader { return bytes.NewReader(b) }

func (s *shell) sky() *cobra.Command {
	var q desk.SkyQuery
	var when yearMonth
	var lines bool
	c := &cobra.Command{
		Use:   "sky --at PLACE [flags]",
		Short: "the ionosphere above one place through the day",
		Long: `Prints the monthly median ionosphere above a place: critical frequencies of the
F2, E and sporadic E layers, M(3000)F2, height of the F2 peak, and the magnetic dip,
modified dip and gyrofrequency at 300 km. --at is a place here, not a time.`,
		Example: `  farhail sky --at 38.5,-28.6 --month 2026-11
  farhail sky --at 38.5,-28.6 --month 2026-11 --day 25 --ssn 80 --json`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if lines {
				return desk.Lines(s.stdin, s.stdout, skyLine)
			}
			if !c.Flags().Changed("at") {
				return &desk.UsageError{Problem: "--at is missing: give a place", Command: c.CommandPath()}
			}
			q.Year, q.Month = when.year, when.month
			a, err := desk.PredictSky(q)
			if err != nil {
				return err
			}
			return s.print(a, func(w io.Writer) { printSky(w, a) })
		},
	}
	f := c.Flags()
	place(f, &q.At, "at", "`place`: LAT,LON in degrees, degrees and minutes, or a locator")
	quantity(f, &when, "month", "month", "", "`month` as 2026-06 (default this one)", parseMonth)
	when = thisMonth()
	f.IntVar(&q.Day, "day", 0, "`day` of the month; 0 stands for its middle")
	optional(f, &q.UTC, "utc", "only this UTC hour, 0 to 24, may be fractional")
	optional(f, &q.SSN, "ssn", "index that drives every formula as given (default the embedded table's)")
	f.StringVar(&q.Reading, "reading", "field", "field (the product's) or strict (as printed)")
	f.BoolVar(&lines, "jsonl", false, "one query a line on standard input, one answer a line")
	return c
}

func printSky(w io.Writer, a *desk.SkyAnswer) {
	if a.Note != "" {
		fmt.Fprintf(w, "note: %s\n", a.Note)
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "utc\tfof2_mhz\tm3000f2\tfoe_mhz\tfoes_mhz\thmf2_km\tdip_deg\tmodip_deg\tgyro_mhz\tsolar_zenith_deg\t")
	for _, h := range a.Hours {
		fmt.Fprintf(t, "%g\t%.2f\t%.2f\t%.2f\t%.1f\t%.0f\t%.1f\t%.1f\t%.2f\t%.1f\t\n", h.UTC, h.FoF2, h.M3000F2, h.FoE, h.FoEs, h.HmF2, h.Dip, h.Modip, h.Gyro, h.Zenith)
	}
	t.Flush()
}

// skyLine answers one query of --jsonl.
func skyLine(line []byte) (any, error) {
	var in struct {
		At      []float64 `json:"at"`
		Month   string    `json:"month"`
		Day     int       `json:"day"`
		UTC     *float64  `json:"utc"`
		SSN     *float64  `json:"ssn"`
		Reading string    `json:"reading"`
	}
	if err := strict(line, &in); err != nil {
		return nil, err
	}
	if len(in.At) != 2 {
		return nil, fmt.Errorf(`"at" is needed, as [lat, lon]`)
	}
	m, err := parseMonth(in.Month)
	if err != nil {
		return nil, err
	}
	return desk.PredictSky(desk.SkyQuery{At: earth.At(in.At[0], in.At[1]), Year: m.year, Month: m.month, Day: in.Day, UTC: in.UTC, SSN: in.SSN, Reading: in.Reading})
}
