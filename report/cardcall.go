package report

import (
	"fmt"
	"math"
	"strings"
)

// A pitch is how closely the calls are set.
type pitch struct {
	head, small, lead float64 // sizes of the first line and of the rest, and their leading
	above, below      float64 // room before the first baseline and after the last
	short             bool    // without the subjects
}

var pitches = []pitch{
	{head: 11, small: 8.6, lead: 10.8, above: 13.5, below: 6.5},
	{head: 10.5, small: 8, lead: 9.8, above: 12, below: 4},
	{head: 10, small: 7.5, lead: 9, above: 11, below: 3.2, short: true},
}

// A block is a call's words set in lines.
type block struct{ lines [][]word }

func (b block) height(k pitch) float64 { return k.above + float64(len(b.lines))*k.lead + k.below }

// pitch chooses how closely to set the calls, so that the ribbon finds room beside them
// on the first leaf.
func (p *paper) pitch(room float64) (k pitch, blocks []block) {
	for _, k = range pitches {
		blocks = nil
		tall := headings
		for i := range p.card.Calls {
			b := p.set(&p.card.Calls[i], k)
			blocks, tall = append(blocks, b), tall+b.height(k)
		}
		if left := room - tall - 8; left > 0 {
			if p.card.Ribbon == nil {
				break
			}
			if pic, _ := p.fit(left); pic != nil {
				break
			}
		}
	}
	return k, blocks
}

// indent is where times stand, beside the call's number; nameAt where names begin.
const (
	indent = 14.0
	nameAt = 49.0
)

// Right edges of the columns.
const (
	khzAt     = 226.0
	trueAt    = 252.0
	compassAt = 277.0
	chanceAt  = 324.0
	headings  = 11.0
)

// columns heads the columns of the calls.
func (p *paper) columns(y float64, k pitch) float64 {
	const size = 7.3
	base := y + 6
	for _, h := range []struct {
		x      float64
		anchor string
		s      string
	}{{indent, "start", "UTC"}, {nameAt, "start", "station"}, {khzAt, "end", "kHz"}, {trueAt, "end", "true"}, {compassAt + 4, "end", "compass"}, {chanceAt, "end", "to connect"}, {measure, "end", "lasts"}} {
		p.write(p.x+h.x, base, h.anchor, "I", size, h.s)
	}
	return y + headings
}

// set breaks a call's words into lines beside its boxes.
func (p *paper) set(c *CardCall, k pitch) block {
	runs := []run{{"I", c.carries(k.short)}, {"", fmt.Sprintf(", %s, %.0f\u00a0Wh.", c.Waveform, math.Ceil(c.EnergyWh))}}
	for i, f := range c.Fallbacks {
		lead := fmt.Sprintf(" No answer by %s: ", hm(c.GiveUp))
		if i > 0 {
			lead = " Then "
		}
		runs = append(runs, run{"", lead})
		if f.Station == c.Station {
			runs = append(runs, run{"", "same station on "})
		} else {
			runs = append(runs, run{"B", strings.ReplaceAll(f.Station, " ", "\u00a0")}, run{"", ", " + pointing(f.Bearing) + ", "})
		}
		runs = append(runs, run{"B", khz(f.MHz)}, run{"", ", " + strings.ReplaceAll(tenths(f.Connect), " ", "\u00a0") + "."})
	}
	if len(c.Fallbacks) == 0 {
		runs = append(runs, run{"", " Give up " + hm(c.GiveUp) + "."})
	}
	return block{p.beside(k.small, measure-indent, p.boxes(0, 0, k, false)+8, runs...)}
}

// carries says which traffic a call takes.
func (c *CardCall) carries(short bool) string {
	s := ""
	switch {
	case c.Messages > 1:
		s = fmt.Sprintf("%d messages,", c.Messages)
		if !short {
			s += " first “" + c.First + "”; about"
		}
	case c.Messages == 1 && short:
		s = "1 message,"
	case c.Messages == 1:
		s = "“" + c.First + "”,"
	}
	if c.Messages > 0 {
		s += " " + kB(c.Bytes)
	}
	if c.BytesIn > 0 {
		if s != "" {
			s += ", "
		}
		s += "to fetch " + kB(c.BytesIn)
	}
	return s
}

func kB(bytes float64) string {
	if bytes < 10_000 {
		return fmt.Sprintf("%.1f\u00a0kB", bytes/1000)
	}
	return grouped(bytes/1000) + "\u00a0kB"
}

// pointing says a bearing in words.
func pointing(b Bearing) string {
	if b.Overhead {
		return "straight up"
	}
	return fmt.Sprintf("%s (compass\u00a0%s)", bearing(b.TrueDeg), bearing(b.CompassDeg))
}

func bearing(deg float64) string {
	return fmt.Sprintf("%03.0f°", math.Mod(math.Mod(math.Round(deg), 360)+360, 360))
}

// tenths writes a chance in words.
func tenths(p float64) string {
	switch n := math.Round(p * 10); {
	case n >= 10:
		return "nearly sure"
	case n < 1:
		return "under 1 in 10"
	default:
		return fmt.Sprintf("%.0f in 10", n)
	}
}

// call prints a block and returns where the next begins.
func (p *paper) call(y float64, i int, b block, k pitch) float64 {
	c := &p.card.Calls[i]
	p.rule(p.x, y, measure, 0.9, 0)
	base := y + k.above
	p.write(p.x, base, "start", "B", k.head, fmt.Sprint(i+1))
	p.write(p.x+indent, base, "start", "B", k.head, hm(c.Start))
	f := khz(c.MHz)
	p.write(p.x+khzAt, base, "end", "B", k.head, f)
	room := khzAt - p.width("B", k.head, f) - nameAt - 8
	p.write(p.x+nameAt, base, "start", "B", k.head, p.clip("B", k.head, room, c.Station))
	if c.Bearing.Overhead {
		p.write(p.x+compassAt, base, "end", "", k.head-1, "straight up")
	} else {
		p.write(p.x+trueAt, base, "end", "", k.head, bearing(c.Bearing.TrueDeg))
		p.write(p.x+compassAt, base, "end", "", k.head-2, bearing(c.Bearing.CompassDeg))
	}
	chance, size := tenths(c.Connect), k.head
	if w := p.width("", size, chance); w > chanceAt-compassAt-6 {
		size *= (chanceAt - compassAt - 6) / w
	}
	p.write(p.x+chanceAt, base, "end", "", size, chance)
	p.write(p.x+measure, base, "end", "", k.head, fmt.Sprintf("%.0f min", math.Ceil(c.Minutes)))
	last := p.lines(p.x+indent, base+k.lead+0.5, k.small, k.lead, b.lines)
	p.boxes(p.x+measure, last, k, true)
	return y + b.height(k)
}

// boxes puts the four answers to tick, ending at x, and returns how wide they are.
func (p *paper) boxes(x, base float64, k pitch, draw bool) float64 {
	words := []string{"yes", "no", "busy", "broken off"}
	wide := 0.0
	side := k.small * 0.95
	for i := len(words) - 1; i >= 0; i-- {
		w := p.width("", k.small-0.6, words[i])
		if draw {
			p.write(x-wide, base, "end", "", k.small-0.6, words[i])
			p.SetLineWidth(0.8)
			p.Rect(x-wide-w-2.5-side, base-side+1, side, side, "D")
		}
		wide += w + 2.5 + side
		if i > 0 {
			wide += 6
		}
	}
	return wide
}
