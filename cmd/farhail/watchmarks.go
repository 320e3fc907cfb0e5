package main

import (
	"math"
	"slices"
	"strings"
	"time"

	"farhail/report"
)

// column draws a moment from the hours to the foot.
func (c *chart) column(t time.Time, r rune, ink pencil) {
	x := c.x(t)
	if x < c.pic.X0 || x > c.pic.X1 {
		return
	}
	for y := 1; y < len(c.rows)-1; y++ {
		c.put(c.col(x), y, r, ink)
	}
}

// words sets what the picture says of the water and of the Sun, where there is room.
func (c *chart) words(r *report.Ribbon) {
	foot, left, right := len(c.rows)-1, 0, 0 // of the present's time, with a gap
	for _, s := range c.pic.Shapes {
		switch class, _, _ := strings.Cut(s.Class, " "); {
		case s.Kind == "along" && class == "sea":
			mid := s.Points[len(s.Points)/2]
			y := c.skyRow(mid[1] - 5)
			if y < hourRows || y >= hourRows+c.sky || slices.Contains(c.rowOf, y) {
				continue
			}
			c.write(c.col(mid[0])-len(s.Text)/2, y, seaInk, " "+s.Text+" ")
		case class == "nowtime":
			n := len([]rune(s.Text))
			x := c.col(s.Points[0][0])
			switch s.Anchor {
			case "middle":
				x -= n / 2
			case "end":
				x -= n
			}
			c.write(x, foot, boldInk, s.Text)
			left, right = x-1, x+n+1
		}
	}
	for _, n := range r.Nights {
		for _, e := range []struct {
			at   time.Time
			word string
		}{{n.Sunset, "sunset "}, {n.Sunrise, "sunrise "}} {
			text := e.word + e.at.Format("15:04")
			x := c.x(e.at)
			if x < c.pic.X0 || x > c.pic.X1 {
				continue
			}
			at := c.col(x) - len(text)/2
			if e.at.After(r.Now) {
				at = max(at, right)
			} else if at+len(text) > left {
				continue
			}
			c.write(at, foot, seaInk, text)
		}
	}
}

// marks puts calls, fallbacks and outcomes down.
func (c *chart) marks() {
	full := map[string]rune{"mark": '○', "mark full": '●', "markline": '⊖', "markhalf": '◐'}
	for _, s := range c.pic.Shapes {
		if r, ok := full[s.Class]; ok {
			p := s.Points[0]
			if s.Class == "markline" {
				p[0] += 4
			}
			if s.Class == "markhalf" {
				p[1] += 4.2
			}
			c.put(c.col(p[0]), c.row(p[1]), r, boldInk)
		}
	}
	n := 0
	for _, s := range c.pic.Shapes {
		if s.Kind != "rect" || s.Class != "call" && s.Class != "hollow" {
			continue
		}
		x, y := c.col(s.Points[0][0]+1), c.row(s.Points[0][1]+s.Points[1][1]/2)
		if s.Class == "hollow" {
			for c.has(x, y) && c.hard[y][x] {
				x++
			}
			c.put(x, y, '◇', planInk)
			continue
		}
		n++
		word := digits(n)
		for c.has(x, y) && c.hard[y][x] {
			x++
		}
		for i, r := range word {
			c.put(x+i, y, r, planInk)
			if c.has(x+i, y) {
				c.hard[y][x+i] = true
			}
		}
	}
}

// string joins the calls in their order: through free cells from one to the next, and
// with one mark through each row of chances that it crosses. It covers no word, no call
// and not the present.
func (c *chart) string(now time.Time) {
	var calls [][2]int
	for _, s := range c.pic.Shapes {
		if s.Kind == "rect" && s.Class == "call" {
			calls = append(calls, [2]int{c.col(s.Points[0][0] + 1), c.row(s.Points[0][1] + s.Points[1][1]/2)})
		}
	}
	present := c.col(c.x(now))
	for i := 1; i < len(calls); i++ {
		c.join(calls[i-1], calls[i], present)
	}
}

func (c *chart) join(from, to [2]int, present int) {
	dx, dy := to[0]-from[0], to[1]-from[1]
	n := max(max(dx, -dx), max(dy, -dy))
	mark := '╎'
	switch {
	case 2*max(dx, -dx) < max(dy, -dy):
	case dx*dy > 0:
		mark = '╲'
	case dx*dy < 0:
		mark = '╱'
	default:
		mark = '╌'
	}
	crossed := map[int]bool{from[1]: true, to[1]: true}
	for k := 1; k < n; k++ {
		w := float64(k) / float64(n)
		x, y := from[0]+int(math.Round(w*float64(dx))), from[1]+int(math.Round(w*float64(dy)))
		if x == present {
			x++
		}
		if !c.has(x, y) || c.hard[y][x] || c.inks[y][x] == planInk {
			continue
		}
		bar := strings.ContainsRune(swelling, c.rows[y][x])
		if bar && crossed[y] {
			continue
		}
		crossed[y] = crossed[y] || bar
		c.put(x, y, mark, stringInk)
	}
}

// figures writes the chance of every row beside the cursor.
func (c *chart) figures(at time.Time) {
	x := c.x(at)
	a, b := c.span()
	for i, r := range c.pic.Rows {
		q, ok := c.chance(r, x)
		if !ok {
			continue
		}
		word := percent(q)
		if q == 0 {
			word = "shut"
		}
		if r.MHz == 0 && q >= 0.03 {
			if k := int(math.Round(at.Sub(c.pic.First).Seconds() / c.pic.SlotS)); k >= 0 && k < len(r.Best) {
				word += " " + khz(r.Best[k])
			}
		}
		word = " " + word + " "
		left := c.col(x) + 1
		if left+len([]rune(word)) > b {
			left = c.col(x) - len([]rune(word))
		}
		for j, ch := range []rune(word) {
			if left+j >= a {
				c.put(left+j, c.rowOf[i], ch, boldInk)
			}
		}
	}
	word := at.UTC().Format("15:04")
	left := min(max(c.col(x)-2, a), b-4)
	for j, ch := range word {
		c.put(left+j, 0, ch, cursorInk)
	}
}
