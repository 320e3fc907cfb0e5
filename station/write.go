package station

import (
	"math"
	"strconv"
	"strings"
	"time"

	"farhail/hf/earth"
	"farhail/unit"
)

// writer puts TOML together.
type writer struct{ b strings.Builder }

func (w *writer) line(s string) { w.b.WriteString(s + "\n") }

func (w *writer) note(lines ...string) {
	for _, l := range lines {
		if l == "" {
			w.line("")
		} else {
			w.line("# " + l)
		}
	}
}

func (w *writer) section(name string, notes ...string) {
	w.line("")
	w.note(notes...)
	w.line("[" + name + "]")
}

func (w *writer) key(key, value, note string) {
	if note != "" {
		value += "  # " + note
	}
	w.line(key + " = " + value)
}

func (w *writer) text(key, value string) { w.key(key, quote(value), "") }

func (w *writer) optional(key, value string) {
	if value != "" {
		w.text(key, value)
	}
}

func (w *writer) number(key string, v float64) {
	w.line(key + " = " + strconv.FormatFloat(v, 'f', -1, 64))
}

func (w *writer) list(key string, values []string) {
	quoted := make([]string, len(values))
	for i, v := range values {
		quoted[i] = quote(v)
	}
	w.line(key + " = [" + strings.Join(quoted, ", ") + "]")
}

// quote writes a TOML text of one line.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

// list writes spans as a file has them.
func (a Spans) list() []string {
	if a.Minutes() == dayMin {
		return []string{"00:00-24:00"}
	}
	return a.clauses()
}

func positionText(p earth.Point) string {
	part := func(deg float64, plus, minus string) string {
		side := plus
		if deg < 0 {
			side = minus
		}
		return strconv.FormatFloat(math.Round(math.Abs(deg)*1e6)/1e6, 'f', -1, 64) + side
	}
	return part(p.Lat.Deg(), "N", "S") + " " + part(p.Lon.Deg(), "E", "W")
}

// freqScales offers kHz below the HF range, where bandwidths lie, and MHz above.
func freqScales(f unit.Freq) []scale {
	switch {
	case f >= unit.MHz:
		return []scale{{"MHz", 1e6}, {"Hz", 1}}
	case f >= unit.KHz:
		return []scale{{"kHz", 1e3}, {"Hz", 1}}
	}
	return []scale{{"Hz", 1}}
}

func dbText(v unit.DB) string { return exactly(v, unit.ParseDB, scale{"dB", 1}) }

func shareText(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e8)/1e6, 'f', -1, 64) + " %"
}

func durationText(d time.Duration) string {
	for _, u := range []struct {
		name string
		of   time.Duration
	}{{"h", time.Hour}, {"min", time.Minute}, {"s", time.Second}} {
		if d%u.of == 0 {
			return strconv.FormatInt(int64(d/u.of), 10) + " " + u.name
		}
	}
	return strconv.FormatFloat(d.Seconds(), 'f', -1, 64) + " s"
}

// String writes the level as a file has it.
func (n NoiseLevel) String() string {
	level := n.Meter
	if level == "" {
		level = strconv.FormatFloat(math.Round((float64(n.Level)+30)*1e6)/1e6, 'f', -1, 64) + " dBm"
	}
	s := level + " in " + freqText(n.In)
	if n.At > 0 {
		s += " at " + freqText(n.At)
	}
	return s
}
