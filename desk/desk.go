// Package desk has one method for each thing an operator does: it loads, asks the pure
// packages, and saves.
//
// A station's folder holds home.toml (who we are), stations.toml and any
// stations/*.toml or *.csv beside it (whom we may call), and farhail.db (traffic, log,
// bulletins). The files are the operator's; the desk never writes to them unasked.
package desk

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
	"farhail/hf/noise"
	"farhail/modem"
	"farhail/station"
	"farhail/store"
	"farhail/unit"
)

// Names of the files in a station's folder.
const (
	HomeFile     = "home.toml"
	StationsFile = "stations.toml"
	stationsDir  = "stations"
	StoreFile    = "farhail.db"
)

// clockSetting, when kept, is the moment a demo world stands still at.
const clockSetting = "clock"

// A Desk is one station's folder, open.
type Desk struct {
	Dir       string
	Home      *station.Home
	Directory *station.Directory
	DB        *store.DB
	Track     *station.Track // nil: the home stays where it is
	clock     time.Time      // zero: the computer's
	cuts      *cutter
}

// Folder returns where the station's files are when nothing is said: $FARHAIL_DIR, else
// $XDG_DATA_HOME/farhail, else ~/.local/share/farhail.
func Folder(getenv func(string) string) (string, error) {
	if d := getenv("FARHAIL_DIR"); d != "" {
		return d, nil
	}
	if d := getenv("XDG_DATA_HOME"); d != "" {
		return filepath.Join(d, "farhail"), nil
	}
	if d := getenv("HOME"); d != "" {
		return filepath.Join(d, ".local", "share", "farhail"), nil
	}
	if d, err := os.UserConfigDir(); err == nil {
		return filepath.Join(d, "farhail"), nil
	}
	return "", &MissingError{"no folder for the station's files: neither FARHAIL_DIR, XDG_DATA_HOME nor HOME is set", "give one with --dir"}
}

// Open reads a station's folder. A missing store is made; a missing home is not.
func Open(ctx context.Context, dir string) (*Desk, error) {
	d := &Desk{Dir: dir, cuts: &cutter{}}
	home, err := readHome(dir)
	if err != nil {
		return nil, err
	}
	d.Home = home
	if d.Track, err = readTrack(dir, home); err != nil {
		return nil, err
	}
	if d.Directory, err = readDirectory(dir); err != nil {
		return nil, err
	}
	if err := serious(checked(d.Home, d.Directory)); err != nil {
		return nil, err
	}
	if err := d.openStore(ctx); err != nil {
		return nil, err
	}
	return d, nil
}

func (d *Desk) openStore(ctx context.Context) error {
	path := filepath.Join(d.Dir, StoreFile)
	db, err := store.Open(ctx, path)
	var fe *store.FileError
	if errors.As(err, &fe) && fe.Trouble == store.Missing {
		db, err = store.Create(ctx, path)
	}
	if err != nil {
		return err
	}
	d.DB = db
	if s, ok, err := db.Setting(ctx, clockSetting); err != nil {
		db.Close()
		return err
	} else if ok {
		if d.clock, err = time.Parse(time.RFC3339, s); err != nil {
			db.Close()
			return &InputError{fmt.Sprintf("the store's clock %q is not a time", s), "make the demo world anew"}
		}
	}
	return nil
}

// Close closes the store.
func (d *Desk) Close() error { return d.DB.Close() }

// Now is the moment the desk works at: the computer's clock, or the demo world's.
func (d *Desk) Now() time.Time {
	if !d.clock.IsZero() {
		return d.clock
	}
	return time.Now().UTC()
}

// Demo reports whether the clock stands still.
func (d *Desk) Demo() bool { return !d.clock.IsZero() }

func readHome(dir string) (*station.Home, error) {
	path := filepath.Join(dir, HomeFile)
	b, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &MissingError{"no home station in " + dir + ": " + HomeFile + " is not there",
			"make a starting set with farhail init, try farhail demo, or name another folder with --dir"}
	}
	if err != nil {
		return nil, fmt.Errorf("read home station: %w", err)
	}
	return station.ParseHome(path, b)
}

// readTrack reads the track the home file names.
func readTrack(dir string, h *station.Home) (*station.Track, error) {
	if h.Track == "" {
		return nil, nil
	}
	path := h.Track
	if !filepath.IsAbs(path) {
		path = filepath.Join(dir, path)
	}
	b, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &MissingError{fmt.Sprintf("the home file's track %q is not there", path), "put it beside home.toml, or take the key away"}
	}
	if err != nil {
		return nil, fmt.Errorf("read track: %w", err)
	}
	return station.ParseTrack(path, b)
}

// At is where the home is at a time: along its track, else where the home file says.
// Before the track begins and after it ends, its ends.
func (d *Desk) At(t time.Time) earth.Point {
	if d.Track == nil {
		return d.Home.Position
	}
	p, _ := d.Track.At(t)
	return p
}

// readDirectory reads stations.toml and what lies in stations/, in order of name.
func readDirectory(dir string) (*station.Directory, error) {
	files, err := directoryFiles(dir)
	if err != nil {
		return nil, err
	}
	if len(files) == 0 {
		return nil, &MissingError{"no far stations in " + dir + ": " + StationsFile + " is not there",
			"make a starting set with farhail init, or write one: docs/format.md shows how"}
	}
	var parts []*station.Directory
	var faults station.Faults
	for _, path := range files {
		b, err := os.ReadFile(path)
		if err != nil {
			return nil, fmt.Errorf("read far stations: %w", err)
		}
		parse := station.ParseDirectory
		if strings.EqualFold(filepath.Ext(path), ".csv") {
			parse = station.ParseDirectoryCSV
		}
		part, err := parse(path, b)
		var f station.Faults
		switch {
		case errors.As(err, &f):
			faults = append(faults, f...)
		case err != nil:
			return nil, err
		default:
			parts = append(parts, part)
		}
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return station.Join(parts...)
}

func directoryFiles(dir string) ([]string, error) {
	var files []string
	if p := filepath.Join(dir, StationsFile); exists(p) {
		files = append(files, p)
	}
	more, err := os.ReadDir(filepath.Join(dir, stationsDir))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read far stations: %w", err)
	}
	for _, e := range more {
		if x := strings.ToLower(filepath.Ext(e.Name())); !e.IsDir() && (x == ".toml" || x == ".csv") {
			files = append(files, filepath.Join(dir, stationsDir, e.Name()))
		}
	}
	return files, nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// serious keeps the faults nothing may be used with.
func serious(faults []station.Fault) error {
	var out station.Faults
	for _, f := range faults {
		if f.Severity == station.Error {
			out = append(out, f)
		}
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

// ParseTime reads a moment: 2026-11-25T17:38Z, 2026-11-25 17:38, or 17:38 of the day of
// another moment. All UTC.
func ParseTime(s string, day time.Time) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z", "2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02"} {
		if t, err := time.Parse(layout, s); err == nil {
			return t.UTC(), nil
		}
	}
	for _, layout := range []string{"15:04Z", "15:04"} {
		if t, err := time.Parse(layout, s); err == nil {
			y, m, dd := day.UTC().Date()
			return time.Date(y, m, dd, t.Hour(), t.Minute(), 0, 0, time.UTC), nil
		}
	}
	return time.Time{}, &InputError{fmt.Sprintf("%q is not a time", s), "write it in UTC, like 2026-11-25T17:38Z or 17:38"}
}

// A CheckAnswer is what `farhail check` found.
type CheckAnswer struct {
	Files  []string    `json:"files"`
	Faults []FaultLine `json:"faults"`
	Store  string      `json:"store"`
	Sound  bool        `json:"sound"`
}

// FaultLine is a fault as printed.
type FaultLine struct {
	File     string `json:"file"`
	Line     int    `json:"line"`
	Field    string `json:"field"`
	Problem  string `json:"problem"`
	Hint     string `json:"hint"`
	Severity string `json:"severity"`
	Text     string `json:"-"`
}

// Check verifies all files and the store of a folder, and collects every fault.
func Check(ctx context.Context, dir string) (*CheckAnswer, error) {
	a := &CheckAnswer{Faults: []FaultLine{}}
	add := func(faults station.Faults) {
		for _, f := range faults {
			a.Faults = append(a.Faults, FaultLine{f.File, f.Line, f.Field, f.Problem, f.Hint, f.Severity.String(), f.Error()})
		}
	}
	collect := func(err error) error {
		var f station.Faults
		if errors.As(err, &f) {
			add(f)
			return nil
		}
		return err
	}
	home, err := readHome(dir)
	if err := collect(err); err != nil {
		return nil, err
	}
	a.Files = append(a.Files, filepath.Join(dir, HomeFile))
	if home != nil && home.Track != "" {
		if _, err := readTrack(dir, home); collect(err) != nil {
			return nil, err
		}
		a.Files = append(a.Files, filepath.Join(dir, home.Track))
	}
	directory, err := readDirectory(dir)
	if err := collect(err); err != nil {
		return nil, err
	}
	files, err := directoryFiles(dir)
	if err != nil {
		return nil, err
	}
	a.Files = append(a.Files, files...)
	if home != nil && directory != nil {
		add(checked(home, directory))
	}
	a.Store = "none yet"
	path := filepath.Join(dir, StoreFile)
	if exists(path) {
		db, err := store.Open(ctx, path)
		if err != nil {
			return nil, err
		}
		defer db.Close()
		r, err := db.Check(ctx)
		if err != nil {
			return nil, err
		}
		a.Files = append(a.Files, path)
		a.Store = fmt.Sprintf("%d messages, %d log entries", r.Messages, r.Entries)
		for _, p := range r.Problems {
			a.Faults = append(a.Faults, FaultLine{File: path, Problem: p, Severity: station.Error.String(), Text: path + ": " + p})
		}
	}
	a.Sound = !slices.ContainsFunc(a.Faults, func(f FaultLine) bool { return f.Severity == station.Error.String() })
	return a, nil
}

// checked holds the files against each other, and the noise that was read off the
// receiver against the receiver's own.
func checked(h *station.Home, d *station.Directory) station.Faults {
	faults := station.Check(h, d, width, modem.Names())
	env, err := noise.ParseEnvironment(string(h.Noise.Environment))
	if err != nil {
		return faults
	}
	home, err := forecast.NewAerial(h.Antenna, h.FeederLoss, h.NoiseFigure)
	if err != nil {
		return faults
	}
	var bad *forecast.NoiseError
	if _, err := forecast.SiteNoise(h.Noise, env, home); errors.As(err, &bad) {
		at, _ := h.Where("noise.measured")
		faults = append(faults, station.Fault{File: at.File, Line: at.Line, Col: at.Col, Field: fmt.Sprintf("noise.measured[%d]", bad.Entry), Problem: bad.Err.Error(),
			Hint: "read it with the antenna connected, or correct receiver.noise_figure"})
	}
	return faults
}

// width is how wide a waveform of the library is.
func width(waveform string) (unit.Freq, bool) {
	w, err := modem.ByName(waveform)
	return w.Bandwidth, err == nil
}
