package traffic

import (
	"bytes"
	"image"
	"image/gif"
	"image/jpeg"
	"image/png"
	"path"
	"strconv"
	"strings"

	"github.com/jhillyerd/enmime/v2"
	"github.com/jhillyerd/enmime/v2/mediatype"
	"golang.org/x/net/html"

	"farhail/unit"
)

// readBody walks the parts: texts to Text, everything else to Attachments. mail
// is what the parts were read from.
func (m *Message) readBody(root *enmime.Part, mail []byte) {
	if root.FirstChild == nil && len(root.Content) == 0 && strings.HasPrefix(root.ContentType, "multipart/") {
		root.Content = mail[headerEnd(mail):] // its boundary never comes: keep all of it
		m.warn("the parts cannot be told apart: the boundary does not occur")
	}
	m.walk(root, false)
	m.Text = strings.Trim(m.Text, "\n")
	if m.Text == "" && m.html != "" {
		m.Text, m.derived = htmlText(m.html), true
		m.warn("the text is given as HTML only")
	} else if m.html != "" {
		m.warn("the text travels twice, plain and as HTML: plain alone is smaller")
	}
}

func (m *Message) walk(p *enmime.Part, alternative bool) {
	for _, e := range p.Errors {
		if s, ok := librarySays[e.Name]; ok {
			m.warn(s)
		}
	}
	if p.FirstChild == nil {
		m.leaf(p, alternative)
		return
	}
	for c := p.FirstChild; c != nil; c = c.NextSibling {
		m.walk(c, p.ContentType == "multipart/alternative")
	}
}

// What the library remarks, in our words. What it says of the coding of parts is
// not listed: that is decoded here.
var librarySays = map[string]string{
	enmime.ErrorMalformedHeader:    "a header line is malformed and was repaired or left out",
	enmime.ErrorMissingBoundary:    "the last part has no end: the message may be cut short",
	enmime.ErrorMalformedChildPart: "a part is malformed and was left out",
}

func (m *Message) leaf(p *enmime.Part, alternative bool) {
	data := p.Content
	if len(data) == 0 && strings.HasPrefix(p.ContentType, "multipart/") {
		m.warn("a multipart section holds no part")
		return
	}
	data = m.decode(p.Header.Get("Content-Transfer-Encoding"), data)
	if cd := p.Header.Get("Content-Disposition"); p.ContentType == "" && cd != "" && len(cd) <= maxMediaType {
		// the library passes over it when there is no Content-Type
		if kind, params, _, err := mediatype.Parse(cd); err == nil {
			p.Disposition, p.FileName = kind, params["filename"]
		}
	}
	isText := p.ContentType == "" || strings.HasPrefix(p.ContentType, "text/") || strings.HasPrefix(p.ContentType, "multipart/")
	if !isText || p.Disposition == "attachment" || p.FileName != "" {
		m.attach(p, data)
		return
	}
	text := strings.ReplaceAll(m.toUTF8(p.Charset, data), "\r\n", "\n")
	switch {
	case p.ContentType == "text/html":
		m.html += text
	case alternative && m.Text != "":
		m.attach(p, data) // a second version of the text, kept whole
	case m.Text == "":
		m.Text = text
	default:
		m.Text += "\n\n" + text
	}
}

func (m *Message) attach(p *enmime.Part, data []byte) {
	a := Attachment{Type: p.ContentType, Size: unit.Bytes(len(data)), data: data}
	if a.Type == "" {
		a.Type = "application/octet-stream"
	}
	if c, kind, err := pictureConfig(data); err == nil {
		a.Picture, a.Width, a.Height = true, c.Width, c.Height
		a.Type = kind
	}
	a.Name = fileName(p.FileName)
	if a.Name == "" {
		a.Name = "part-" + strconv.Itoa(len(m.Attachments)+1) + extensions[a.Type]
	}
	m.Attachments = append(m.Attachments, a)
}

var extensions = map[string]string{
	"image/jpeg": ".jpg", "image/png": ".png", "image/gif": ".gif", "text/plain": ".txt", "text/html": ".html",
	"text/csv": ".csv", "text/calendar": ".ics", "application/pdf": ".pdf", "message/rfc822": ".eml", "application/gzip": ".gz", "application/zip": ".zip",
}

// fileName keeps the last element of a name and none of what a file system or a
// terminal could take amiss.
func fileName(s string) string {
	s = path.Base(strings.ReplaceAll(headerText(s), `\`, "/"))
	s = strings.Map(func(r rune) rune {
		if strings.ContainsRune(`<>:"|?*`, r) {
			return '_'
		}
		return r
	}, s)
	s = strings.TrimLeft(clean(s, 120), ". ")
	if s == "/" || s == "" {
		return ""
	}
	return s
}

// pictureConfig reads the header of a picture by its first octets, whatever the
// mail says of its type.
func pictureConfig(b []byte) (image.Config, string, error) {
	switch r := bytes.NewReader(b); {
	case bytes.HasPrefix(b, []byte("\xff\xd8\xff")):
		c, err := jpeg.DecodeConfig(r)
		return c, "image/jpeg", err
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		c, err := png.DecodeConfig(r)
		return c, "image/png", err
	case bytes.HasPrefix(b, []byte("GIF8")):
		c, err := gif.DecodeConfig(r)
		return c, "image/gif", err
	}
	return image.Config{}, "", &Error{Fault: NotPicture, Detail: "its first octets are of no known kind"}
}

// htmlText returns the words of an HTML text, a line for each block. It reads
// token by token, so nothing nested can exhaust it.
func htmlText(s string) string {
	var b strings.Builder
	z := html.NewTokenizer(strings.NewReader(s))
	z.SetMaxBuf(1 << 20)
	hidden := ""
	for {
		switch z.Next() {
		case html.ErrorToken:
			lines := strings.Split(b.String(), "\n")
			out := lines[:0]
			for _, l := range lines {
				if l = strings.Join(strings.Fields(l), " "); l != "" {
					out = append(out, l)
				}
			}
			return strings.Join(out, "\n")
		case html.TextToken:
			if hidden == "" {
				b.WriteString(strings.ReplaceAll(string(z.Text()), "\n", " "))
			}
		case html.StartTagToken:
			switch name, _ := z.TagName(); string(name) {
			case "style", "script", "title":
				hidden = string(name)
			case "br", "p", "div", "tr", "li", "h1", "h2", "h3", "h4", "table", "blockquote", "pre":
				b.WriteByte('\n')
			case "td", "th":
				b.WriteByte(' ')
			}
		case html.SelfClosingTagToken:
			if name, _ := z.TagName(); string(name) == "br" {
				b.WriteByte('\n')
			}
		case html.EndTagToken:
			if name, _ := z.TagName(); string(name) == hidden {
				hidden = ""
			}
		}
	}
}
