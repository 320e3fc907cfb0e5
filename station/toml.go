package station

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// parseTOML reads the syntax: what is a key, a value, a section. A file whose
// syntax is broken gives that one fault, since all behind it would be guesses.
func parseTOML(file string, src []byte) *document {
	d := newDocument(file, src)
	if len(src) > maxFile {
		d.faults = append(d.faults, Fault{File: file, Problem: fmt.Sprintf("the file has %d bytes", len(src)), Hint: fmt.Sprintf("split it; at most %d are read", maxFile)})
		return d
	}
	body := bytes.TrimPrefix(src, []byte("\ufeff")) // some editors leave a mark of byte order
	shift := len(src) - len(body)
	b := treeBuilder{d: d, shift: shift, current: d.root}
	b.p.Reset(body[:len(body):len(body)])
	for !b.full && len(d.faults) < maxFaults && b.p.NextExpression() {
		b.expression(b.p.Expression())
	}
	if err := b.p.Error(); err != nil {
		at := len(src)
		var pe *unstable.ParserError
		if errors.As(err, &pe) {
			at = shift + int(b.p.Range(pe.Highlight).Offset)
		}
		d.root, d.faults = &table{}, nil
		d.fault(min(at, len(src)), "", "the line cannot be read: "+plainWords(err.Error()), `write key = "value", names and quantities in double quotes`)
	}
	return d
}

// plainWords says in an operator's words what the parser says of a text, and drops
// the code point from its "U+0057 'W'".
func plainWords(s string) string {
	if strings.Contains(s, "strings cannot have new lines") || strings.Contains(s, "unterminated") {
		return "the quotes are not closed on the line"
	}
	if i := strings.Index(s, "U+"); i >= 0 {
		if j := strings.IndexByte(s[i:], ' '); j > 0 {
			return s[:i] + s[i+j+1:]
		}
	}
	return s
}

// treeBuilder turns the parser's expressions into the tree, one after the other.
type treeBuilder struct {
	d       *document
	p       unstable.Parser
	shift   int
	current *table
	path    string
	full    bool // a section has too many keys: the rest is not read
}

// Bounds that keep a file gone wrong, or one made to be slow, from costing more
// than a moment. No section of ours has forty keys.
const (
	maxKeys   = 500
	maxFaults = 500
)

// add puts an entry into a table.
func (b *treeBuilder) add(t *table, e *entry, field string) {
	if len(t.entries) >= maxKeys && !b.full {
		b.full = true
		b.d.fault(e.at, field, fmt.Sprintf("is one key too many, after %d in one section", maxKeys), "split or shorten the section")
	}
	if !b.full {
		t.entries = append(t.entries, e)
	}
}

func (b *treeBuilder) expression(n *unstable.Node) {
	switch n.Kind {
	case unstable.KeyValue:
		b.keyValue(b.current, b.path, n)
	case unstable.Table, unstable.ArrayTable:
		b.header(n)
	}
}

// keys lists the parts of a dotted key with their offsets.
func (b *treeBuilder) keys(n *unstable.Node) (names []string, at []int, end int) {
	for it := n.Key(); it.Next(); {
		k := it.Node()
		names = append(names, string(k.Data))
		at = append(at, b.shift+int(k.Raw.Offset))
		end = b.shift + int(k.Raw.Offset+k.Raw.Length)
	}
	return names, at, end
}

// header opens [name] or one more of [[name]].
func (b *treeBuilder) header(n *unstable.Node) {
	names, at, _ := b.keys(n)
	last := len(names) - 1
	t, path, ok := b.descend(b.d.root, "", names[:last], at[:last])
	name := names[last]
	b.path = path + name + "."
	b.current = &table{at: at[last], headed: true}
	if !ok {
		return // faulted: its keys go nowhere
	}
	e := t.find(name)
	switch {
	case e == nil && n.Kind == unstable.Table:
		b.add(t, &entry{key: name, at: at[last], kind: tableKind, table: b.current}, path+name)
	case e == nil:
		b.add(t, &entry{key: name, at: at[last], kind: tablesKind, items: []*entry{{at: at[last], kind: tableKind, table: b.current}}}, path+name)
		b.path = path + name + "[1]."
	case n.Kind == unstable.ArrayTable && e.kind == tablesKind:
		e.items = append(e.items, &entry{at: at[last], kind: tableKind, table: b.current})
		b.path = fmt.Sprintf("%s%s[%d].", path, name, len(e.items))
	case n.Kind == unstable.Table && e.kind == tableKind && !e.table.headed && !e.table.sealed:
		e.table.headed = true
		b.current = e.table
	case n.Kind == unstable.Table && e.kind == tablesKind:
		b.d.fault(at[last], path+name, "one section in single brackets among repeated ones", fmt.Sprintf("write [[%s]]", strings.Join(names, ".")))
	default:
		b.twice(at[last], path+name, e)
	}
}

func (b *treeBuilder) twice(at int, field string, first *entry) {
	b.d.fault(at, field, fmt.Sprintf("written twice, first on line %d", b.d.place(first.at).Line), "keep one of them")
}

// descend walks down from a table at a path to the one that a dotted key names,
// making what is not there yet; in a repeated section it takes the last.
func (b *treeBuilder) descend(t *table, path string, names []string, at []int) (*table, string, bool) {
	for i, name := range names {
		e := t.find(name)
		if e == nil {
			e = &entry{key: name, at: at[i], kind: tableKind, table: &table{at: at[i]}}
			b.add(t, e, path+name)
		}
		switch {
		case e.kind == tablesKind:
			t = e.items[len(e.items)-1].table
			path += fmt.Sprintf("%s[%d].", name, len(e.items))
		case e.kind == tableKind && !e.table.sealed:
			t = e.table
			path += name + "."
		default:
			b.twice(at[i], path+name, e)
			return nil, path, false
		}
	}
	return t, path, true
}

func (b *treeBuilder) keyValue(t *table, path string, n *unstable.Node) {
	names, at, keyEnd := b.keys(n)
	last := len(names) - 1
	t, path, ok := b.descend(t, path, names[:last], at[:last])
	if !ok {
		return
	}
	path += names[last]
	if first := t.find(names[last]); first != nil {
		b.twice(at[last], path, first)
		return
	}
	e := b.value(n.Value(), path, 0)
	e.key, e.at = names[last], at[last]
	// The node knows where key and value together end; the value begins behind the
	// equals sign and its blanks.
	e.to = b.shift + int(n.Raw.Offset+n.Raw.Length)
	e.from = keyEnd + bytes.IndexByte(b.d.src[keyEnd:e.to], '=') + 1
	for e.from < e.to && (b.d.src[e.from] == ' ' || b.d.src[e.from] == '\t') {
		e.from++
	}
	b.add(t, e, path)
}

// maxNesting is far more than any file of ours needs; what lies deeper is not
// looked at, and the reader of the field refuses the list that holds it.
const maxNesting = 8

func (b *treeBuilder) value(n *unstable.Node, path string, depth int) *entry {
	e := &entry{text: string(n.Data)}
	if n.Raw.Length > 0 {
		e.from = b.shift + int(n.Raw.Offset)
		e.to = e.from + int(n.Raw.Length)
		e.at = e.from
	}
	switch n.Kind {
	case unstable.String:
		e.kind = textKind
	case unstable.Bool:
		e.kind = truthKind
	case unstable.Integer, unstable.Float:
		e.kind = numberKind
	case unstable.Array:
		e.kind = listKind
		for it := n.Children(); depth < maxNesting && it.Next(); {
			e.items = append(e.items, b.value(it.Node(), fmt.Sprintf("%s[%d]", path, len(e.items)+1), depth+1))
		}
	case unstable.InlineTable:
		e.kind = tableKind
		e.table = &table{at: e.at}
		for it := n.Children(); it.Next(); {
			b.keyValue(e.table, path+".", it.Node())
		}
		e.table.sealed = true
	default:
		e.kind = momentKind
	}
	return e
}
