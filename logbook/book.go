package logbook

import (
	"fmt"
	"iter"
	"strconv"
	"strings"
)

// Book is the log as it reads today: every entry ever written, with what was
// struck out marked. The zero Book is an empty log.
type Book struct {
	rows []Row
	at   map[string]int // id → index in rows
}

// Row is an entry with its place in the log.
type Row struct {
	No int // 1 is the first entry ever written
	Entry
	Struck *Entry // the strike that struck it out; nil: it stands
}

// OrderError says why an entry cannot follow the ones before it.
type OrderError struct {
	ID      string
	Problem string
}

func (e *OrderError) Error() string { return fmt.Sprintf("log entry %q %s", e.ID, e.Problem) }

// Fold makes the Book of entries, in the order they were written.
func Fold(entries []Entry) (*Book, error) {
	b := &Book{rows: make([]Row, 0, len(entries)), at: make(map[string]int, len(entries))}
	for _, e := range entries {
		if err := b.Append(e); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// Append writes e at the end of the log. An error leaves the log as it was.
func (b *Book) Append(e Entry) error {
	if err := e.Check(); err != nil {
		return fmt.Errorf("write log entry: %w", err)
	}
	if _, ok := b.at[e.ID]; ok {
		return &OrderError{e.ID, "is written already: an entry is written once"}
	}
	if e.Strike != nil {
		i, ok := b.at[e.Strike.Of]
		switch {
		case !ok:
			return &OrderError{e.Strike.Of, "is not in the log: strike an entry that farhail log list shows"}
		case b.rows[i].Strike != nil:
			return &OrderError{e.Strike.Of, "is itself a strike: write the struck entry anew instead"}
		case b.rows[i].Struck != nil:
			return &OrderError{e.Strike.Of, fmt.Sprintf("was struck already by %q", b.rows[i].Struck.ID)}
		}
		b.rows[i].Struck = &e
	}
	if b.at == nil {
		b.at = map[string]int{}
	}
	b.at[e.ID] = len(b.rows)
	b.rows = append(b.rows, Row{No: len(b.rows) + 1, Entry: e})
	return nil
}

// Rows returns every entry in the order written, struck ones and strikes too.
// The caller must not change them.
func (b *Book) Rows() []Row { return b.rows }

// Standing runs through the attempts and listening checks that were not struck.
func (b *Book) Standing() iter.Seq[Row] {
	return func(yield func(Row) bool) {
		for _, r := range b.rows {
			if r.Strike == nil && r.Struck == nil && !yield(r) {
				return
			}
		}
	}
}

// DeliveredBy returns, for each message that standing attempts carried, the id of
// the first attempt that did.
func (b *Book) DeliveredBy() map[string]string {
	by := map[string]string{}
	for r := range b.Standing() {
		if r.Attempt == nil {
			continue
		}
		for _, m := range r.Attempt.Delivered {
			if by[m] == "" {
				by[m] = r.ID
			}
		}
	}
	return by
}

// Find returns the row that ref means: its number in the log, its id, the
// beginning of its id if no other begins so, or "last" for the latest entry that
// can still be struck.
func (b *Book) Find(ref string) (Row, error) {
	if i, ok := b.at[ref]; ok {
		return b.rows[i], nil
	}
	if n, err := strconv.Atoi(strings.TrimPrefix(ref, "#")); err == nil && n >= 1 && n <= len(b.rows) {
		return b.rows[n-1], nil
	}
	if strings.EqualFold(ref, "last") {
		for i := len(b.rows) - 1; i >= 0; i-- {
			if b.rows[i].Strike == nil && b.rows[i].Struck == nil {
				return b.rows[i], nil
			}
		}
		return Row{}, &OrderError{ref, "means nothing: every entry is struck, or there is none"}
	}
	var found []Row
	for _, r := range b.rows {
		if ref != "" && strings.HasPrefix(r.ID, ref) {
			found = append(found, r)
		}
	}
	switch len(found) {
	case 0:
		return Row{}, &OrderError{ref, "is not in the log: give a number or id that farhail log list shows"}
	case 1:
		return found[0], nil
	}
	return Row{}, &OrderError{ref, fmt.Sprintf("may mean %q or %q: give more of it", found[0].ID, found[1].ID)}
}
