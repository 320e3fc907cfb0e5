package desk

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"farhail/station"
)

// A NewStation is a far station as first written down: the rest stands in its file, or
// takes what is usual.
type NewStation struct {
	Name, Call, Position string
	Frequencies          string // with units, parted by commas: "8.43 MHz, 12.59 MHz"
	Waveforms            string // parted by commas
}

// AddStation writes a station at the end of stations.toml. What stands there already is
// not touched; nothing is written when the new station cannot be read back.
func AddStation(_ context.Context, dir string, n NewStation) ([]FaultLine, error) {
	path := filepath.Join(dir, StationsFile)
	src, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("read far stations: %w", err)
	}
	var b strings.Builder
	b.Write(src)
	if len(src) > 0 && src[len(src)-1] != '\n' {
		b.WriteByte('\n')
	}
	line := func(key, value string) {
		if value = strings.TrimSpace(value); value != "" {
			fmt.Fprintf(&b, "%s = %s\n", key, quoted(value))
		}
	}
	b.WriteString("\n[[station]]\n")
	line("name", n.Name)
	line("call", n.Call)
	line("position", n.Position)
	for _, f := range strings.Split(n.Frequencies, ",") {
		if f = strings.TrimSpace(f); f == "" {
			continue
		}
		if !strings.ContainsAny(f, " zZ") {
			f += " MHz"
		}
		b.WriteString("\n[[station.channel]]\n")
		line("frequency", f)
		var waves []string
		for _, w := range strings.FieldsFunc(n.Waveforms, func(r rune) bool { return r == ',' || r == ' ' }) {
			waves = append(waves, quoted(w))
		}
		fmt.Fprintf(&b, "waveforms = [%s]\n", strings.Join(waves, ", "))
	}
	out := []byte(b.String())
	_, err = station.ParseDirectory(path, out)
	return keep(path, out, err)
}

// A NewPermit is what a licence allows in one segment, as first written down.
type NewPermit struct{ From, To, Bandwidth, Power string }

// AddPermit writes a permit at the end of the home file, under the same terms.
func AddPermit(_ context.Context, dir string, n NewPermit) ([]FaultLine, error) {
	path := filepath.Join(dir, HomeFile)
	src, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("read home station: %w", err)
	}
	var b strings.Builder
	b.Write(src)
	if len(src) > 0 && src[len(src)-1] != '\n' {
		b.WriteByte('\n')
	}
	b.WriteString("\n[[permit]]\n")
	for _, x := range []struct{ key, value, unit string }{{"from", n.From, "MHz"}, {"to", n.To, "MHz"}, {"bandwidth", n.Bandwidth, "kHz"}, {"power", n.Power, "W"}} {
		v := strings.TrimSpace(x.value)
		if v != "" && !strings.ContainsAny(v, " zW") {
			v += " " + x.unit
		}
		fmt.Fprintf(&b, "%s = %s\n", x.key, quoted(v))
	}
	out := []byte(b.String())
	_, err = station.ParseHome(path, out)
	return keep(path, out, err)
}

// keep writes a file that could be read back, else tells its faults.
func keep(path string, b []byte, err error) ([]FaultLine, error) {
	var faults station.Faults
	switch {
	case err == nil:
		return nil, replaceFile(path, b)
	case !errors.As(err, &faults):
		return nil, err
	}
	var lines []FaultLine
	for _, f := range faults {
		lines = append(lines, FaultLine{f.File, f.Line, f.Field, f.Problem, f.Hint, f.Severity.String(), f.Error()})
	}
	return lines, nil
}

// quoted writes a text as a TOML string.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
