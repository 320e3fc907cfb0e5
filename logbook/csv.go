package logbook

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"farhail/hf/earth"
	"farhail/unit"
)

// Columns of the CSV form. Times are ISO 8601 in UTC with Z; an empty cell means
// not known. A struck entry has struck_by and struck_why; a strike has strikes.
var Columns = []string{
	"no", "id", "kind", "at", "written", "station", "mhz", "waveform", "outcome",
	"bytes_out", "bytes_in", "minutes", "snr_out_db", "snr_in_db", "power_w", "lat_deg", "lon_deg", "delivered",
	"promised_chance", "promised_bytes", "index", "index_value", "strikes", "struck_by", "struck_why", "remark",
}

// WriteCSV writes every row of the book, struck ones too, as RFC 4180 CSV with a
// header line.
func WriteCSV(w io.Writer, b *Book) error {
	out := csv.NewWriter(w)
	if err := out.Write(Columns); err != nil {
		return fmt.Errorf("write log as CSV: %w", err)
	}
	for _, r := range b.Rows() {
		if err := out.Write(r.cells()); err != nil {
			return fmt.Errorf("write log entry %q as CSV: %w", r.ID, err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write log as CSV: %w", err)
	}
	return nil
}

func (r Row) cells() []string {
	c := cells{}
	c.add("no", strconv.Itoa(r.No))
	c.add("id", guard(r.ID))
	c.add("kind", r.Kind())
	c.add("at", iso(r.At))
	c.add("written", iso(r.Written))
	if r.Struck != nil {
		c.add("struck_by", guard(r.Struck.ID))
		c.add("struck_why", guard(r.Struck.Strike.Reason))
	}
	switch {
	case r.Attempt != nil:
		c.attempt(r.Attempt)
	case r.Listening != nil:
		c.listening(r.Listening)
	default:
		c.add("strikes", guard(r.Strike.Of))
		c.add("remark", guard(r.Strike.Reason))
	}
	row := make([]string, len(Columns))
	for i, name := range Columns {
		row[i] = c[name]
	}
	return row
}

type cells map[string]string

func (c cells) add(column, text string) { c[column] = text }

func (c cells) attempt(a *Attempt) {
	c.add("station", guard(a.Station))
	c.add("mhz", mhz(a.Freq))
	c.add("waveform", guard(a.Waveform))
	c.add("outcome", string(a.Outcome))
	c.add("bytes_out", strconv.FormatInt(int64(a.Out), 10))
	c.add("bytes_in", strconv.FormatInt(int64(a.In), 10))
	c.add("minutes", number(a.Took.Minutes()))
	c.ratio("snr_out_db", a.SNROut)
	c.ratio("snr_in_db", a.SNRIn)
	if a.Power > 0 {
		c.add("power_w", number(a.Power.W()))
	}
	c.place(a.Position)
	c.add("delivered", guard(strings.Join(a.Delivered, " ")))
	c.promised(a.Promised)
	c.add("remark", guard(a.Remark))
}

func (c cells) listening(l *Listening) {
	c.add("station", guard(l.Station))
	c.add("mhz", mhz(l.Freq))
	c.add("outcome", string(l.Heard))
	c.ratio("snr_in_db", l.SNR)
	c.place(l.Position)
	c.promised(l.Promised)
	c.add("remark", guard(l.Remark))
}

func (c cells) ratio(column string, x *unit.DB) {
	if x != nil {
		c.add(column, number(float64(*x)))
	}
}

// place writes degrees to 10 cm; more digits would only be rounding noise.
func (c cells) place(p *earth.Point) {
	if p != nil {
		c.add("lat_deg", strconv.FormatFloat(p.Lat.Deg(), 'f', 6, 64))
		c.add("lon_deg", strconv.FormatFloat(p.Lon.Deg(), 'f', 6, 64))
	}
}

func (c cells) promised(f *Forecast) {
	if f == nil {
		return
	}
	c.add("promised_chance", number(f.Chance))
	c.add("promised_bytes", strconv.FormatInt(int64(f.Bytes), 10))
	if f.Index != "" {
		c.add("index", guard(f.Index))
		c.add("index_value", number(f.Value))
	}
}

func iso(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.999Z07:00") }

// guard keeps a text cell from being run as a formula by the spreadsheet that
// opens it: an apostrophe before = + - @ (common practice). Numbers need none.
func guard(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
