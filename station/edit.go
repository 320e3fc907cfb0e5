package station

import (
	"fmt"
	"strconv"
	"strings"
)

// SetValue changes one value of a TOML file and nothing else: comments, blanks and
// the order of lines stay as they are. The path is written as faults write it,
// "battery.charge" or "station[3].channel[1].frequency", counting from 1; the new
// value is TOML ("\"81 %\""). Src is not altered. The key must be in the file
// already. Whether the new value makes sense is for ParseHome or ParseDirectory.
func SetValue(src []byte, path, value string) ([]byte, error) {
	if err := oneValue(value); err != nil {
		return nil, fmt.Errorf("set %s: %w", path, err)
	}
	d := parseTOML("", src)
	if len(d.faults) > 0 {
		return nil, fmt.Errorf("set %s: the file has faults of its own: %w", path, d.faults)
	}
	e, err := find(d.root, path)
	if err != nil {
		return nil, fmt.Errorf("set %s: %w", path, err)
	}
	out := make([]byte, 0, len(src)-(e.to-e.from)+len(value))
	out = append(out, src[:e.from]...)
	out = append(out, value...)
	return append(out, src[e.to:]...), nil
}

// oneValue checks that a text is one TOML value and no more: no second line, no
// comment that would swallow the rest of the line.
func oneValue(value string) error {
	const key = "x = "
	d := parseTOML("", []byte(key+value))
	if len(d.faults) > 0 || len(d.root.entries) != 1 {
		return fmt.Errorf("%s is not a value; write it as in the file, a text in double quotes", strconv.Quote(value))
	}
	if e := d.root.entries[0]; e.from != len(key) || e.to != len(key)+len(value) {
		return fmt.Errorf("%s is more than one value", strconv.Quote(value))
	}
	return nil
}

// find walks a path to the entry that holds a value.
func find(t *table, path string) (*entry, error) {
	rest := path
	for {
		part, more, deeper := strings.Cut(rest, ".")
		name, index, err := splitIndex(part)
		if err != nil {
			return nil, err
		}
		e := t.find(name)
		if e == nil {
			return nil, fmt.Errorf("no key %q in the file; add it by hand", name)
		}
		if index > 0 {
			if index > len(e.items) {
				return nil, fmt.Errorf("%s has %d entries, not %d", name, len(e.items), index)
			}
			e = e.items[index-1]
		}
		switch {
		case !deeper && (e.to <= e.from || e.kind == tableKind && index > 0 || e.kind == listKind && index > 0):
			return nil, fmt.Errorf("%q is a section, not a value", part)
		case !deeper:
			return e, nil
		case e.kind != tableKind:
			return nil, fmt.Errorf("%q is %s, not a section", part, e.kind)
		}
		t, rest = e.table, more
	}
}

// splitIndex reads "station[3]"; index 0 when there is none.
func splitIndex(part string) (name string, index int, err error) {
	name, rest, ok := strings.Cut(part, "[")
	if !ok {
		return part, 0, nil
	}
	n, err := strconv.Atoi(strings.TrimSuffix(rest, "]"))
	if err != nil || n < 1 || !strings.HasSuffix(rest, "]") {
		return "", 0, fmt.Errorf("%q is not a key; write an entry of a list like station[3], counting from 1", part)
	}
	return name, n, nil
}
