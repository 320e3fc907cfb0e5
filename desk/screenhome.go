package desk

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"farhail/hf/antenna"
	"farhail/station"
	"farhail/unit"
)

// A HomeForm is the home file as a form: the file stays the truth.
type HomeForm struct {
	Path    string      `json:"path"`
	Version string      `json:"version"` // of the file's bytes; a save names the one it was made from
	Antenna string      `json:"antenna"` // its kind; another kind has other keys: change it in the file
	Fields  []HomeField `json:"fields"`
}

// A HomeField is one value of the file.
type HomeField struct {
	Path   string   `json:"path"` // battery.charge
	Group  string   `json:"group"`
	Label  string   `json:"label"`
	Value  string   `json:"value"` // without its unit
	Unit   string   `json:"unit,omitempty"`
	Choice []string `json:"choice,omitempty"`
	Line   int      `json:"line,omitempty"`
}

// fields of the form in order; a key the file does not have is left out.
var homeFields = []HomeField{
	{Path: "station.name", Group: "Station", Label: "Name"},
	{Path: "station.call", Group: "Station", Label: "Call sign"},
	{Path: "station.position", Group: "Station", Label: "Position"},
	{Path: "transmitter.power", Group: "Transmitter", Label: "Power"},
	{Path: "consumption.transmit", Group: "Transmitter", Label: "Draws while sending"},
	{Path: "consumption.duty", Group: "Transmitter", Label: "Sending, part of a call"},
	{Path: "antenna.height", Group: "Antenna and noise", Label: "Height"},
	{Path: "antenna.top", Group: "Antenna and noise", Label: "Upper end"},
	{Path: "antenna.length", Group: "Antenna and noise", Label: "Length"},
	{Path: "antenna.apex", Group: "Antenna and noise", Label: "Angle at the apex"},
	{Path: "antenna.bearing", Group: "Antenna and noise", Label: "Runs toward"},
	{Path: "antenna.ground", Group: "Antenna and noise", Label: "Over", Choice: strings.Split(groundNames(), ", ")},
	{Path: "antenna.tuner_loss", Group: "Antenna and noise", Label: "Lost in the tuner"},
	{Path: "antenna.feeder_loss", Group: "Antenna and noise", Label: "Lost in the feeder"},
	{Path: "receiver.noise_figure", Group: "Antenna and noise", Label: "Receiver's noise figure"},
	{Path: "noise.environment", Group: "Antenna and noise", Label: "What stands around", Choice: []string{"city", "residential", "rural", "quiet-rural"}},
	{Path: "noise.measured", Group: "Antenna and noise", Label: "Noise read off the receiver"},
	{Path: "battery.voltage", Group: "Energy", Label: "Battery, volts"},
	{Path: "battery.capacity", Group: "Energy", Label: "Battery"},
	{Path: "battery.charge", Group: "Energy", Label: "In it now"},
	{Path: "battery.reserve", Group: "Energy", Label: "Never below"},
	{Path: "consumption.receive", Group: "Energy", Label: "Radio listening"},
	{Path: "consumption.other", Group: "Energy", Label: "All else aboard"},
	{Path: "solar.panels", Group: "Energy", Label: "Solar panels"},
	{Path: "solar.each", Group: "Energy", Label: "Each gives"},
	{Path: "watch.hours", Group: "Watch hours", Label: "Somebody is at the radio, UTC"},
}

func (d *Desk) homePath() string { return filepath.Join(d.Dir, HomeFile) }

// HomeForm reads the home file into a form.
func (d *Desk) HomeForm(context.Context) (*HomeForm, error) {
	src, err := os.ReadFile(d.homePath())
	if err != nil {
		return nil, fmt.Errorf("read home station: %w", err)
	}
	return formOf(d.homePath(), d.Home, src)
}

func formOf(path string, h *station.Home, src []byte) (*HomeForm, error) {
	var tree map[string]any
	if err := toml.Unmarshal(src, &tree); err != nil {
		return nil, &InputError{path + ": " + err.Error(), "correct the file by hand"}
	}
	f := &HomeForm{Path: path, Version: version(src), Antenna: string(h.Antenna.Kind), Fields: []HomeField{}}
	for _, x := range homeFields {
		section, key, _ := strings.Cut(x.Path, ".")
		table, _ := tree[section].(map[string]any)
		v, ok := table[key]
		if !ok {
			continue
		}
		if at, ok := h.Where(x.Path); ok {
			x.Line = at.Line
		}
		x.Value, x.Unit = shown(v, x.Choice != nil || section == "station" || section == "noise")
		f.Fields = append(f.Fields, x)
	}
	return f, nil
}

func version(src []byte) string { return fmt.Sprintf("%x", sha256.Sum256(src))[:16] }

// shown splits a value of the file into what is typed and its unit.
func shown(v any, whole bool) (value, unit string) {
	switch x := v.(type) {
	case string:
		number, u, ok := strings.Cut(x, " ")
		if whole || !ok {
			return x, ""
		}
		return number, u
	case []any:
		var parts []string
		for _, p := range x {
			parts = append(parts, fmt.Sprint(p))
		}
		return strings.Join(parts, ", "), ""
	}
	return fmt.Sprint(v), ""
}

// A HomeEdit changes values of the home file, by path; texts as typed, without the unit.
type HomeEdit struct {
	Version string            `json:"version"`
	Values  map[string]string `json:"values"`
}

// A HomeTrial is a home as an edit would make it, or what is wrong with it.
type HomeTrial struct {
	Home   *station.Home
	Faults []FaultLine
	src    []byte
}

// TryHome applies an edit without writing anything.
func (d *Desk) TryHome(ctx context.Context, e HomeEdit) (*HomeTrial, error) {
	src, err := os.ReadFile(d.homePath())
	if err != nil {
		return nil, fmt.Errorf("read home station: %w", err)
	}
	if e.Version != version(src) {
		return nil, &InputError{"the home file has been changed by somebody else since this form was read", "look at it again, then repeat the change"}
	}
	form, err := formOf(d.homePath(), d.Home, src)
	if err != nil {
		return nil, err
	}
	t := &HomeTrial{src: src, Faults: []FaultLine{}}
	for _, f := range form.Fields {
		v, ok := e.Values[f.Path]
		if !ok || v == f.Value {
			continue
		}
		text, err := written(f, v, src)
		if err == nil {
			t.src, err = station.SetValue(t.src, f.Path, text)
		}
		if err != nil {
			t.Faults = append(t.Faults, FaultLine{File: form.Path, Line: f.Line, Field: f.Path, Problem: err.Error(), Severity: station.Error.String()})
		}
	}
	if len(t.Faults) > 0 {
		return t, nil
	}
	home, err := station.ParseHome(form.Path, t.src)
	var faults station.Faults
	if err != nil && !errors.As(err, &faults) {
		return nil, err
	}
	if err == nil {
		for _, f := range checked(home, d.Directory) {
			if f.Severity == station.Error {
				faults = append(faults, f)
			}
		}
	}
	for _, f := range faults {
		t.Faults = append(t.Faults, FaultLine{f.File, f.Line, f.Field, f.Problem, f.Hint, f.Severity.String(), f.Error()})
	}
	if len(t.Faults) == 0 {
		t.Home = home
	}
	return t, nil
}

// SaveHome writes an edit into the home file: values in place, comments kept. Nothing is
// written while a fault stands.
func (d *Desk) SaveHome(ctx context.Context, e HomeEdit) (*HomeTrial, error) {
	t, err := d.TryHome(ctx, e)
	if err != nil || len(t.Faults) > 0 {
		return t, err
	}
	return t, replaceFile(d.homePath(), t.src)
}

// replaceFile writes beside the file and moves it there, so that a power cut leaves the
// old one or the new one.
func replaceFile(path string, b []byte) error {
	mode := os.FileMode(0o644)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	tmp, err := os.CreateTemp(filepath.Dir(path), ".home-*")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(b)
	for _, step := range []func() error{func() error { return tmp.Chmod(mode) }, tmp.Sync, tmp.Close} {
		if e := step(); err == nil {
			err = e
		}
	}
	if err == nil {
		err = os.Rename(tmp.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return nil
}

// written turns what was typed into TOML of the same kind as the file has.
func written(f HomeField, typed string, src []byte) (string, error) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return "", fmt.Errorf("nothing was given")
	}
	var tree map[string]any
	if err := toml.Unmarshal(src, &tree); err != nil {
		return "", err
	}
	section, key, _ := strings.Cut(f.Path, ".")
	table, _ := tree[section].(map[string]any)
	switch table[key].(type) {
	case []any:
		var parts []string
		for _, p := range strings.Split(typed, ",") {
			if p = strings.TrimSpace(p); p != "" {
				parts = append(parts, quoted(p))
			}
		}
		return "[" + strings.Join(parts, ", ") + "]", nil
	case string:
		if f.Unit != "" && !strings.ContainsAny(typed, " %") {
			typed += " " + f.Unit
		}
		return quoted(typed), nil
	}
	if strings.ContainsAny(typed, "\"'\n") {
		return "", fmt.Errorf("%q is not a number", typed)
	}
	return typed, nil
}

// HomePatterns draws an antenna's elevation cut toward a bearing at some frequencies.
func HomePatterns(h *station.Home, azDeg float64, fMHz []float64) ([]antenna.Drawing, error) {
	var out []antenna.Drawing
	for _, f := range slices.Compact(slices.Sorted(slices.Values(fMHz))) {
		p, err := antenna.Solve(h.Antenna, unit.Freq(f)*unit.MHz)
		if err != nil {
			return nil, &InputError{err.Error(), "change the antenna"}
		}
		out = append(out, p.Drawing(azDeg, 0))
	}
	return out, nil
}
