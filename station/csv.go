package station

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// csvColumn says where the cells of a column go.
type csvColumn struct {
	name   string
	key    string // in the station, "antenna.kind" inside its antenna, or in the channel
	ofChan bool
	list   bool // a cell holds several, apart by blanks, | or ;
	bare   bool // a count, not a text
}

var csvColumns = []csvColumn{
	{name: "name", key: "name"},
	{name: "call", key: "call"},
	{name: "position", key: "position"},
	{name: "hours", key: "hours", list: true},
	{name: "skeds", key: "skeds", list: true},
	{name: "sked_margin", key: "sked_margin"},
	{name: "dwell", key: "dwell"},
	{name: "power", key: "power"},
	{name: "antenna", key: "antenna.kind"},
	{name: "antenna_height", key: "antenna.height"},
	{name: "antenna_length", key: "antenna.length"},
	{name: "antenna_top", key: "antenna.top"},
	{name: "antenna_apex", key: "antenna.apex"},
	{name: "antenna_design", key: "antenna.design"},
	{name: "antenna_bearing", key: "antenna.bearing"},
	{name: "antenna_ground", key: "antenna.ground"},
	{name: "antenna_earth_resistance", key: "antenna.earth_resistance"},
	{name: "antenna_earth_lead", key: "antenna.earth_lead", bare: true},
	{name: "antenna_coil_q", key: "antenna.coil_q", bare: true},
	{name: "antenna_tuner_loss", key: "antenna.tuner_loss"},
	{name: "feeder_loss", key: "antenna.feeder_loss"},
	{name: "noise", key: "noise"},
	{name: "carries", key: "carries", list: true},
	{name: "language", key: "language"},
	{name: "note", key: "note"},
	{name: "frequency", key: "frequency", ofChan: true},
	{name: "bandwidth", key: "bandwidth", ofChan: true},
	{name: "waveforms", key: "waveforms", ofChan: true, list: true},
	{name: "emission", key: "emission", ofChan: true},
	{name: "channel_hours", key: "hours", ofChan: true, list: true},
}

// CSVColumns lists the columns that ParseDirectoryCSV knows.
func CSVColumns() []string {
	names := make([]string, len(csvColumns))
	for i, c := range csvColumns {
		names[i] = c.name
	}
	return names
}

// ParseDirectoryCSV reads far stations from a table of one row a channel (RFC
// 4180). The first row names the columns (CSVColumns, in any order; name,
// position, frequency and waveforms must be there). Rows of one name are channels
// of one station: its own cells stand in the first of them and may be left empty,
// or say the same again, in the others. Cells hold what the TOML form holds,
// quantities with their unit; a cell with several hours, waveforms or addresses
// has blanks, | or ; between. When the first row has no comma but semicolons, they
// divide the cells.
func ParseDirectoryCSV(file string, src []byte) (*Directory, error) {
	d := newDocument(file, src)
	if len(src) > maxFile {
		return nil, Faults{{File: file, Problem: fmt.Sprintf("the file has %d bytes", len(src)), Hint: fmt.Sprintf("split it; at most %d are read", maxFile)}}
	}
	t := csvTable{d: d, byName: map[string]*table{}}
	t.read()
	if len(d.faults) > 0 {
		return nil, d.faults.sorted()
	}
	return bindDirectory(d, "add a row for each channel below the first")
}

// csvTable builds from rows the same tree that the TOML form gives.
type csvTable struct {
	d       *document
	shift   int
	columns []csvColumn
	list    *entry // of stations
	byName  map[string]*table
}

func (t *csvTable) read() {
	body := bytes.TrimPrefix(t.d.src, []byte("\ufeff"))
	t.shift = len(t.d.src) - len(body)
	r := csv.NewReader(bytes.NewReader(body))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	if first, _, _ := bytes.Cut(body, []byte("\n")); !bytes.ContainsRune(first, ',') && bytes.ContainsRune(first, ';') {
		r.Comma = ';'
	}
	for {
		cells, err := r.Read()
		if err == io.EOF {
			break
		}
		var pe *csv.ParseError
		if errors.As(err, &pe) {
			t.d.faults = append(t.d.faults, Fault{File: t.d.file, Line: pe.Line, Col: pe.Column, Problem: "the row cannot be read: " + pe.Err.Error(), Hint: `put a cell that has quotes or commas in it in double quotes, and double those inside`})
			return
		}
		at := make([]int, len(cells))
		for i := range cells {
			line, col := r.FieldPos(i)
			at[i] = t.d.lines[line-1] + col - 1
			if line == 1 {
				at[i] += t.shift
			}
			cells[i] = strings.TrimSpace(cells[i])
		}
		if t.columns == nil {
			t.header(cells, at)
			if len(t.d.faults) > 0 {
				return // without columns no row can be understood
			}
			continue
		}
		if t.row(cells, at); len(t.d.faults) >= maxFaults {
			return
		}
	}
	if t.columns == nil {
		t.d.faults = append(t.d.faults, Fault{File: t.d.file, Problem: "the file is empty", Hint: "begin with a row that names the columns: name,position,frequency,waveforms"})
	}
}

func (t *csvTable) header(cells []string, at []int) {
	t.list = &entry{key: "station", at: at[0], kind: tablesKind}
	t.d.root.entries = []*entry{t.list}
	if len(cells) > 4*len(csvColumns) {
		t.d.fault(at[0], "", fmt.Sprintf("the first row names %d columns", len(cells)), fmt.Sprintf("there are %d", len(csvColumns)))
		return
	}
	for i, name := range cells {
		j := slices.IndexFunc(csvColumns, func(c csvColumn) bool { return c.name == strings.ToLower(name) })
		if j < 0 {
			t.d.fault(at[i], "", fmt.Sprintf("%q is an unknown column", name), meant(name, CSVColumns()))
			continue
		}
		if slices.Contains(t.columns, csvColumns[j]) {
			t.d.fault(at[i], "", fmt.Sprintf("the column %q is there twice", name), "keep one of them")
		}
		t.columns = append(t.columns, csvColumns[j])
	}
	for _, need := range []string{"name", "position", "frequency", "waveforms"} {
		if !slices.ContainsFunc(t.columns, func(c csvColumn) bool { return c.name == need }) {
			t.d.fault(at[0], "", fmt.Sprintf("the column %q is missing", need), "the first row must name it")
		}
	}
}

func (t *csvTable) row(cells []string, at []int) {
	if len(cells) != len(t.columns) {
		t.d.fault(at[0], "", fmt.Sprintf("the row has %d cells, the first row %d", len(cells), len(t.columns)), "give every column a cell, an empty one where there is nothing to say")
		return
	}
	name := cells[slices.IndexFunc(t.columns, func(c csvColumn) bool { return c.name == "name" })]
	if name == "" {
		t.d.fault(at[0], "name", "is empty", "every row names its station")
		return
	}
	st := t.byName[slug(name)]
	known := st != nil
	if !known {
		st = &table{at: at[0], entries: []*entry{{key: "channel", at: at[0], kind: tablesKind}}}
		t.byName[slug(name)] = st
		t.list.items = append(t.list.items, &entry{at: at[0], kind: tableKind, table: st})
	}
	channel := &table{at: at[0]}
	channels := st.find("channel")
	channels.items = append(channels.items, &entry{at: at[0], kind: tableKind, table: channel})
	for i, c := range t.columns {
		if cells[i] == "" {
			continue
		}
		into, key := st, c.key
		if c.ofChan {
			into = channel
		}
		if rest, inside := strings.CutPrefix(key, "antenna."); inside {
			a := st.find("antenna")
			if a == nil {
				a = &entry{key: "antenna", at: at[i], kind: tableKind, table: &table{at: at[i]}}
				st.entries = append(st.entries, a)
			}
			into, key = a.table, rest
		}
		e := cell(key, cells[i], at[i], c)
		first := into.find(key)
		switch {
		case first == nil && known && !c.ofChan:
			t.d.fault(at[i], c.name, fmt.Sprintf("%q is said only here, not in the first row of %s", cells[i], name), "write it in the station's first row")
		case first == nil:
			into.entries = append(into.entries, e)
		case !same(first, e):
			t.d.fault(at[i], c.name, fmt.Sprintf("%q is not what line %d says of %s", cells[i], t.d.place(first.at).Line, name), "leave the cell empty or write the same")
		}
	}
}

// cell makes the entry that the TOML form would have.
func cell(key, text string, at int, c csvColumn) *entry {
	e := &entry{key: key, at: at, kind: textKind, text: text}
	switch {
	case c.list:
		e.kind = listKind
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '|' || r == ';' }) {
			e.items = append(e.items, &entry{at: at, kind: textKind, text: w})
		}
	case c.bare && (text == "true" || text == "false"):
		e.kind = truthKind
	case c.bare:
		e.kind = numberKind
	}
	return e
}

func same(a, b *entry) bool {
	return a.text == b.text && slices.EqualFunc(a.items, b.items, same)
}
