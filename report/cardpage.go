package report

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Measures of a leaf, in points. A4 on its side is two leaves.
const (
	leafWidth  = 419.53
	leafHeight = 595.28
	side       = 28.0
	measure    = leafWidth - 2*side // of a line of words
	leafFoot   = leafHeight - 24
)

// paper is a card being printed: leaf by leaf.
type paper struct {
	*pen
	card   *Card
	size   Size
	leaves int
	spans  int      // windows printed under a day
	lanes  *Picture // the ribbon's lanes, when they found no room under it
	x      float64  // left edge of the words on this leaf
}

// PDF prints the card: a leaf for the watch, a leaf for the week; more where they do not
// fit. The same card gives the same bytes.
func (c *Card) PDF(size Size) ([]byte, error) {
	if !slices.Contains(Sizes, size) {
		return nil, fmt.Errorf("print card: no paper %q", size)
	}
	width := leafWidth
	if size == A4 {
		width *= 2
	}
	p := &paper{pen: newPen(width, leafHeight, c), card: c, size: size}
	p.watch()
	p.week()
	if p.lanes != nil {
		y := p.leaf("The watch, ", "continued", "all times UTC")
		p.pencil(p.under(y+4), leafFoot, "In pencil")
	}
	if p.size == A4 && p.leaves%2 == 1 {
		p.leaf("In pencil", "", "all times UTC")
		p.pencil(58, leafFoot, "")
	}
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		return nil, fmt.Errorf("print card: %w", err)
	}
	return b.Bytes(), nil
}

// leaf turns to the next leaf, heads it, and returns where its matter begins.
func (p *paper) leaf(bold, rest, right string) float64 {
	p.x = side
	if p.size == A4 && p.leaves%2 == 1 {
		p.x += leafWidth
	} else {
		p.AddPage()
		if p.size == A4 {
			p.SetDashPattern([]float64{3, 3}, 0)
			p.SetDrawColor(150, 150, 150)
			p.SetLineWidth(0.5)
			p.Line(leafWidth, 0, leafWidth, leafHeight)
			p.SetDashPattern([]float64{}, 0)
			p.SetDrawColor(0, 0, 0)
		}
	}
	p.leaves++
	const size, base = 15.5, 40.0
	w := p.write(p.x, base, "start", "B", size, bold)
	free := measure - w - p.write(p.x+measure, base, "end", "", 9, right) - 8
	p.write(p.x+w, base, "start", "", size, p.clip("", size, free, rest))
	p.rule(p.x, base+9.5, measure, 0.6, 0)
	p.rule(p.x, base+11.7, measure, 0.6, 0)
	return base + 12
}

func day(t time.Time) string { return t.UTC().Format("Mon 2") }

// watch prints the calls, the ribbon, and what they rest on.
func (p *paper) watch() {
	c := p.card
	y := p.leaf("The watch, ", day(c.At)+" to "+c.Until.UTC().Format("Mon 2 January"), "all times UTC")
	y = p.intro(y + 12)
	foot, footLines := p.foot()
	room := foot - 6
	pitch, blocks := p.pitch(room - y)
	if len(c.Calls) == 0 {
		y = p.lines(p.x, y+20, 13, 16, p.wrap(13, fixed(measure), run{"", c.Sentence})) + 10
	} else {
		y = p.columns(y, pitch)
	}
	p.footing(foot, footLines)
	bottom := room
	for i, b := range blocks {
		if y+b.height(pitch) > bottom {
			y = p.leaf("The watch, ", "continued", "all times UTC")
			y, bottom = p.columns(y, pitch), leafFoot
		}
		y = p.call(y, i, b, pitch)
	}
	if len(blocks) > 0 {
		p.rule(p.x, y, measure, 1, 0)
	}
	if len(c.Also) > 0 {
		lines := p.wrap(pitch.small, fixed(measure), run{"", strings.Join(c.Also, " ")})
		if y+float64(len(lines))*pitch.lead+4 > bottom {
			y, bottom = p.leaf("The watch, ", "continued", "all times UTC"), leafFoot
		}
		y = p.lines(p.x, y+pitch.lead+2, pitch.small, pitch.lead, lines) + 4
	}
	if c.Ribbon == nil {
		return
	}
	if pic, whole := p.fit(bottom - y - 8 - pencilRoom); whole { // room for the pencil beside a whole picture
		p.pencil(y+2, bottom-pic.H*ribbonScale-6, "In pencil")
		p.picture(pic, p.x, bottom-pic.H*ribbonScale, ribbonScale)
		return
	}
	pic, whole := p.fit(bottom - y - 8)
	if pic == nil {
		y, bottom = p.leaf("The sky, ", day(c.At)+" to "+day(c.Until), "all times UTC"), leafFoot
		if pic, whole = p.fit(bottom - y - 8); pic == nil {
			return
		}
	}
	if !whole {
		p.lanes = p.below(pic.X0)
	}
	p.picture(pic, p.x, bottom-pic.H*ribbonScale, ribbonScale)
}

func fixed(w float64) func(int) float64 { return func(int) float64 { return w } }

// intro says who, where, when and what there is.
func (p *paper) intro(y float64) float64 {
	c := p.card
	s := fmt.Sprintf(", %s, %s at %s.", c.Call, strings.ReplaceAll(c.Position, " ", "\u00a0"), hm(c.At))
	if v := math.Round(math.Abs(c.VariationDeg)); v >= 1 {
		way := "east"
		if c.VariationDeg < 0 {
			way = "west"
		}
		s += fmt.Sprintf(" Bearings true and by compass, variation %.0f°\u00a0%s.", v, way)
	} else {
		s += " Bearings true; the compass agrees within a degree."
	}
	if !c.Sunset.IsZero() {
		a, b := "Sunset "+hm(c.Sunset), "sunrise "+hm(c.Sunrise)
		if c.Sunrise.Before(c.Sunset) {
			a, b = "Sunrise "+hm(c.Sunrise), "sunset "+hm(c.Sunset)
		}
		s += " " + a + ", " + b + "."
	}
	for _, more := range []string{c.Battery, c.Traffic} {
		if more != "" {
			s += " " + more
		}
	}
	return p.lines(p.x, y, 8.7, 10.8, p.wrap(8.7, fixed(measure), run{"I", c.Name}, run{"", s})) + 6
}

const footSize, footLead = 7.3, 8.9

// foot measures what stands at the foot of the first leaf: how to read it, and the
// cautions; what it rests on, unless the leaf of the week says so.
func (p *paper) foot() (top float64, lines [][]word) {
	c := p.card
	read := ""
	if r := c.Ribbon; r != nil {
		if r.Focus != "" {
			read = "Picture: above, the sky to " + r.Focus + ", darker where it is surer to carry; a line is a channel, thicker where a call is likelier to connect. "
		}
		if len(r.Strands) > 0 {
			read += "Below it the best chance at each other station. "
		}
	}
	rest := c.made()
	if len(c.Week.Stations) == 0 {
		rest = c.rests()
	}
	lines = p.wrap(footSize, fixed(measure), run{"I", read}, run{"", rest + " "}, run{"B", Cautions[0] + " "}, run{"", strings.Join(Cautions[1:], " ")})
	return leafFoot - float64(len(lines)-1)*footLead - footSize - 3, lines
}

// made says when the card was made, rests also on what.
func (c *Card) made() string { return "Made " + c.At.UTC().Format("2 Jan 2006 15:04") + "." }

func (c *Card) rests() string { return c.made() + " " + strings.Join(c.Assumed, " ") }

func (p *paper) footing(top float64, lines [][]word) {
	p.rule(p.x, top, measure, 0.6, 0)
	p.lines(p.x, top+footSize+3, footSize, footLead, lines)
}

// ribbonScale is points a px of the ribbon's layout; mostSky the tallest sky, px.
const (
	ribbonScale = 0.6
	mostSky     = 280.0
)

// frame is the room of the ribbon on paper.
func frame() Frame {
	return Frame{Width: measure / ribbonScale, Left: 128, Right: 52, Lane: 36, MaxHalf: 4.2}
}

// fit lays the ribbon out as tall as the room allows; with little room it gives up what
// lies under the strands, and is not whole. Nil: there is no room.
func (p *paper) fit(room float64) (pic *Picture, whole bool) {
	r := *p.card.Ribbon
	f := frame()
	for _, keep := range []struct {
		whole bool
		least float64 // height of the sky
	}{{true, 150}, {false, 84}} {
		if !keep.whole {
			r.Load, r.Battery = nil, nil
		}
		for _, f.Strand = range []float64{26, 22, 18, 16} {
			// Whatever stands below the sky keeps its height.
			f.Sky = mostSky
			if over := Lay(&r, f).H - room/ribbonScale; over > 0 {
				f.Sky -= math.Ceil(over)
			}
			if f.Sky >= keep.least {
				return Lay(&r, f), keep.whole
			}
			if len(r.Strands) == 0 {
				break
			}
		}
	}
	return nil, false
}

// below is the ribbon without sky and strands: battery and what is to send, on an axis
// that begins as far in as the picture's. Nil: there is neither.
func (p *paper) below(left float64) *Picture {
	all := p.card.Ribbon
	if all.Battery == nil && all.Load == nil {
		return nil
	}
	f := frame()
	f.Lane, f.Left = 30, left
	return Lay(&Ribbon{From: all.From, To: all.To, Now: all.Now, Nights: all.Nights, Battery: all.Battery, Load: all.Load}, f)
}

// lanesHead is the height of the words over the lanes.
const lanesHead = 14.0

// under puts the lanes down with their head, and returns where the rest begins.
func (p *paper) under(y float64) float64 {
	x := p.write(p.x, y+10, "start", "B", 9, "Battery and traffic, ")
	p.write(p.x+x, y+10, "start", "", 9, day(p.card.At)+" to "+day(p.card.Until)+", on the hours of the picture")
	p.picture(p.lanes, p.x, y+lanesHead, ribbonScale)
	y += lanesHead + p.lanes.H*ribbonScale
	p.lanes = nil
	return y + 6
}

// pencilRoom is that of a head and two lines.
const pencilRoom = 52.0

// pencil rules lines for what happens, down to a foot.
func (p *paper) pencil(y, foot float64, head string) {
	const lead = 19
	if y+lead+10 > foot {
		return
	}
	if head != "" {
		p.write(p.x, y+10, "start", "B", 9, head)
	}
	for y += 10 + lead; y <= foot; y += lead {
		p.rule(p.x, y, measure, 0.6, 0.35)
	}
}
