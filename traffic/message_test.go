package traffic

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

// crlf writes test mail as it travels.
func crlf(s string) []byte { return []byte(strings.ReplaceAll(s, "\n", "\r\n")) }

const plain = "From: a@x.example\nTo: b@y.example\nSubject: s\nDate: Wed, 25 Nov 2026 17:02:00 +0000\n"

func mustParse(t testing.TB, raw []byte) *Message {
	t.Helper()
	m, err := Parse(raw, Options{})
	if err != nil {
		t.Fatalf("parse %.60q: %v", raw, err)
	}
	return m
}

func ExampleParse() {
	m, err := Parse([]byte(`From: Saltmarsh <qx2sm@Saltmarsh.Example>
To: shore@saltmarsh.example
Cc: "Harbour, office" <port@pedraalta.example>, shore@saltmarsh.example
Subject: =?utf-8?Q?Ma=C3=A7=C3=A3s?= and water
Date: Wed, 25 Nov 2026 17:02:00 -0100
MT-Priority: 2 (tonight)
Expires: Thu, 26 Nov 2026 06:00:00 +0000

All well.
`), Options{Rules: []Rule{{To: "port@*", Deadline: 6 * time.Hour}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.From, m.To, m.Subject)
	fmt.Println(m.Precedence, "by", m.PrecedenceBy)
	fmt.Println(m.Deadline.UTC().Format(time.RFC3339), "by", m.DeadlineBy)
	// Output:
	// [qx2sm@saltmarsh.example] [shore@saltmarsh.example port@pedraalta.example] Maçãs and water
	// immediate by header MT-Priority
	// 2026-11-26T00:02:00Z by rule 1
}

func TestRefused(t *testing.T) {
	parts := func(n int) string {
		return plain + "Content-Type: multipart/mixed; boundary=b\n\n" + strings.Repeat("--b\n\nx\n", n) + "--b--\n"
	}
	for name, c := range map[string]struct {
		raw   string
		fault Fault
		says  string
	}{
		"nothing":         {"", Empty, "the message is empty: give RFC 5322 mail"},
		"blanks":          {" \r\n\n\t", Empty, "the message is empty: give RFC 5322 mail"},
		"a program":       {"\x7fELF\x02\x01\x00\x00\x00 From: x\n\n", NotMail, "zero octets"},
		"a letter":        {"Dear Ada,\n\nhow are you?\n", NotMail, `it begins with "Dear Ada,"; expected header lines such as From, To and Subject, then an empty line`},
		"JSON":            {`{"From": "a", "To": "b"}`, NotMail, "it begins with"},
		"a mailbox line":  {"From a@x.example Wed Nov 25 17:02:00 2026", NotMail, "no header lines"}, // panicked until 2026-11-25
		"indented":        {"  From: a@x.example\nTo: b@y.example\n\nx", NotMail, "indented"},
		"no recipients":   {"From: a@x.example\nSubject: s\n\nx\n", NoRecipients, "the message has no recipients: add a To, Cc or Bcc line"},
		"an empty group":  {"From: a@x.example\nTo: undisclosed-recipients:;\n\nx\n", NoRecipients, "no recipients"},
		"words as To":     {"From: a@x.example\nTo: all of you out there\n\nx\n", NoRecipients, "no recipients"},
		"26 MB":           {plain + "\n" + strings.Repeat("x", 26_000_000), TooBig, "the most is 25000000: split it"},
		"endless header":  {plain + strings.Repeat("X-A: b\n", 50_000), HeaderTooLong, "the headers are too long"},
		"201 parts":       {parts(201), TooManyParts, "201 parts or more, the most is 200"},
		"a million parts": {parts(1_000_000), TooManyParts, "200"},
		"a long type":     {plain + "Content-Type: text/plain;" + strings.Repeat(" a=b;", 4000) + "\n\nx", HeaderTooLong, "8192"},
		"headers in parts": {plain + "Content-Type: multipart/mixed; boundary=b\n\n--b\n" + strings.Repeat("a\n", 1_000_000),
			HeaderTooLong, "1048576"},
	} {
		m, err := Parse([]byte(c.raw), Options{Unmeasured: true})
		var e *Error
		if !errors.As(err, &e) || e.Fault != c.fault || !strings.Contains(err.Error(), c.says) || m != nil {
			t.Errorf("%s: got %v, %v; want fault %d with %q and no message", name, m != nil, err, c.fault, c.says)
		}
		if err != nil && (strings.Contains(err.Error(), "\n") || len(err.Error()) > 300) {
			t.Errorf("%s: not one clear sentence: %q", name, err)
		}
	}
}

// nested returns a multipart inside a multipart, depth times, each with its own boundary.
func nested(depth int) []byte {
	var b strings.Builder
	b.WriteString(plain)
	for i := range depth {
		fmt.Fprintf(&b, "Content-Type: multipart/mixed; boundary=b%dx\n\n--b%dx\n", i, i)
	}
	b.WriteString("\nthe heart\n")
	for i := depth - 1; i >= 0; i-- {
		fmt.Fprintf(&b, "--b%dx--\n", i)
	}
	return crlf(b.String())
}

func TestNesting(t *testing.T) {
	if m := mustParse(t, nested(maxMultiparts)); m.Text != "the heart" || len(m.Warnings) > 0 {
		t.Errorf("%d deep: text %q, warnings %q", maxMultiparts, m.Text, m.Warnings)
	}
	var e *Error
	for _, depth := range []int{maxMultiparts + 1, 150} {
		if _, err := Parse(nested(depth), Options{}); !errors.As(err, &e) || e.Fault != TooDeep {
			t.Errorf("%d deep: got %v, want fault %d", depth, err, TooDeep)
		}
	}
	if _, err := Parse(nested(5000), Options{}); !errors.As(err, &e) || e.Fault != TooManyParts {
		t.Errorf("5000 deep: got %v, want fault %d", err, TooManyParts)
	}
}

// The worst that the limits let through must still be read in reasonable time.
func TestWorstAllowed(t *testing.T) {
	deep := bytes.Replace(nested(maxMultiparts), []byte("the heart"), bytes.Repeat([]byte("0123456789 abcdefghij -- +/=\r\n"), 200_000), 1)
	junk := append(crlf(plain+"Content-Transfer-Encoding: base64\n\n"), bytes.Repeat([]byte{0xff, '!'}, 3_000_000)...)
	for name, raw := range map[string][]byte{"deep and 6 MB": deep, "6 MB of wrong base64": junk} {
		start := time.Now()
		if _, err := Parse(raw, Options{Unmeasured: true}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if d := time.Since(start); d > 20*time.Second {
			t.Errorf("%s took %v, want under 20 s on any machine", name, d)
		} else {
			t.Logf("%s: %v", name, d)
		}
	}
}

// Mail as it really comes: what is read, and what is remarked.
func TestBroken(t *testing.T) {
	for name, c := range map[string]struct {
		raw    string
		text   string
		warns  string // "" none at all
		verify func(m *Message) bool
	}{
		"UTF-8 undeclared":   {plain + "\ncafé – Zürich\n", "café – Zürich", "", nil},
		"Latin-1 undeclared": {plain + "\ncaf\xe9\n", "café", "", nil},
		"Latin-1 declared":   {plain + "Content-Type: text/plain; charset=iso-8859-1\n\ncaf\xe9\n", "café", "", nil},
		"8-bit subject": {strings.Replace(plain, "Subject: s", "Subject: caf\xe9", 1) + "\nx\n", "x", "",
			func(m *Message) bool { return m.Subject == "café" }},
		"UTF-8 subject": {strings.Replace(plain, "Subject: s", "Subject: café", 1) + "\nx\n", "x", "",
			func(m *Message) bool { return m.Subject == "café" }},
		"unknown charset":           {plain + "Content-Type: text/plain; charset=x-moon\n\nabc\n", "abc", `the character set "x-moon" is not known`, nil},
		"charset without a table":   {plain + "Content-Type: text/plain; charset=iso-2022-kr\n\nabc\n", "abc", "is not known", nil},
		"Japanese":                  {plain + "Content-Type: text/plain; charset=iso-2022-jp\n\n\x1b$B3$\x1b(B\n", "海", "", nil},
		"quoted-printable":          {plain + "Content-Transfer-Encoding: Quoted-Printable\nContent-Type: text/plain; charset=utf-8\n\ncaf=C3=A9 =\nau lait = 50=zz\n", "café au lait = 50=zz", "", nil},
		"base64 text":               {plain + "Content-Transfer-Encoding: base64\n\nYWxsIHdl\nbGw=\n", "all well", "", nil},
		"base64 cut":                {plain + "Content-Transfer-Encoding: base64\n\nYWxsIHdlbG", "all wel", "damaged", nil},
		"base64 with dirt":          {plain + "Content-Transfer-Encoding: base64\n\nYWxs*IHdlbGw=\n", "all well", "damaged", nil},
		"unknown transfer encoding": {plain + "Content-Transfer-Encoding: x-uue\n\nabc\n", "abc", "not known", nil},
		"boundary not given":        {plain + "Content-Type: multipart/mixed\n\n--b\n\nabc\n--b--\n", "--b\n\nabc\n--b--", "", nil},
		"boundary never used":       {plain + "Content-Type: multipart/mixed; boundary=q\n\nabc\n", "abc", "the boundary does not occur", nil},
		"boundary in two pieces":    {plain + "Content-Type: multipart/mixed; boundary*0=b; boundary*1=c\n\n--bc\n\nabc\n--bc--\n", "--bc\n\nabc\n--bc--", "stays in one piece", nil},
		"boundary with blanks":      {plain + "Content-Type: multipart/mixed; boundary=\"b c\"\n\n--b c\n\nabc\n--b c--\n", "abc", "", nil},
		"never closed":              {plain + "Content-Type: multipart/mixed; boundary=b\n\n--b\n\nabc\n", "abc", "the message may be cut short", nil},
		"line without colon":        {"From: a@x.example\nTo: b@y.example\nthis is not a header\nDate: Wed, 25 Nov 2026 17:02:00 +0000\n\nabc\n", "abc", "malformed", nil},
		"folded header": {"From: a@x.example\nTo: b@y.example,\n c@z.example\nDate: Wed, 25 Nov 2026 17:02:00 +0000\n\nabc\n", "abc", "",
			func(m *Message) bool { return slices.Equal(m.To, []string{"b@y.example", "c@z.example"}) }},
		"no date": {"From: a@x.example\nTo: b@y.example\n\nabc\n", "abc", "no date", func(m *Message) bool { return m.Date.IsZero() }},
		"bad date": {"From: a@x.example\nTo: b@y.example\nDate: yesterday\n\nabc\n", "abc", `the date "yesterday" could not be read`,
			func(m *Message) bool { return m.Date.IsZero() }},
		"no sender": {"To: b@y.example\nDate: Wed, 25 Nov 2026 17:02:00 +0000\n\nabc\n", "abc", "no sender", nil},
		"call sign as To": {strings.Replace(plain, "To: b@y.example", "To: QX2SM", 1) + "\nabc\n", "abc", `read as QX2SM`,
			func(m *Message) bool { return slices.Equal(m.To, []string{"QX2SM"}) }},
		"broken To": {strings.Replace(plain, "To: b@y.example", "To: <<b@y.example>, Ada <ada@@>", 1) + "\nabc\n", "abc", "broken",
			func(m *Message) bool { return m.To[0] == "b@y.example" }},
		"only Bcc":        {strings.Replace(plain, "To:", "Bcc:", 1) + "\nabc\n", "abc", "", func(m *Message) bool { return len(m.To) == 1 }},
		"only headers":    {strings.TrimSuffix(plain, "\n"), "", "", nil},
		"mbox line left":  {"From a@x.example Wed Nov 25 17:02:00 2026\n" + plain + "\nabc\n", "abc", "", nil},
		"byte order mark": {"\xef\xbb\xbf" + plain + "\nabc\n", "abc", "", nil},
		"header injection": {strings.Replace(plain, "Subject: s", "Subject: =?utf-8?Q?a=0D=0ABcc:_z@z.example?=", 1) + "\nabc\n", "abc", "",
			func(m *Message) bool { return m.Subject == "a Bcc: z@z.example" && len(m.To) == 1 }},
		"text about mail": {plain + "\n" + strings.Repeat("boundary=b\n--b\n", 300), strings.TrimSpace(strings.Repeat("boundary=b\n--b\n", 300)), "", nil},
		"HTML only":       {plain + "Content-Type: text/html\n\n<style>p{}</style><p>a<b>b</b>&amp;c</p><div>d</div>", "ab&c\nd", "HTML only", nil},
		"two texts":       {plain + "Content-Type: multipart/mixed; boundary=b\n\n--b\n\nabc\n--b\n\ndef\n--b--\n", "abc\n\ndef", "", nil},
		"path as file name": {plain + "Content-Type: multipart/mixed; boundary=b\n\n--b\n\nabc\n--b\nContent-Disposition: attachment; filename=\"../../etc/.pass\\nwd:x\"\n\nq\n--b--\n", "abc", "",
			func(m *Message) bool {
				return len(m.Attachments) == 1 && !strings.ContainsAny(m.Attachments[0].Name, `/\:`)
			}},
		"picture that is none": {plain + "Content-Type: multipart/mixed; boundary=b\n\n--b\n\nabc\n--b\nContent-Type: image/jpeg\nContent-Transfer-Encoding: base64\n\n/9j/4AAQ\n--b--\n", "abc", "",
			func(m *Message) bool {
				return len(m.Attachments) == 1 && !m.Attachments[0].Picture && m.Attachments[0].Name == "part-1.jpg"
			}},
	} {
		raw := crlf(c.raw)
		before := bytes.Clone(raw)
		m, err := Parse(raw, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if m.Text != c.text {
			t.Errorf("%s: text %q, want %q", name, m.Text, c.text)
		}
		if all := strings.Join(m.Warnings, "; "); c.warns == "" && all != "" || !strings.Contains(all, c.warns) {
			t.Errorf("%s: warnings %q, want %q", name, m.Warnings, c.warns)
		}
		if c.verify != nil && !c.verify(m) {
			t.Errorf("%s: From %q To %q Subject %q attachments %v", name, m.From, m.To, m.Subject, m.Attachments)
		}
		if !bytes.Equal(m.Raw, before) {
			t.Errorf("%s: the raw bytes were changed", name)
		}
	}
}

// The same words after a journey through other mail services are the same message;
// the same words on another day are not.
func TestDuplicate(t *testing.T) {
	const text = "All well at the camp.\nCafé is out.\n"
	base := mustParse(t, crlf(plain+"Message-ID: <1@x.example>\n\n"+text))
	for name, c := range map[string]struct {
		raw  string
		same bool
	}{
		"trace headers, LF":  {"Received: from m by n; Thu, 26 Nov 2026 01:00:00 +0000\nDKIM-Signature: v=1\n" + plain + "Message-ID: <1@x.example>\n\n" + text, true},
		"coded again":        {plain + "Message-ID: <1@x.example>\nContent-Type: text/plain; charset=utf-8\nContent-Transfer-Encoding: base64\n\n" + base64.StdEncoding.EncodeToString([]byte(text)) + "\n", true},
		"Message-ID added":   {plain + "Message-ID: <other@gate.example>\n\n" + text + "\n", true},
		"Message-ID lost":    {plain + "\n" + text, true},
		"date in local time": {strings.Replace(plain, "17:02:00 +0000", "16:02:00 -0100", 1) + "\n" + text, true},
		"same ID, other To":  {strings.Replace(plain, "To: b@y", "To: c@z", 1) + "Message-ID: <1@x.example>\n\n" + text, true},
		"another day":        {strings.Replace(plain, "Wed, 25", "Thu, 26", 1) + "Message-ID: <2@x.example>\n\n" + text, false},
		"another text":       {plain + "Message-ID: <1@x.example>\n\n" + text + "Not quite.\n", false},
		"another recipient":  {strings.Replace(plain, "To: b@y", "To: c@z", 1) + "\n" + text, false},
	} {
		other := mustParse(t, []byte(c.raw))
		if got := Duplicate(base, other); got != c.same || Duplicate(other, base) != c.same {
			t.Errorf("%s: duplicate %v, want %v", name, got, c.same)
		}
	}
	if len(base.ID) != 12 || strings.Trim(base.ID, "0123456789abcdef") != "" {
		t.Errorf("ID %q, want 12 hexadecimal digits", base.ID)
	}
}
