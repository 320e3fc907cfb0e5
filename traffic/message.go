package traffic

import (
	"bytes"
	"time"

	"github.com/jhillyerd/enmime/v2"

	"farhail/unit"
)

// Message is one piece of mail, read.
type Message struct {
	ID  string // first 12 hexadecimal digits of the identity, see identity.go
	Raw []byte // as it came; shared with the caller of Parse, not to be written

	From, To  []string // addresses without names; To holds To, Cc and Bcc
	Subject   string
	Date      time.Time // zero when absent or unreadable
	MessageID string    // without angle brackets

	Precedence   Precedence
	PrecedenceBy string    // "operator", "rule 2", "header MT-Priority", "default"
	Deadline     time.Time // zero: none
	DeadlineBy   string    // as PrecedenceBy; "" when there is none

	Text        string // the plain text; from the HTML when there is none
	Attachments []Attachment

	Size     unit.Bytes // of Raw
	OnAir    Size       // zero when Options.Unmeasured
	Warnings []string   // one sentence each, for the operator

	html     string
	derived  bool    // Text was made from html
	kept     []field // headers that travel, see header.go
	bodyHash [32]byte
	identity [32]byte
}

// Attachment is a part that is not the text of the message.
type Attachment struct {
	Name    string // a bare file name, never empty
	Type    string // "image/jpeg", "application/octet-stream" when unsaid
	Size    unit.Bytes
	Picture bool // JPEG, PNG or GIF whose header was read
	Width   int  // pixels, as stored
	Height  int

	data []byte
}

// Bytes returns the decoded attachment. It is shared: not to be written.
func (a Attachment) Bytes() []byte { return a.data }

// Options is what is known about a message from outside it. Whoever parses with
// equal options gets equal messages at any hour: the clock is not read.
type Options struct {
	Precedence Precedence // the operator's word; Unset: ask the rules, then the header
	Deadline   time.Time  // the operator's word; zero: likewise
	Rules      []Rule
	Queued     time.Time // when it was handed over: a rule's span counts from the mail's Date, else from here
	Unmeasured bool      // leave OnAir zero: compressing takes most of the time
}

// Parse reads one message. Broken headers, unknown character sets and damaged
// encodings are repaired as far as that can be done, each with a warning; what
// cannot be carried (no recipients, no mail at all, beyond the limits) is an *Error.
func Parse(raw []byte, o Options) (*Message, error) {
	g, err := guard(raw)
	if err != nil {
		return nil, err
	}
	root, err := enmime.NewParser(
		enmime.RawContent(true),
		enmime.MultipartWOBoundaryAsSinglePart(true),
		enmime.MaxStoredPartErrors(maxWarnings),
		enmime.SetCustomParseMediaType(g.mediaType),
	).ReadParts(bytes.NewReader(g.mail))
	switch {
	case g.err != nil:
		return nil, g.err
	case err != nil:
		return nil, &Error{Fault: Unreadable, Detail: clean(err.Error(), 120)}
	}

	m := &Message{Raw: raw, Size: unit.Bytes(len(raw)), Warnings: g.warnings}
	m.readHeaders(root.Header)
	if len(m.To) == 0 {
		return nil, &Error{Fault: NoRecipients}
	}
	m.readBody(root, g.mail)
	m.identify()
	m.judge(root.Header, o)
	if !o.Unmeasured {
		m.OnAir = m.measure()
	}
	return m, nil
}

// warn keeps the first few different warnings; a wrecked message has thousands.
func (m *Message) warn(s string) {
	for _, w := range m.Warnings {
		if w == s {
			return
		}
	}
	if len(m.Warnings) < maxWarnings {
		m.Warnings = append(m.Warnings, s)
	}
}
