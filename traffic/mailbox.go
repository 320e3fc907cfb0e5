package traffic

import (
	"bytes"
	"regexp"
	"strings"
)

const maxMessages = 10_000

// postmark is the line before each message: "From ", an address, a time of day and
// a year (RFC 4155 §A). Asking for the time keeps a sentence that begins a
// paragraph with "From" inside its message.
var postmark = regexp.MustCompile(`^From \S.*\d\d:\d\d.*\b\d{4}\b`)

// SplitMbox cuts a mailbox into its messages. One level of ">" before "From " is
// taken off and the empty line that ends each message is dropped; nothing else is
// changed. It refuses bytes that are no mailbox, and one that breaks off.
func SplitMbox(b []byte) ([][]byte, error) {
	if len(bytes.TrimSpace(b)) == 0 {
		return nil, &Error{Fault: Empty}
	}
	if !bytes.HasPrefix(b, []byte("From ")) {
		line, _, _ := cutLine(b)
		return nil, &Error{Fault: NotMbox, Detail: clean(string(line), 40)}
	}
	var (
		all    [][]byte
		one    []byte
		start  = 0 // where the current message's postmark stands
		blank  = true
		opened = false
		at     = 0
	)
	for rest := b; len(rest) > 0; {
		var line []byte
		line, rest, _ = cutLine(rest)
		text := bytes.TrimRight(line, "\r\n")
		switch {
		case !opened, blank && postmark.Match(text):
			if opened {
				all = append(all, dropBlank(one))
			}
			if len(all) == maxMessages {
				return nil, &Error{Fault: TooManyMessages, Limit: maxMessages}
			}
			one, start, opened, blank = []byte{}, at, true, false
		default:
			one = append(one, unquoteFrom(line)...)
			blank = len(text) == 0
		}
		at += len(line)
	}
	if breaksOff(one) {
		return nil, &Error{Fault: TruncatedMbox, Got: int64(start)}
	}
	return append(all, dropBlank(one)), nil
}

// dropBlank takes off the one empty line that separates messages.
func dropBlank(b []byte) []byte {
	for _, end := range []string{"\r\n", "\n"} {
		if t, ok := bytes.CutSuffix(b, []byte(end)); ok && (len(t) == 0 || t[len(t)-1] == '\n') {
			return t
		}
	}
	return b
}

// unquoteFrom turns ">From " into "From " and ">>From " into ">From ".
func unquoteFrom(line []byte) []byte {
	if len(line) > 0 && line[0] == '>' && bytes.HasPrefix(bytes.TrimLeft(line, ">"), []byte("From ")) {
		return line[1:]
	}
	return line
}

// breaksOff says whether a last message was cut: inside its headers, or inside a
// line of a message whose parts never end.
func breaksOff(b []byte) bool {
	if headerEnd(b) == len(b) {
		return true
	}
	return b[len(b)-1] != '\n' && bytes.Contains(bytes.ToLower(b[:headerEnd(b)]), []byte("boundary="))
}

// Maildir is what the name of a file in a Maildir says.
type Maildir struct {
	Unique  string // before the flags: the same as long as the file lives
	Seen    bool   // S
	Draft   bool   // D: not meant to be sent yet
	Trashed bool   // T: to be removed
}

// ParseMaildir reads the name of a file in the folders "new" and "cur", as in
// "1795628280.M20P11.saltmarsh:2,FS". It is not ok for names that are no message:
// hidden files and empty ones. Flags may follow ";2," where file systems know no colon.
func ParseMaildir(name string) (f Maildir, ok bool) {
	if name == "" || name[0] == '.' || strings.ContainsAny(name, `/\`) {
		return Maildir{}, false
	}
	flags := ""
	f.Unique = name
	for _, mark := range []string{":2,", ";2,"} {
		if unique, after, found := strings.Cut(name, mark); found {
			f.Unique, flags = unique, after
			break
		}
	}
	f.Seen = strings.Contains(flags, "S")
	f.Draft = strings.Contains(flags, "D")
	f.Trashed = strings.Contains(flags, "T")
	return f, f.Unique != ""
}
