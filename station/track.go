package station

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"farhail/hf/earth"
)

// Track is where a station that moves will be: places in order of time.
type Track struct {
	Name  string // as the file gives it, may be empty
	fixes []Fix
}

// Fix is a place at a moment.
type Fix struct {
	At    time.Time
	Place earth.Point
	Rhumb bool // the way here from the fix before keeps one course; else it is a great circle
}

// Fixes returns the places that the file names, and those between whose times follow
// from it.
func (t *Track) Fixes() []Fix { return slices.Clone(t.fixes) }

// Span returns the first and the last moment of the track.
func (t *Track) Span() (from, to time.Time) {
	if len(t.fixes) == 0 {
		return from, to
	}
	return t.fixes[0].At, t.fixes[len(t.fixes)-1].At
}

// At returns where the station is at a moment: between two fixes on the leg, at an even
// speed. Before the first and after the last fix it lies there, and ok is false.
func (t *Track) At(at time.Time) (p earth.Point, ok bool) {
	n := len(t.fixes)
	if n == 0 {
		return p, false
	}
	i, exact := slices.BinarySearchFunc(t.fixes, at, func(f Fix, at time.Time) int { return f.At.Compare(at) })
	switch {
	case exact:
		return t.fixes[i].Place, true
	case i == 0:
		return t.fixes[0].Place, false
	case i == n:
		return t.fixes[n-1].Place, false
	}
	a, b := &t.fixes[i-1], &t.fixes[i]
	share := float64(at.Sub(a.At)) / float64(b.At.Sub(a.At))
	return leg{a.Place, b.Place, b.Rhumb}.at(share), true
}

// maxTrack bounds what is read: a fix a second for a day is about 9 MB of GPX.
const maxTrack = 10_000_000

// ParseTrack reads a track by the ending of its file's name: .gpx, .rtz or .csv. The
// error is Faults; with any there is no track.
func ParseTrack(file string, src []byte) (*Track, error) {
	switch ext := strings.ToLower(filepath.Ext(file)); ext {
	case ".gpx":
		return ParseGPX(file, src)
	case ".rtz":
		return ParseRTZ(file, src)
	case ".csv":
		return ParseTrackCSV(file, src)
	default:
		return nil, Faults{{File: file, Problem: fmt.Sprintf("%q is not a kind of track", ext), Hint: "give a .gpx, .rtz or .csv file"}}
	}
}

// trackFile is a track being read.
type trackFile struct {
	d      *document
	name   string
	pieces []piece
}

// piece is a run of fixes that belong together: a track's segment, a route.
type piece struct {
	at    int // offset in the file
	what  string
	fixes []placed
}

// placed is a fix that still knows where it stands in the file.
type placed struct {
	Fix
	at    int
	field string
}

// maxTrackFaults is how many faults of one file are told: behind twenty the rest is more
// of the same.
const maxTrackFaults = 20

func newTrackFile(file string, src []byte) (*trackFile, error) {
	if len(src) > maxTrack {
		return nil, Faults{{File: file, Problem: fmt.Sprintf("the file has %d bytes", len(src)), Hint: fmt.Sprintf("thin it out or cut off what is past; at most %d are read", maxTrack)}}
	}
	return &trackFile{d: newDocument(file, src)}, nil
}

func (f *trackFile) fault(at int, field, problem, hint string) {
	if len(f.d.faults) < maxTrackFaults {
		f.d.fault(at, field, problem, hint)
	}
}

// track puts the pieces in order of time; hint is what to do when there are none.
func (f *trackFile) track(hint string) (*Track, error) {
	for i := range f.pieces {
		f.rising(&f.pieces[i])
	}
	f.pieces = slices.DeleteFunc(f.pieces, func(p piece) bool { return len(p.fixes) == 0 })
	if len(f.pieces) == 0 && len(f.d.faults) == 0 {
		f.d.faults = Faults{{File: f.d.file, Problem: "there is no point in the file", Hint: hint}}
	}
	if len(f.d.faults) > 0 {
		return nil, f.d.faults.sorted()
	}
	slices.SortStableFunc(f.pieces, func(a, b piece) int { return a.fixes[0].At.Compare(b.fixes[0].At) })
	t := &Track{Name: f.name}
	for i, p := range f.pieces {
		first := p.fixes[0]
		if i > 0 {
			before := &f.pieces[i-1]
			if _, end := t.Span(); !first.At.After(end) {
				f.fault(first.at, first.field, fmt.Sprintf("%s begins at %s, before the %s of line %d ends", p.what, moment(first.At), before.what, f.d.place(before.at).Line), "take one of the two out")
				return nil, f.d.faults
			}
		}
		for _, x := range p.fixes {
			t.fixes = append(t.fixes, x.Fix)
		}
	}
	return t, nil
}

// rising faults times that do not rise. The same fix written twice is taken once.
func (f *trackFile) rising(p *piece) {
	kept := p.fixes[:0]
	for _, x := range p.fixes {
		if n := len(kept); n > 0 {
			last := &kept[n-1]
			switch {
			case x.At.Equal(last.At) && x.Place == last.Place:
				continue
			case x.At.Equal(last.At):
				f.fault(x.at, x.field, fmt.Sprintf("is at another place than the point before at the same time, %s", moment(x.At)), "correct one of the two times")
				continue
			case x.At.Before(last.At):
				f.fault(x.at, x.field, fmt.Sprintf("time runs backwards, from %s to %s", moment(last.At), moment(x.At)), "put the points in order of time or correct one of the two")
				continue
			}
		}
		kept = append(kept, x)
	}
	p.fixes = kept
}

// moment writes a time to the second.
func moment(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05Z") }
