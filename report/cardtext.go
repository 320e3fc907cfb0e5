package report

import (
	"embed"
	"math"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/sfnt"
)

//go:embed font/regular.ttf font/italic.ttf font/bold.ttf
var faces embed.FS

// styles are the three cuts as the PDF library names them.
var styles = map[string]string{"": "font/regular.ttf", "I": "font/italic.ttf", "B": "font/bold.ttf"}

const family = "serif"

// A pen writes on a page. Lengths are points, y runs downward.
type pen struct {
	*fpdf.Fpdf
	known map[string]*sfnt.Font
	buf   sfnt.Buffer
	style string
	size  float64
}

// newPen makes a document. Its bytes depend on nothing but what is drawn.
func newPen(width, height float64, c *Card) *pen {
	p := &pen{Fpdf: fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: width, Ht: height}}), known: map[string]*sfnt.Font{}}
	p.SetCatalogSort(true)
	p.SetCreationDate(c.At.UTC())
	p.SetModificationDate(c.At.UTC())
	p.SetProducer("Farhail", true)
	p.SetTitle("Farhail: the watch of "+c.Name+", "+c.At.UTC().Format("2 January 2006 15:04")+" UTC", true)
	p.SetLang("en")
	p.SetMargins(0, 0, 0)
	p.SetAutoPageBreak(false, 0)
	for _, style := range []string{"", "B", "I"} {
		b, err := faces.ReadFile(styles[style])
		if err != nil {
			panic("report: " + err.Error())
		}
		f, err := sfnt.Parse(b)
		if err != nil {
			panic("report: " + styles[style] + ": " + err.Error())
		}
		p.AddUTF8FontFromBytes(family, style, b)
		p.known[style] = f
	}
	p.SetLineJoinStyle("round")
	return p
}

func (p *pen) face(style string, size float64) {
	p.style, p.size = style, size
	p.SetFont(family, style, size)
}

// plain puts a question mark for what the face does not have, and a space for what does
// not print: mail brings all of it.
func (p *pen) plain(style, s string) string {
	f := p.known[style]
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 {
			return ' '
		}
		if i, err := f.GlyphIndex(&p.buf, r); err != nil || i == 0 || r > 0xffff {
			return '?'
		}
		return r
	}, s)
}

// write puts words down at a baseline; anchor is start, middle or end. It returns how
// wide they are.
func (p *pen) write(x, y float64, anchor, style string, size float64, s string) float64 {
	p.face(style, size)
	s = p.plain(style, s)
	w := p.GetStringWidth(s)
	switch anchor {
	case "end":
		x -= w
	case "middle":
		x -= w / 2
	}
	p.Text(x, y, s)
	return w
}

// width of words.
func (p *pen) width(style string, size float64, s string) float64 {
	p.face(style, size)
	return p.GetStringWidth(p.plain(style, s))
}

// clip shortens words to a width.
func (p *pen) clip(style string, size, room float64, s string) string {
	if p.width(style, size, s) <= room {
		return s
	}
	r := []rune(s)
	for len(r) > 1 {
		r = r[:len(r)-1]
		if t := strings.TrimRight(string(r), " ,.:") + "…"; p.width(style, size, t) <= room {
			return t
		}
	}
	return "…"
}

// A run is words in one style.
type run struct{ style, s string }

// A word of a line and where it stands.
type word struct {
	run
	x float64
}

// wrap breaks runs into lines; room is how wide line i may be. A word wider than a line
// is cut. Words stick together across runs where no space parts them, and at a no-break
// space.
func (p *pen) wrap(size float64, room func(i int) float64, runs ...run) [][]word {
	var lines [][]word
	var line []word
	x := 0.0
	flush := func() { lines, line, x = append(lines, line), nil, 0 }
	var piece []word // a word, perhaps of several styles
	wide, gap := 0.0, 0.0
	settle := func() {
		if len(piece) == 0 {
			return
		}
		if x > 0 && x+gap+wide > room(len(lines)) {
			flush()
		} else if x > 0 {
			x += gap
		}
		for _, w := range piece {
			if most := room(len(lines)); w.x+x+p.width(w.style, size, w.s) > most {
				w.s = p.clip(w.style, size, max(most-w.x-x, 0), w.s)
			}
			line = append(line, word{w.run, x + w.x})
		}
		x += wide
		piece, wide, gap = nil, 0, 0
	}
	for _, r := range runs {
		for i, s := range strings.Split(r.s, " ") {
			if i > 0 {
				settle()
				gap = p.width(r.style, size, " ")
			}
			if s != "" {
				piece = append(piece, word{run{r.style, s}, wide})
				wide += p.width(r.style, size, s)
			}
		}
	}
	settle()
	if len(line) > 0 {
		flush()
	}
	return lines
}

// lines puts wrapped lines down from a first baseline and returns the last.
func (p *pen) lines(x, y, size, lead float64, lines [][]word) float64 {
	for i, l := range lines {
		for _, w := range l {
			p.write(x+w.x, y+float64(i)*lead, "start", w.style, size, w.s)
		}
	}
	return y + float64(max(len(lines)-1, 0))*lead
}

// beside wraps runs so that the last line, empty if need be, leaves a margin free on its
// right.
func (p *pen) beside(size, full, margin float64, runs ...run) [][]word {
	for n := 1; ; n++ {
		lines := p.wrap(size, func(i int) float64 {
			if i < n-1 {
				return full
			}
			return full - margin
		}, runs...)
		switch {
		case len(lines) == n:
			return lines
		case len(lines) < n: // the last line is full: the margin stands beside none
			return append(lines, nil)
		}
	}
}

// rule draws a level line.
func (p *pen) rule(x, y, w, thick, grey float64) {
	g := int(math.Round(grey * 255))
	p.SetDrawColor(g, g, g)
	p.SetLineWidth(thick)
	p.Line(x, y, x+w, y)
	p.SetDrawColor(0, 0, 0)
}
