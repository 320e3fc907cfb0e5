package traffic

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"slices"
	"strings"
)

// Two messages are the same when what a person wrote is the same. Trace fields,
// the coding of parts and line ends change under way and do not count; the date
// does, or "all well" on Tuesday would be lost as a copy of Monday's.
//
//	bodyHash = SHA-256(text, HTML, attachments)
//	identity = SHA-256(senders, recipients, subject, date, bodyHash)
//
// Every piece is hashed behind its length, so that no two lists run together.

func (m *Message) identify() {
	b := sha256.New()
	put(b, plainLines(m.Text)) // derived from the HTML or not
	put(b, plainLines(m.html))
	for _, a := range m.Attachments {
		put(b, a.Name)
		sum := sha256.Sum256(a.data)
		b.Write(sum[:])
	}
	b.Sum(m.bodyHash[:0])

	d := sha256.New()
	put(d, anyOrder(m.From))
	put(d, anyOrder(m.To))
	put(d, m.Subject)
	var date int64
	if !m.Date.IsZero() {
		date = m.Date.Unix()
	}
	put(d, string(binary.BigEndian.AppendUint64(nil, uint64(date))))
	d.Write(m.bodyHash[:])
	d.Sum(m.identity[:0])
	m.ID = hex.EncodeToString(m.identity[:6])
}

func put(h hash.Hash, s string) {
	h.Write(binary.BigEndian.AppendUint64(nil, uint64(len(s))))
	h.Write([]byte(s))
}

// plainLines drops what mail services change: carriage returns, blanks at the end
// of lines, empty lines at the end.
func plainLines(s string) string {
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " \t\r")
	}
	return strings.TrimRight(strings.Join(lines, "\n"), "\n")
}

func anyOrder(addresses []string) string {
	a := slices.Clone(addresses)
	for i := range a {
		a[i] = strings.ToLower(a[i])
	}
	slices.Sort(a)
	return strings.Join(a, "\n")
}

// Keys returns the texts by which a store finds duplicates: two messages are
// duplicates when they share one.
func (m *Message) Keys() []string {
	keys := []string{"content " + hex.EncodeToString(m.identity[:])}
	if m.MessageID != "" {
		h := sha256.New()
		put(h, m.MessageID)
		h.Write(m.bodyHash[:])
		keys = append(keys, "message-id "+hex.EncodeToString(h.Sum(nil)))
	}
	return keys
}

// Duplicate says whether two messages are the same piece of mail: the same
// Message-ID over the same content, or the same senders, recipients, subject,
// date and content under other headers.
func Duplicate(a, b *Message) bool {
	for _, k := range a.Keys() {
		if slices.Contains(b.Keys(), k) {
			return true
		}
	}
	return false
}
