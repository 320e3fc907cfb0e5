package station

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Severity tells a fault that stops the work from one that is only pointed out.
type Severity int

const (
	Error   Severity = iota // nothing is used until it is put right
	Warning                 // usable, but probably not what was meant
)

func (s Severity) String() string {
	if s == Warning {
		return "warning"
	}
	return "error"
}

// Place is where something stands in a file. Line and Col count from 1, Col in
// bytes; a zero Line means the file as a whole.
type Place struct {
	File string
	Line int
	Col  int
}

// Fault is one thing wrong in a file: where, which field, what, and what to do.
type Fault struct {
	File      string
	Line, Col int
	Field     string // "transmitter.power", empty for the file as a whole
	Problem   string // "100 has no unit"
	Hint      string // what was expected or what to do; may be empty
	Severity  Severity
}

// Error writes the fault as one sentence on one line.
func (f Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.File)
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", f.Line, f.Col)
	}
	if f.Severity == Warning {
		b.WriteString(": warning")
	}
	if f.Field != "" {
		b.WriteString(": " + f.Field)
	}
	b.WriteString(": " + f.Problem)
	if f.Hint != "" {
		b.WriteString("; " + f.Hint)
	}
	return b.String()
}

// Faults is all that is wrong with a file or a pair of files, in reading order.
type Faults []Fault

// Error writes one line a fault.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, x := range f {
		lines[i] = x.Error()
	}
	return strings.Join(lines, "\n")
}

// Any says whether a fault of at least this severity is among them.
func (f Faults) Any(s Severity) bool {
	return slices.ContainsFunc(f, func(x Fault) bool { return x.Severity <= s })
}

// sorted puts faults in reading order, file by file as they first came up.
func (f Faults) sorted() Faults {
	order := map[string]int{}
	for _, x := range f {
		if _, ok := order[x.File]; !ok {
			order[x.File] = len(order)
		}
	}
	slices.SortStableFunc(f, func(a, b Fault) int {
		return cmp.Or(order[a.File]-order[b.File], a.Line-b.Line, a.Col-b.Col)
	})
	return f
}

// nearest returns the one of the known words that a misspelt one most likely
// meant: fewest single-letter changes, at most two and fewer than half its letters.
func nearest(word string, known []string) (string, bool) {
	best, cost := "", 3
	for _, k := range known {
		if c := changes(word, k); c < cost && 2*c < max(len(k), len(word)) {
			best, cost = k, c
		}
	}
	return best, best != ""
}

// changes counts the letters to insert, drop, replace or swap with their neighbour
// to turn a into b (optimal string alignment).
func changes(a, b string) int {
	if len(a) > 60 || len(b) > 60 {
		return 60
	}
	before, row, next := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next[0] = i
		for j := 1; j <= len(b); j++ {
			swap := 1
			if a[i-1] == b[j-1] {
				swap = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+swap)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row, next = row, next, before
	}
	return row[len(b)]
}

// meant is the hint for an unknown word: the nearest known one, else all of them.
func meant(word string, known []string) string {
	if k, ok := nearest(strings.ToLower(word), known); ok {
		return fmt.Sprintf("did you mean %q?", k)
	}
	return "choose one of " + strings.Join(known, ", ")
}
