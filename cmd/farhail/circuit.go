package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/hf/earth"
	"farhail/unit"
)

func (s *shell) circuit() *cobra.Command {
	q := desk.CircuitQuery{Noise: "residential"}
	var when yearMonth
	var lines, digital bool
	var antennaText, farAntenna string
	var window struct {
		delay  time.Duration
		spread unit.Freq
		ratio  unit.DB
	}
	c := &cobra.Command{
		Use:   "circuit --from PLACE --to PLACE [flags]",
		Short: "one path through the day: MUF, modes, SNR and reliability",
		Long: `Predicts one circuit for every hour of a month's median day after ITU-R P.533.

SNR is in the given bandwidth; the deciles are the SNR exceeded 10 % and 90 % of the
time; reliability is the share of the month's days on which the SNR reaches --need-snr.
Signals are sky wave unless --ground adds the ground wave; where the two come within 10 dB
of each other they fade together, and a line below the table says so. --es adds modes by
sporadic E, which the Recommendation leaves out: a bonus that nobody can foretell, counted
at the median of its maps, each mode with the share of days on which the layer is enough.`,
		Example: `  farhail circuit --from 38.5,-28.6 --to 43.0,-9.2 --month 2026-11 --freq 4.2,8.4,12.6
  farhail circuit --jsonl < queries.jsonl > answers.jsonl`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if lines {
				return desk.Lines(s.stdin, s.stdout, circuitLine)
			}
			for _, need := range []string{"from", "to", "freq"} {
				if !c.Flags().Changed(need) {
					return &desk.UsageError{Problem: "--" + need + " is missing", Command: c.CommandPath()}
				}
			}
			q.Year, q.Month = when.year, when.month
			if digital {
				q.Window = &desk.Window{TimeMs: 1e3 * window.delay.Seconds(), SpreadHz: window.spread.Hz(), RatioDB: float64(window.ratio)}
			} else {
				for _, of := range []string{"time-window", "spread-window", "ratio"} {
					if c.Flags().Changed(of) {
						return &desk.UsageError{Problem: "--" + of + " says something only with --digital: add it", Command: c.CommandPath()}
					}
				}
			}
			var err error
			if q.Tx, err = desk.ParseAntenna(antennaText); err != nil {
				return fmt.Errorf("--antenna: %w", err)
			}
			if q.Rx, err = desk.ParseAntenna(farAntenna); err != nil {
				return fmt.Errorf("--far-antenna: %w", err)
			}
			a, err := desk.PredictCircuit(q)
			if err != nil {
				return err
			}
			return s.print(a, func(w io.Writer) { printCircuit(w, a) })
		},
	}
	f := c.Flags()
	place(f, &q.From, "from", "`place` of the transmitter: LAT,LON in degrees, degrees and minutes, or a locator")
	place(f, &q.To, "to", "`place` of the receiver")
	quantity(f, &when, "month", "month", "", "`month` as 2026-06 (default this one)", parseMonth)
	when = thisMonth()
	f.IntVar(&q.Day, "day", 0, "`day` of the month; 0 stands for its middle")
	optional(f, &q.UTC, "utc", "only this UTC hour, 0 to 24, may be fractional")
	optional(f, &q.SSN, "ssn", "index that drives every formula as given (default the embedded table's)")
	quantity(f, &q.Power, "power", "power", "100 W", "transmitter `power`", unit.ParsePower)
	quantity(f, &q.FreqMHz, "freq", "list", "", "frequencies in `MHz`, parted by commas", numbers)
	quantity(f, &q.Bandwidth, "bandwidth", "bandwidth", "3 kHz", "noise `bandwidth`", unit.ParseFreq)
	quantity(f, &q.NeedSNR, "need-snr", "ratio", "6 dB", "required `SNR` in the bandwidth", unit.ParseDB)
	f.StringVar(&q.Noise, "noise", q.Noise, "man-made noise at the receiver: city, residential, rural, quiet-rural")
	f.StringVar(&antennaText, "antenna", "isotropic", "`antenna` at the transmitter, see farhail antenna --help")
	f.StringVar(&farAntenna, "far-antenna", "isotropic", "`antenna` at the receiver")
	f.StringVar(&q.Reading, "reading", "field", "field (the product's) or strict (as printed)")
	f.StringVar(&q.Way, "way", "short", "short, long or best")
	f.StringVar(&q.Ground, "ground", "none", "ground wave: none, auto (coast lines), or a kind of ground")
	f.BoolVar(&lines, "jsonl", false, "one query a line on standard input, one answer a line")
	f.BoolVar(&q.SporadicE, "es", false, "add modes by sporadic E, unforecast, with their chance")
	f.BoolVar(&digital, "digital", false, "add the overall circuit reliability of a digital system, sky wave alone")
	quantity(f, &window.delay, "time-window", "span", "3 ms", "with --digital: `delay` the modem bears", unit.ParseDuration)
	quantity(f, &window.spread, "spread-window", "bandwidth", "2 Hz", "with --digital: Doppler `spread` the modem bears", unit.ParseFreq)
	quantity(f, &window.ratio, "ratio", "ratio", "10 dB", "with --digital: `ratio` at which a late mode disturbs", unit.ParseDB)
	return c
}

func printCircuit(w io.Writer, a *desk.CircuitAnswer) {
	fmt.Fprintf(w, "%.0f km %s way, bearing %s°, back %s°\n", a.Path.DistanceKm, a.Path.Way, desk.Bearing(a.Path.AzimuthDeg), desk.Bearing(a.Path.BackAzimuthDeg))
	if a.Note != "" {
		fmt.Fprintf(w, "note: %s\n", a.Note)
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(t, "utc\tbasic_muf_mhz\towf_mhz\tluf_mhz\tmhz\tmode\televation_deg\tfield_dbuvm\tnoise_dbw\tsnr_db\tsnr_lower_decile_db\tsnr_upper_decile_db\treliability\t")
	more := extraColumns(a)
	for _, c := range more {
		fmt.Fprint(t, c.name, "\t")
	}
	fmt.Fprintln(t)
	for _, h := range a.Hours {
		for i, f := range h.Frequencies {
			if i == 0 {
				fmt.Fprintf(t, "%g\t%.1f\t%.1f\t%s\t", h.UTC, h.BasicMUF, h.OWF, orDash(h.LUF, "%.1f"))
			} else {
				fmt.Fprint(t, "\t\t\t\t")
			}
			mode := "–"
			if f.Mode != nil {
				mode = *f.Mode
			}
			fmt.Fprintf(t, "%g\t%s\t%s\t%s\t%.0f\t%s\t%s\t%s\t%.2f\t", f.MHz, mode, orDash(f.Elevation, "%.0f"),
				orDash(f.Field, "%.0f"), f.Noise, orDash(f.SNR, "%.0f"), orDash(f.Lower, "%.0f"), orDash(f.Upper, "%.0f"), f.Reliability)
			for _, c := range more {
				fmt.Fprint(t, c.cell(&f), "\t")
			}
			fmt.Fprintln(t)
		}
	}
	t.Flush()
	for _, line := range append(a.FrequencyNotes(), a.FadingNotes()...) {
		fmt.Fprintln(w, line)
	}
}

// A column is one that only some questions ask for.
type column struct {
	name string
	cell func(f *desk.FrequencyAnswer) string
}

// extraColumns are those that some answer fills.
func extraColumns(a *desk.CircuitAnswer) (cs []column) {
	all := []column{
		{"way", func(f *desk.FrequencyAnswer) string { return cmp.Or(f.Way, "–") }},
		{"overall_reliability", func(f *desk.FrequencyAnswer) string { return orDash(f.Overall, "%.2f") }},
		{"ground_dbw", func(f *desk.FrequencyAnswer) string { return orDash(f.Ground, "%.0f") }},
		{"fading_region", func(f *desk.FrequencyAnswer) string { return cmp.Or(f.Fading, "–") }},
		{"sporadic_e", func(f *desk.FrequencyAnswer) string {
			var modes []string
			for _, e := range f.SporadicE {
				if e.Chance >= 0.005 {
					modes = append(modes, fmt.Sprintf("%s %.2f", e.Mode, e.Chance))
				}
			}
			return cmp.Or(strings.Join(modes, ", "), "–")
		}},
	}
	for _, c := range all {
		if slices.ContainsFunc(a.Hours, func(h desk.HourAnswer) bool {
			return slices.ContainsFunc(h.Frequencies, func(f desk.FrequencyAnswer) bool { return c.cell(&f) != "–" })
		}) {
			cs = append(cs, c)
		}
	}
	return cs
}

func orDash(v *float64, format string) string {
	if v == nil {
		return "–"
	}
	return fmt.Sprintf(format, *v)
}

// circuitLine answers one query of --jsonl.
func circuitLine(line []byte) (any, error) {
	var in struct {
		From      []float64 `json:"from"`
		To        []float64 `json:"to"`
		Month     string    `json:"month"`
		Day       int       `json:"day"`
		UTC       *float64  `json:"utc"`
		SSN       *float64  `json:"ssn"`
		PowerW    *float64  `json:"power_w"`
		FreqMHz   []float64 `json:"freq_mhz"`
		Bandwidth *float64  `json:"bandwidth_hz"`
		Need      *float64  `json:"need_snr_db"`
		Noise     string    `json:"noise"`
		Antenna   string    `json:"antenna"`
		Far       string    `json:"far_antenna"`
		Reading   string    `json:"reading"`
		Way       string    `json:"way"`
		Ground    string    `json:"ground"`
		SporadicE bool      `json:"es"`
	}
	if err := strict(line, &in); err != nil {
		return nil, err
	}
	if len(in.From) != 2 || len(in.To) != 2 {
		return nil, fmt.Errorf(`"from" and "to" are needed, each as [lat, lon]`)
	}
	m, err := parseMonth(in.Month)
	if err != nil {
		return nil, err
	}
	q := desk.CircuitQuery{
		From: earth.At(in.From[0], in.From[1]), To: earth.At(in.To[0], in.To[1]), Year: m.year, Month: m.month, Day: in.Day,
		UTC: in.UTC, SSN: in.SSN, FreqMHz: in.FreqMHz, Noise: in.Noise, Reading: in.Reading, Way: in.Way, Ground: in.Ground, SporadicE: in.SporadicE,
		Power: 100 * unit.Watt, Bandwidth: 3 * unit.KHz, NeedSNR: 6,
	}
	if in.PowerW != nil {
		q.Power = unit.Power(*in.PowerW)
	}
	if in.Bandwidth != nil {
		q.Bandwidth = unit.Freq(*in.Bandwidth)
	}
	if in.Need != nil {
		q.NeedSNR = unit.DB(*in.Need)
	}
	if q.Noise == "" {
		q.Noise = "residential"
	}
	if q.Tx, err = desk.ParseAntenna(in.Antenna); err != nil {
		return nil, err
	}
	if q.Rx, err = desk.ParseAntenna(in.Far); err != nil {
		return nil, err
	}
	return desk.PredictCircuit(q)
}

// strict decodes one JSON object and refuses names it does not know.
func strict(line []byte, v any) error {
	d := json.NewDecoder(newReader(line))
	d.DisallowUnknownFields()
	err := d.Decode(v)
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &kind) && kind.Field != "":
		return fmt.Errorf("not a query: %q cannot be a JSON %s", kind.Field, kind.Value)
	case errors.As(err, &kind):
		return fmt.Errorf("not a query: a JSON %s where an object {…} belongs", kind.Value)
	case err != nil:
		return fmt.Errorf("not a query: %w", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("not a query: more than one JSON object on the line")
	}
	return nil
}
