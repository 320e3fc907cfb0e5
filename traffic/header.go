package traffic

import (
	"net/mail"
	"net/textproto"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/jhillyerd/enmime/v2"
	"golang.org/x/text/encoding/charmap"
)

type field struct{ name, value string }

// The headers that travel in the canonical form: who, to whom, what about, when,
// which thread, how urgent. Trace fields (RFC 5322 §3.6.7), signatures of mail
// services and the describing of parts do not.
var travelling = []string{
	"From", "Sender", "Reply-To", "To", "Cc", "Bcc", "Subject", "Date", "Message-Id",
	"In-Reply-To", "References", hdrMMHS, hdrMTPriority, "Latest-Delivery-Time", "Expires", "Expiry-Date", "Reply-By",
}

func (m *Message) readHeaders(h textproto.MIMEHeader) {
	for _, name := range travelling {
		for _, v := range h[name] {
			m.kept = append(m.kept, field{name, headerText(v)})
		}
	}
	m.From = m.addresses(h, "From")
	if len(m.From) == 0 {
		if m.From = m.addresses(h, "Sender"); len(m.From) == 0 {
			m.warn("no sender is named")
		}
	}
	m.To = m.addresses(h, "To", "Cc", "Bcc")
	if len(m.To) == 0 { // RFC 5322 §3.6.6: mail sent on names its new recipients apart
		m.To = m.addresses(h, "Resent-To", "Resent-Cc", "Resent-Bcc")
	}
	m.Subject = headerText(h.Get("Subject"))
	m.MessageID = strings.Trim(headerText(h.Get("Message-Id")), "<> ")
	switch date := headerText(h.Get("Date")); {
	case date == "":
		m.warn("the message has no date")
	default:
		t, err := mail.ParseDate(date)
		if err != nil {
			m.warn("the date " + quote(date) + " could not be read")
		}
		m.Date = t
	}
}

// headerText decodes RFC 2047 words. Octets above 127 that are not UTF-8 are
// taken for Windows-1252, of which Latin-1 is a part (common practice).
func headerText(v string) string {
	if !utf8.ValidString(v) {
		v, _ = charmap.Windows1252.NewDecoder().String(v)
	}
	return clean(enmime.DecodeRFC2047(v), maxHeader)
}

// clean makes a text fit for one line: no control characters, runs of blanks
// become one, and no more than n octets.
func clean(s string, n int) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	s = strings.Join(strings.Fields(s), " ")
	if len(s) > n {
		for n > 0 && !utf8.RuneStart(s[n]) {
			n--
		}
		s = s[:n]
	}
	return s
}

func quote(s string) string { return `"` + clean(s, 60) + `"` }

// addresses returns the bare addresses of some headers in order, each once.
func (m *Message) addresses(h textproto.MIMEHeader, names ...string) []string {
	var all []string
	seen := map[string]bool{}
	for _, name := range names {
		for _, v := range h[name] {
			for _, a := range m.addressList(name, v) {
				if key := strings.ToLower(a); !seen[key] {
					seen[key] = true
					all = append(all, a)
				}
			}
		}
	}
	return all
}

func (m *Message) addressList(name, value string) []string {
	list, err := enmime.ParseAddressList(value)
	if err != nil {
		return m.salvage(name, headerText(value))
	}
	out := make([]string, 0, len(list))
	for _, a := range list {
		if a := clean(a.Address, 320); a != "" {
			out = append(out, lowerDomain(a))
		}
	}
	return out
}

// salvage picks what looks like an address out of a list that cannot be read:
// words with an @, else a single bare word, as stations write a call sign.
func (m *Message) salvage(name, value string) []string {
	if value == "" || strings.HasSuffix(value, ":;") { // an empty group (RFC 5322 §3.4)
		return nil
	}
	words := strings.FieldsFunc(value, func(r rune) bool { return strings.ContainsRune(" ,;<>()\"", r) })
	var out []string
	for _, w := range words {
		if at := strings.IndexByte(w, '@'); at > 0 && at < len(w)-1 {
			out = append(out, lowerDomain(w))
		}
	}
	if len(out) == 0 && len(words) == 1 && !strings.Contains(words[0], "@") {
		out = words
	}
	if len(out) == 0 {
		m.warn("the " + name + " line " + quote(value) + " holds no address")
	} else {
		m.warn("the " + name + " line " + quote(value) + " is broken; read as " + strings.Join(out[:min(3, len(out))], ", "))
	}
	return out
}

// lowerDomain: the part after the @ knows no case (RFC 5321 §2.4), the part before may.
func lowerDomain(a string) string {
	if at := strings.LastIndexByte(a, '@'); at >= 0 {
		return a[:at] + strings.ToLower(a[at:])
	}
	return a
}
