package traffic

import (
	"bytes"
	"errors"
	"regexp"
	"strings"

	"github.com/jhillyerd/enmime/v2/mediatype"

	"farhail/unit"
)

// The mail library has no limits of its own, so they are set before it starts and
// watched while it runs. Ordinary mail stays far below each of them.
const (
	MaxSize unit.Bytes = 25_000_000 // common practice of mail services

	maxHeader      = 256 << 10 // of the message
	maxPartHeaders = 1 << 20   // of all parts together: each broken line costs a warning
	maxParts       = 200
	maxMultiparts  = 16   // different boundaries, hence also the depth of nesting
	maxBoundary    = 200  // RFC 2046 §5.1.1 allows 70
	maxMediaType   = 8192 // the library's repair of this line is quadratic
	maxWarnings    = 20
)

// guarded is a message that has passed the limits that can be checked beforehand.
type guarded struct {
	mail     []byte // raw without what stands before the headers
	warnings []string

	written map[string]bool // boundaries as written somewhere in the bytes
	used    map[string]bool // boundaries that the library has split by
	err     error           // the limit that was crossed while the library ran
}

func guard(raw []byte) (*guarded, error) {
	switch {
	case len(bytes.TrimSpace(raw)) == 0:
		return nil, &Error{Fault: Empty}
	case len(raw) > int(MaxSize):
		return nil, &Error{Fault: TooBig, Got: int64(len(raw)), Limit: int64(MaxSize)}
	}
	g := &guarded{mail: bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf")), used: map[string]bool{}}
	g.mail = bytes.TrimLeft(g.mail, "\r\n")
	if bytes.HasPrefix(g.mail, []byte("From ")) { // left by a mailbox
		_, g.mail, _ = bytes.Cut(g.mail, []byte("\n"))
	}
	head := g.mail[:headerEnd(g.mail)]
	if len(head) > maxHeader {
		return nil, &Error{Fault: HeaderTooLong, Got: int64(len(head)), Limit: maxHeader}
	}
	if why := notHeaders(head); why != "" {
		return nil, &Error{Fault: NotMail, Detail: why}
	}
	if !bytes.Contains(bytes.ToLower(head), []byte("multipart/")) {
		return g, nil // one part, whatever its text looks like
	}
	if err := g.countParts(); err != nil {
		return nil, err
	}
	return g, nil
}

// headerEnd returns where the empty line after the headers begins, or the length.
func headerEnd(b []byte) int {
	for at := 0; at < len(b); {
		n := bytes.IndexByte(b[at:], '\n')
		if n < 0 {
			return len(b)
		}
		if n == 0 || n == 1 && b[at] == '\r' {
			return at
		}
		at += n + 1
	}
	return len(b)
}

// A text is taken for mail when one of these stands at the start of a header line.
var mailField = regexp.MustCompile(`(?im)^(from|to|cc|bcc|subject|date|message-id|sender|received|return-path|delivered-to|mime-version)[ \t]*:`)

func notHeaders(head []byte) string {
	if bytes.IndexByte(head, 0) >= 0 {
		return "it holds zero octets, as programs and pictures do"
	}
	if len(head) == 0 {
		return "it has no header lines"
	}
	if head[0] == ' ' || head[0] == '\t' {
		return "its first line is indented"
	}
	if !mailField.Match(head) {
		line, _, _ := bytes.Cut(head, []byte("\n"))
		return "it begins with \"" + clean(string(line), 40) + "\""
	}
	return ""
}

// boundaryAt reads the boundary parameter whose equals sign stands at i, as a
// Content-Type line writes it. One that is written otherwise (split over several
// parameters, encoded) is not opened, see mediaType. Looking for equals signs is
// what makes this fast: a coded attachment has hardly any.
func boundaryAt(b []byte, i int) string {
	const name = "boundary"
	before := bytes.TrimRight(b[max(0, i-len(name)-8):i], " \t")
	if len(before) < len(name) || !strings.EqualFold(string(before[len(before)-len(name):]), name) {
		return ""
	}
	after := bytes.TrimLeft(b[i+1:min(len(b), i+1+maxBoundary+16)], " \t\r\n")
	if rest, quoted := bytes.CutPrefix(after, []byte{'"'}); quoted {
		if end := bytes.IndexByte(rest, '"'); end >= 0 {
			return string(rest[:end])
		}
		return ""
	}
	if end := bytes.IndexAny(after, " \t\r\n;\""); end >= 0 {
		after = after[:end]
	}
	return string(after)
}

// countParts counts the lines that can begin a part, and the octets of headers
// after them, without building anything.
func (g *guarded) countParts() error {
	g.written = map[string]bool{}
	var spaced []string
	for at := 0; ; {
		n := bytes.IndexByte(g.mail[at:], '=')
		if n < 0 {
			break
		}
		b := boundaryAt(g.mail, at+n)
		at += n + 1
		if b == "" || g.written[b] {
			continue
		}
		g.written[b] = true
		if strings.ContainsAny(b, " \t") {
			spaced = append(spaced, b)
		}
		if len(spaced) > maxMultiparts {
			return &Error{Fault: TooDeep, Got: int64(len(spaced)), Limit: maxMultiparts}
		}
	}
	if len(g.written) == 0 {
		return nil
	}
	parts, headers := 0, 0
	for rest := g.mail; len(rest) > 0; {
		var line []byte
		line, rest, _ = bytes.Cut(rest, []byte("\n"))
		if !g.begins(line, spaced) {
			continue
		}
		parts++
		headers += headerEnd(rest)
		if parts > maxParts {
			return &Error{Fault: TooManyParts, Got: int64(parts), Limit: maxParts}
		}
		if headers > maxPartHeaders {
			return &Error{Fault: HeaderTooLong, Got: int64(headers), Limit: maxPartHeaders}
		}
	}
	return nil
}

// begins says whether a line can open a part. The library lets one octet stand
// before the dashes and anything after a blank.
func (g *guarded) begins(line []byte, spaced []string) bool {
	s, ok := bytes.CutPrefix(line, []byte("--"))
	if !ok && len(line) > 2 {
		s, ok = bytes.CutPrefix(line[1:], []byte("--"))
	}
	if !ok {
		return false
	}
	word := s
	if i := bytes.IndexAny(s, " \t\r\v\f"); i >= 0 {
		word = s[:i]
	}
	if g.written[string(word)] {
		return true
	}
	for _, b := range spaced {
		if bytes.HasPrefix(s, []byte(b)) {
			return true
		}
	}
	return false
}

var errLimit = errors.New("limit crossed")

// mediaType reads a Content-Type or Content-Disposition line for the library and
// is where its nesting is held: an error here ends the parse.
func (g *guarded) mediaType(line string) (string, map[string]string, []string, error) {
	if g.err != nil {
		return "", nil, nil, errLimit
	}
	if len(line) > maxMediaType {
		g.err = &Error{Fault: HeaderTooLong, Got: int64(len(line)), Limit: maxMediaType}
		return "", nil, nil, errLimit
	}
	kind, params, invalid, err := mediatype.Parse(line)
	if err != nil { // a line past repair is a part of unknown type, not a lost message
		g.warn("a Content-Type or Content-Disposition line could not be read")
		return "", map[string]string{}, nil, nil
	}
	b := params["boundary"]
	switch {
	case b == "":
	case len(b) > maxBoundary, !g.written[b], !strings.HasPrefix(kind, "multipart/"):
		delete(params, "boundary")
		if strings.HasPrefix(kind, "multipart/") {
			g.warn("a multipart section has a boundary that could not be read and stays in one piece")
		}
	default:
		g.used[b] = true
		if len(g.used) > maxMultiparts {
			g.err = &Error{Fault: TooDeep, Got: int64(len(g.used)), Limit: maxMultiparts}
			return "", nil, nil, errLimit
		}
	}
	return kind, params, invalid, nil
}

func (g *guarded) warn(s string) {
	for _, w := range g.warnings {
		if w == s {
			return
		}
	}
	if len(g.warnings) < maxWarnings {
		g.warnings = append(g.warnings, s)
	}
}
