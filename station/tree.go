package station

import "sort"

// maxFile bounds what is read: a directory of ten thousand channels is about 2 MB.
const maxFile = 8 << 20

// document is a file as a tree of entries that still know where they stand.
type document struct {
	file   string
	src    []byte
	lines  []int // offset of the first byte of each line
	root   *table
	faults Faults
}

type kind int

const (
	textKind   kind = iota // a string
	numberKind             // a bare number
	truthKind              // true or false
	momentKind             // a date or time without quotes
	listKind
	tableKind  // [name] or { … }
	tablesKind // [[name]]
)

func (k kind) String() string {
	return [...]string{"a text", "a bare number", "true or false", "a date or time without quotes", "a list", "a section", "a repeated section"}[k]
}

// entry is one key with its value. at is the offset of the key (of the value, in
// a list); from and to bound the value's bytes, and are equal when it has none of
// its own (a section).
type entry struct {
	key      string
	at       int
	from, to int
	kind     kind
	text     string // textKind decoded, others as written
	items    []*entry
	table    *table
}

type table struct {
	at      int
	entries []*entry
	sealed  bool // written in one piece, { … }: nothing may be added
	headed  bool // has had its own [name]
}

func (t *table) find(key string) *entry {
	for _, e := range t.entries {
		if e.key == key {
			return e
		}
	}
	return nil
}

func newDocument(file string, src []byte) *document {
	d := &document{file: file, src: src, lines: []int{0}, root: &table{}}
	for i, c := range src {
		if c == '\n' {
			d.lines = append(d.lines, i+1)
		}
	}
	return d
}

// place turns an offset into file, line and column.
func (d *document) place(at int) Place {
	n := sort.SearchInts(d.lines, at+1)
	return Place{d.file, n, at - d.lines[n-1] + 1}
}

func (d *document) fault(at int, field, problem, hint string) {
	p := d.place(at)
	d.faults = append(d.faults, Fault{p.File, p.Line, p.Col, field, problem, hint, Error})
}
