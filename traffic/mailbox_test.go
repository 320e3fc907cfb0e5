package traffic

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
)

const mark = "From a@x.example Wed Nov 25 17:02:00 2026\n"

func TestSplitMbox(t *testing.T) {
	for name, c := range map[string]struct {
		mbox string
		want []string
	}{
		"one":                          {mark + plain + "\nabc\n\n", []string{plain + "\nabc\n"}},
		"two":                          {mark + plain + "\nabc\n\n" + mark + plain + "\ndef\n\n", []string{plain + "\nabc\n", plain + "\ndef\n"}},
		"no line at end":               {mark + plain + "\nabc\n\n" + mark + plain + "\ndef", []string{plain + "\nabc\n", plain + "\ndef"}},
		"CRLF":                         {string(crlf(mark + plain + "\nabc\n\n" + mark + plain + "\ndef\n\n")), []string{string(crlf(plain + "\nabc\n")), string(crlf(plain + "\ndef\n"))}},
		"quoted":                       {mark + plain + "\n>From me\n>>From you\n> From\n>Fromage\n\n", []string{plain + "\nFrom me\n>From you\n> From\n>Fromage\n"}},
		"unquoted sentence":            {mark + plain + "\nabc\n\nFrom here on it rained, 2026 or not.\n\n", []string{plain + "\nabc\n\nFrom here on it rained, 2026 or not.\n"}},
		"mark not after an empty line": {mark + plain + "\nabc\n" + mark + "\n", []string{plain + "\nabc\n" + mark}},
		"a plain mark begins":          {"From \n" + plain + "\nabc\n\n", []string{plain + "\nabc\n"}},
		"empty lines kept":             {mark + plain + "\nabc\n\n\n\n", []string{plain + "\nabc\n\n\n"}},
	} {
		got, err := SplitMbox([]byte(c.mbox))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !slices.EqualFunc(got, c.want, func(a []byte, b string) bool { return string(a) == b }) {
			t.Errorf("%s:\ngot  %q\nwant %q", name, got, c.want)
		}
	}
}

func TestMboxRefused(t *testing.T) {
	whole := mark + plain + "\nabc\n\n"
	parts := plain + "Content-Type: multipart/mixed; boundary=b\n\n--b\n\nab"
	for name, c := range map[string]struct {
		mbox  string
		fault Fault
		got   int64
	}{
		"nothing":           {" \n\n", Empty, 0},
		"a single message":  {plain + "\nabc\n", NotMbox, 0},
		"cut in a header":   {whole + mark + "From: a@x.exam", TruncatedMbox, int64(len(whole))},
		"cut after a mark":  {whole + mark, TruncatedMbox, int64(len(whole))},
		"cut in the parts":  {whole + mark + parts, TruncatedMbox, int64(len(whole))},
		"too many messages": {strings.Repeat(mark+plain+"\n\n", maxMessages+1), TooManyMessages, 0},
	} {
		got, err := SplitMbox([]byte(c.mbox))
		var e *Error
		if !errors.As(err, &e) || e.Fault != c.fault || e.Got != c.got || got != nil {
			t.Errorf("%s: got %d messages, %v; want fault %d at %d", name, len(got), err, c.fault, c.got)
		}
	}
	// The octets before the broken message can be read, as the sentence says.
	_, err := SplitMbox([]byte(whole + mark + parts))
	var e *Error
	if !errors.As(err, &e) {
		t.Fatal(err)
	}
	if got, err := SplitMbox([]byte(whole + mark + parts)[:e.Got]); err != nil || len(got) != 1 {
		t.Errorf("the whole part: %d messages, %v; want 1", len(got), err)
	}
}

// join writes a mailbox as RFC 4155 and the quoting of one more ">" have it.
func join(messages [][]byte) []byte {
	var b bytes.Buffer
	for _, m := range messages {
		b.WriteString(mark)
		for rest := m; len(rest) > 0; {
			var line []byte
			line, rest, _ = cutLine(rest)
			if bytes.HasPrefix(bytes.TrimLeft(line, ">"), []byte("From ")) {
				b.WriteByte('>')
			}
			b.Write(line)
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

func FuzzSplitMbox(f *testing.F) {
	f.Add([]byte(mark + plain + "\nabc\n\n" + mark + plain + "\n>From x\n\n"))
	f.Add([]byte("From \n\n\n"))
	f.Add(crlf(mark + plain + "\n>>From x\n\n\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		before := bytes.Clone(b)
		got, err := SplitMbox(b)
		if !bytes.Equal(b, before) {
			t.Fatal("the bytes given were changed")
		}
		if err != nil {
			if got != nil {
				t.Fatalf("an error and %d messages", len(got))
			}
			return
		}
		// What was read is written and read again unchanged, where each message
		// ends with a line end, as the form asks.
		for _, m := range got {
			if !bytes.HasSuffix(m, []byte("\n")) || headerEnd(m) == len(m) {
				return
			}
		}
		again, err := SplitMbox(join(got))
		if err != nil || fmt.Sprintf("%q", again) != fmt.Sprintf("%q", got) {
			t.Fatalf("read %q, written and read again %q, %v", got, again, err)
		}
	})
}

func TestMaildir(t *testing.T) {
	for name, want := range map[string]Maildir{
		"1795628280.M20P11.saltmarsh":       {Unique: "1795628280.M20P11.saltmarsh"},
		"1795628280.M20P11.saltmarsh:2,":    {Unique: "1795628280.M20P11.saltmarsh"},
		"1795628280.M20P11.saltmarsh:2,FS":  {Unique: "1795628280.M20P11.saltmarsh", Seen: true},
		"1795628280.M20P11.saltmarsh;2,DST": {Unique: "1795628280.M20P11.saltmarsh", Seen: true, Draft: true, Trashed: true},
	} {
		if got, ok := ParseMaildir(name); !ok || got != want {
			t.Errorf("%q: got %+v, %v; want %+v", name, got, ok, want)
		}
	}
	for _, name := range []string{"", ".hidden", "a/b", ":2,S"} {
		if got, ok := ParseMaildir(name); ok {
			t.Errorf("%q: got %+v, want not ok", name, got)
		}
	}
}
