package traffic

import (
	"bytes"
	"fmt"
	"path"
	"strings"

	"github.com/emersion/go-message/mail"
)

// WithPictures writes a new message like m in which some attachments, by number, are
// replaced by smaller pictures. The text, the other attachments, senders, recipients,
// subject and date stay; the Message-ID is derived from m's, so that the same choice
// makes the same message. m itself is not changed.
func WithPictures(m *Message, smaller map[int]Version) ([]byte, error) {
	var h mail.Header
	addresses := func(key string, list []string) {
		var out []*mail.Address
		for _, a := range list {
			out = append(out, &mail.Address{Address: a})
		}
		h.SetAddressList(key, out)
	}
	addresses("From", m.From)
	addresses("To", m.To)
	h.SetSubject(m.Subject)
	if !m.Date.IsZero() {
		h.SetDate(m.Date)
	}
	total := 0
	for _, v := range smaller {
		total += len(v.Data)
	}
	id := m.MessageID
	if id == "" {
		id = m.ID + "@farhail.invalid"
	}
	local, domain, _ := strings.Cut(id, "@")
	h.SetMessageID(fmt.Sprintf("%s.%d@%s", local, total, domain))

	var out bytes.Buffer
	w, err := mail.CreateWriter(&out, h)
	if err != nil {
		return nil, fmt.Errorf("write message: %w", err)
	}
	var ih mail.InlineHeader
	ih.SetContentType("text/plain", map[string]string{"charset": "utf-8"})
	t, err := w.CreateSingleInline(ih)
	if err != nil {
		return nil, fmt.Errorf("write text: %w", err)
	}
	if _, err := t.Write([]byte(m.Text)); err != nil {
		return nil, err
	}
	if err := t.Close(); err != nil {
		return nil, err
	}
	for i, a := range m.Attachments {
		kind, name, data := a.Type, a.Name, a.Bytes()
		if v, ok := smaller[i]; ok {
			kind, data = "image/jpeg", v.Data
			name = strings.TrimSuffix(name, path.Ext(name)) + ".jpg"
		}
		var ah mail.AttachmentHeader
		ah.SetContentType(kind, nil)
		ah.SetFilename(name)
		p, err := w.CreateAttachment(ah)
		if err != nil {
			return nil, fmt.Errorf("write attachment %s: %w", name, err)
		}
		if _, err := p.Write(data); err != nil {
			return nil, err
		}
		if err := p.Close(); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
