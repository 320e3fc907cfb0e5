package station

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// section reads one table of a document: each key asked for becomes known, and
// what nobody asked for is a fault in the end.
type section struct {
	d     *document
	t     *table
	path  string // "transmitter.", with its dot
	known []string
	where places
}

// places remembers where the fields of a value were written, so that a later
// check can point at them.
type places map[string]Place

func (s *section) field(key string) string { return s.path + key }

// entry returns the entry of a key, nil when it is not written.
func (s *section) entry(key string) *entry {
	s.known = append(s.known, key)
	e := s.t.find(key)
	if e != nil && s.where != nil {
		at := e.at
		if e.to > e.from {
			at = e.from
		}
		s.where[s.field(key)] = s.d.place(at)
	}
	return e
}

// missing is the fault of a required key that is not there.
func (s *section) missing(key, example string) {
	s.d.fault(s.t.at, s.field(key), "is missing", fmt.Sprintf("add a line like %s = %s", key, example))
}

func (s *section) fault(e *entry, key, problem, hint string) {
	at := e.at
	if e.to > e.from {
		at = e.from
	}
	s.d.fault(at, s.field(key), problem, hint)
}

// sub opens a section inside this one; nil when it is not written.
func (s *section) sub(key string) *section {
	e := s.entry(key)
	if e == nil {
		return nil
	}
	if e.kind != tableKind {
		s.fault(e, key, "is "+e.kind.String()+", not a section", fmt.Sprintf("write [%s] on a line of its own and its keys below", s.field(key)))
		return nil
	}
	return &section{d: s.d, t: e.table, path: s.field(key) + ".", where: s.where}
}

// subs opens the repeated sections [[key]] inside this one.
func (s *section) subs(key string) []*section {
	e := s.entry(key)
	if e == nil {
		return nil
	}
	if e.kind == listKind && !slices.ContainsFunc(e.items, func(x *entry) bool { return x.kind != tableKind }) {
		e = &entry{kind: tablesKind, items: e.items} // [{…}, {…}] says the same
	}
	if e.kind != tablesKind {
		s.fault(e, key, "is "+e.kind.String()+", not a repeated section", fmt.Sprintf("write [[%s]] on a line of its own, once for each", s.field(key)))
		return nil
	}
	out := make([]*section, len(e.items))
	for i, x := range e.items {
		out[i] = &section{d: s.d, t: x.table, path: fmt.Sprintf("%s[%d].", s.field(key), i+1), where: s.where}
	}
	return out
}

// close reports the keys that nobody asked for.
func (s *section) close() {
	for _, e := range s.t.entries {
		if !slices.Contains(s.known, e.key) {
			s.d.fault(e.at, s.field(e.key), "is an unknown key", meant(e.key, s.known))
		}
	}
}

// scalar returns the text of an entry that should be one value in quotes.
func (s *section) scalar(key, example string, required bool) (e *entry, ok bool) {
	e = s.entry(key)
	if e == nil {
		if required {
			s.missing(key, strconv.Quote(example))
		}
		return nil, false
	}
	if e.kind != textKind && e.kind != numberKind {
		s.fault(e, key, "is "+e.kind.String(), fmt.Sprintf("write one value in quotes like %q", example))
		return nil, false
	}
	return e, true
}

// text reads a line of writing.
func (s *section) text(key, example string, dst *string, required bool) bool {
	e, ok := s.scalar(key, example, required)
	if !ok {
		return false
	}
	if e.kind == numberKind {
		s.fault(e, key, e.text+" is a bare number", fmt.Sprintf("write it in quotes like %q", example))
		return false
	}
	if why := unfit(e.text); why != "" {
		s.fault(e, key, why, fmt.Sprintf("write one line like %q", example))
		return false
	}
	*dst = strings.TrimSpace(e.text)
	return true
}

// unfit says why a text cannot stand on one line of a screen or a card.
func unfit(t string) string {
	switch {
	case strings.TrimSpace(t) == "":
		return "is empty"
	case len(t) > 400:
		return fmt.Sprintf("has %d characters, more than 400", len(t))
	case strings.ContainsFunc(t, func(r rune) bool { return !unicode.IsPrint(r) }):
		return "has characters that cannot be shown"
	}
	return ""
}

// texts returns the texts of a list, each with where it stands; one text alone
// counts as a list of one.
func (s *section) texts(key, example string, required bool) []*entry {
	e := s.entry(key)
	if e == nil {
		if required {
			s.missing(key, example)
		}
		return nil
	}
	items := e.items
	if e.kind == textKind {
		items = []*entry{e}
	} else if e.kind != listKind {
		s.fault(e, key, "is "+e.kind.String()+", not a list", "write "+example)
		return nil
	}
	var out []*entry
	for i, x := range items {
		if x.kind != textKind {
			s.fault(x, fmt.Sprintf("%s[%d]", key, i+1), "is "+x.kind.String()+", not a text in quotes", "write "+example)
		} else if why := unfit(x.text); why != "" {
			s.fault(x, fmt.Sprintf("%s[%d]", key, i+1), why, "write "+example)
		} else {
			out = append(out, x)
		}
	}
	if len(items) == 0 {
		s.fault(e, key, "is an empty list", "write "+example)
	}
	return out
}

// word reads one of a few words.
func (s *section) word(key string, words []string, dst *string, required bool) bool {
	e, ok := s.scalar(key, words[0], required)
	if !ok {
		return false
	}
	if !slices.Contains(words, e.text) {
		s.fault(e, key, fmt.Sprintf("%q is not known here", e.text), meant(e.text, words))
		return false
	}
	*dst = e.text
	return true
}

// number reads a count or a price, which have no unit.
func (s *section) number(key string, lo, hi float64, example string, dst *float64, required bool) bool {
	e := s.entry(key)
	if e == nil {
		if required {
			s.missing(key, example)
		}
		return false
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(e.text, "_", ""), 64)
	if e.kind != numberKind || err != nil {
		what := e.kind.String()
		if e.kind == textKind {
			what = strconv.Quote(e.text)
		}
		s.fault(e, key, "is "+what+", not a bare number", fmt.Sprintf("write it without quotes and unit like %s = %s", key, example))
		return false
	}
	if !(v >= lo && v <= hi) {
		s.fault(e, key, e.text+" is out of range", "give "+strconv.FormatFloat(lo, 'f', -1, 64)+" to "+strconv.FormatFloat(hi, 'f', -1, 64))
		return false
	}
	*dst = v
	return true
}

// truth reads true or false.
func (s *section) truth(key string, dst *bool) {
	e := s.entry(key)
	if e == nil {
		return
	}
	if e.kind != truthKind {
		s.fault(e, key, "is "+e.kind.String()+", not true or false", fmt.Sprintf("write %s = true or %s = false, without quotes", key, key))
		return
	}
	*dst = e.text == "true"
}
