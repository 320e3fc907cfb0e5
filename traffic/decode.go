package traffic

import (
	"bytes"
	"encoding/base64"
	"errors"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/htmlindex"
)

// The transfer encodings are undone here rather than by the library: it notes
// every wrong octet of a damaged attachment as an error of its own, which costs
// gigabytes on a large one.

// decode undoes a Content-Transfer-Encoding (RFC 2045 §6).
func (m *Message) decode(encoding string, b []byte) []byte {
	switch strings.ToLower(strings.TrimSpace(encoding)) {
	case "base64":
		out, bad := unbase64(b)
		if bad > 0 {
			m.warn("a base64 part is damaged: it may be cut short or hold wrong octets")
		}
		return out
	case "quoted-printable":
		return unquotedPrintable(b)
	case "", "7bit", "8bit", "binary":
		return b
	}
	m.warn("the transfer encoding " + quote(encoding) + " is not known; the part is kept as it came")
	return b
}

// unbase64 decodes what there is, passing over other characters and stopping at
// the padding, and returns how many octets were wrong or missing. Characters
// after the padding are wrong too, unless blank.
func unbase64(b []byte) (out []byte, bad int) {
	in := make([]byte, 0, len(b))
	padding := 0
	for _, c := range b {
		switch {
		case c == '\n' || c == '\r' || c == ' ' || c == '\t':
		case c == '=':
			padding++
		case padding == 0 && (c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '+' || c == '/'):
			in = append(in, c)
		default:
			bad++
		}
	}
	if len(in)%4 == 1 { // six bits make no octet
		in, bad = in[:len(in)-1], bad+1
	}
	if len(in)%4 != 0 && padding == 0 {
		bad++
	}
	out = make([]byte, base64.RawStdEncoding.DecodedLen(len(in)))
	if _, err := base64.RawStdEncoding.Decode(out, in); err != nil {
		panic("traffic: base64 of its own alphabet: " + err.Error())
	}
	return out, bad
}

// unquotedPrintable decodes =XX and joins lines at a soft break. An equals sign
// that begins neither stays as it is (RFC 2045 §6.7 note).
func unquotedPrintable(b []byte) []byte {
	out := make([]byte, 0, len(b))
	for len(b) > 0 {
		var line []byte
		line, b, _ = cutLine(b)
		eol := line[len(bytes.TrimRight(line, "\r\n")):]
		text := bytes.TrimRight(line, " \t\r\n") // blanks before the break were added on the way
		soft := bytes.HasSuffix(text, []byte("="))
		if soft {
			text = text[:len(text)-1]
		}
		for i := 0; i < len(text); i++ {
			if text[i] == '=' && i+2 < len(text) {
				if hi, lo := unhex(text[i+1]), unhex(text[i+2]); hi >= 0 && lo >= 0 {
					out = append(out, byte(hi<<4|lo))
					i += 2
					continue
				}
			}
			out = append(out, text[i])
		}
		if !soft {
			out = append(out, eol...)
		}
	}
	return out
}

// cutLine returns the first line with its end, and the rest.
func cutLine(b []byte) (line, rest []byte, whole bool) {
	if i := bytes.IndexByte(b, '\n'); i >= 0 {
		return b[:i+1], b[i+1:], true
	}
	return b, nil, false
}

func unhex(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'A' && c <= 'F':
		return int(c-'A') + 10
	case c >= 'a' && c <= 'f':
		return int(c-'a') + 10
	}
	return -1
}

var errNoTable = errors.New("no table for this character set")

// toUTF8 converts a text. What is valid UTF-8 beyond ASCII is taken for UTF-8
// when its name is missing, unknown or US-ASCII; else such octets are read as
// Windows-1252 (common practice).
func (m *Message) toUTF8(charset string, b []byte) string {
	name := strings.ToLower(strings.Trim(charset, ` "'`))
	enc, err := htmlindex.Get(name)
	if err == nil && enc == encoding.Replacement { // a set that the table knows but does not read
		err = errNoTable
	}
	switch {
	case name != "" && name != "us-ascii" && err == nil:
		if s, err := enc.NewDecoder().Bytes(b); err == nil {
			return strings.ToValidUTF8(string(s), "\uFFFD")
		}
	case name != "" && name != "us-ascii":
		m.warn("the character set " + quote(charset) + " is not known; some letters may be wrong")
	}
	if utf8.Valid(b) {
		return string(b)
	}
	s, _ := charmap.Windows1252.NewDecoder().Bytes(b)
	return strings.ToValidUTF8(string(s), "\uFFFD")
}
