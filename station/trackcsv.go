package station

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"farhail/hf/earth"
)

// ParseTrackCSV reads a track written by hand: a first row that names the columns time and
// position, then a row a fix, in order of time; the way between is a great circle. Other
// columns are a fault. The error is Faults; with any there is no track.
func ParseTrackCSV(file string, src []byte) (*Track, error) {
	f, err := newTrackFile(file, src)
	if err != nil {
		return nil, err
	}
	body := bytes.TrimPrefix(src, []byte("\ufeff"))
	shift := len(src) - len(body)
	r := csv.NewReader(bytes.NewReader(body))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	if first, _, _ := bytes.Cut(body, []byte("\n")); bytes.ContainsRune(first, ';') {
		r.Comma = ';'
	}
	p := piece{what: "track"}
	var columns []string
	for row := 0; len(f.d.faults) < maxTrackFaults; row++ {
		cells, err := r.Read()
		if err == io.EOF {
			break
		}
		var pe *csv.ParseError
		if errors.As(err, &pe) {
			f.d.faults = append(f.d.faults, Fault{File: file, Line: pe.Line, Col: pe.Column, Problem: "the row cannot be read: " + pe.Err.Error(), Hint: "put a cell that has quotes or commas in it in double quotes, and double those inside"})
			break
		}
		line, col := r.FieldPos(0)
		at := f.d.lines[line-1] + col - 1
		if line == 1 {
			at += shift
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		if row == 0 {
			for _, c := range cells {
				columns = append(columns, strings.ToLower(c))
			}
			if sorted := slices.Sorted(slices.Values(columns)); !slices.Equal(sorted, []string{"position", "time"}) {
				f.fault(at, "", fmt.Sprintf("the first row names %q", strings.Join(cells, ", ")), "it must name time and position")
				break
			}
			continue
		}
		f.row(&p, cells, columns, at, fmt.Sprintf("row %d", row+1))
	}
	f.pieces = []piece{p}
	return f.track("begin with a row time,position and add a row for each fix")
}

func (f *trackFile) row(p *piece, cells, columns []string, at int, name string) {
	if len(cells) != len(columns) {
		f.fault(at, name, fmt.Sprintf("has %d cells, the first row %d", len(cells), len(columns)), `put a position that has a comma in it in double quotes`)
		return
	}
	t, okTime := f.moment(at, name+".time", cells[slices.Index(columns, "time")])
	place, err := earth.ParsePosition(cells[slices.Index(columns, "position")])
	if err != nil {
		problem, hint, _ := strings.Cut(err.Error(), "; ")
		f.fault(at, name+".position", problem, hint)
		return
	}
	if okTime {
		p.fixes = append(p.fixes, placed{Fix{At: t, Place: place}, at, name})
	}
}
