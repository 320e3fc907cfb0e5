package report

import (
	"fmt"
	"math"
	"strconv"
)

// height of a call's mark: on its bar, or on its station's tide.
func (p *page) height(station string, mhz float64, at float64) (y float64, ok bool) {
	if station == p.r.Focus {
		return p.y(mhz), true
	}
	s, ok := p.yOf[station]
	if !ok {
		return 0, false
	}
	for _, x := range p.r.Strands {
		if x.Station == station && len(p.r.Steps) > 0 {
			i := int(math.Round((at - p.x(p.r.Steps[0])) / (p.x(p.r.Steps[0].Add(p.r.Slot)) - p.x(p.r.Steps[0]))))
			if i = min(max(i, 0), len(x.Chance)-1); i >= 0 {
				return s[0] - max(x.Chance[i], 0)*s[1], true
			}
		}
	}
	return s[0], true
}

// calls puts the plan down: a block as wide as its minutes on its bar or strand, the
// string that joins them in order, and a dashed branch to what is tried if the next
// call is not answered.
func (p *page) calls() {
	least := 9.0
	if p.Narrow {
		least = 7
	}
	var lastX, lastY float64 // end of the string
	var fromX, fromY float64 // end of the branch
	strung, branches := false, 0
	var numbers []func() // once all blocks and the whole string stand
	for i, c := range p.r.Calls {
		x := p.x(c.Start)
		y, ok := p.height(c.Station, c.MHz, x)
		if !ok || x > p.x1-2 || x < p.x0 {
			continue
		}
		if c.Fallback {
			x += least/2 + 2*float64(branches)
			p.line(plans, "branch", [2]float64{fromX, fromY}, [2]float64{x, y - math.Copysign(7, y-fromY)})
			p.rect(above, "hollow", x-least/2, y-7, least, 14)
			p.taken = append(p.taken, box{x - least/2, y - 8, x + least/2, y + 8})
			if branches == 0 {
				word := "if no answer"
				if p.Narrow {
					word = "no answer"
				}
				if !p.label("else halo", x+least/2+5, y-9, "start", word, 13.5, 0) {
					p.label("else halo", x+least/2+5, y+18, "start", word, 13.5, 0)
				}
			}
			fromX, fromY = x, y+7
			branches++
			continue
		}
		w := max(least, min(p.x(c.Start.Add(minutes(c.Minutes))), p.x1)-x)
		h := 13.0
		first := c.No == 1
		if first {
			if h = 22; p.Narrow {
				h = 16
			}
			if c.Station != p.r.Focus {
				h = 16
			}
		}
		if strung {
			p.line(plans, "string", [2]float64{lastX, lastY}, [2]float64{x, y})
			p.runs = append(p.runs, [2][2]float64{{lastX, lastY}, {x, y}})
		}
		strung, lastX, lastY = true, x+w, y
		p.rect(above, "call", x, y-h/2, w, h)
		p.taken = append(p.taken, box{x - 1, y - h/2 - 1, x + w + 1, y + h/2 + 1})
		when := hm(c.Start)
		if first {
			fromX, fromY = x+least/2, y+h/2
			if i+1 < len(p.r.Calls) && p.r.Calls[i+1].Fallback {
				if fy, ok := p.height(p.r.Calls[i+1].Station, p.r.Calls[i+1].MHz, x); ok && fy < y {
					fromY = y - h/2
				}
			}
			when = fmt.Sprintf("%s, %.0f min", when, math.Ceil(c.Minutes))
		}
		numbers = append(numbers, func() { p.number(c, x, y, w, h, first, when) })
	}
	for _, f := range numbers {
		f()
	}
}

// struck says whether the string runs through a box.
func (p *page) struck(b box) bool {
	for _, s := range p.runs {
		for k := 0.0; k <= 1; k += 1.0 / 64 {
			x, y := s[0][0]+k*(s[1][0]-s[0][0]), s[0][1]+k*(s[1][1]-s[0][1])
			if x > b.x0-2 && x < b.x1+2 && y > b.y0 && y < b.y1 {
				return true
			}
		}
	}
	return false
}

// number writes a call's number and time: where both find room clear of the string, else
// where the number does, else where the string alone is in the way.
func (p *page) number(c Planned, x, y, w, h float64, first bool, when string) {
	class, size := "number halo", 14.5
	if first {
		class, size = "number first halo", 18
	}
	n := strconv.Itoa(c.No)
	nw := float64(len(n))*size*0.55 + 4
	if p.Narrow {
		when = ""
	}
	both := nw + room(0, 0, "start", when, 13.5).x1
	spots := [][2]float64{{x + w + 4, y - 4}, {x + w + 4, y + 15}, {x + w + 4, y - 16}, {x - both - 5, y - 4}, {x - nw, y - 4}, {x, y - h/2 - 5}}
	if first {
		spots = [][2]float64{{x, y - h/2 - 6}, {x + w + 4, y - 6}, {x + w + 4, y + 18}, {x, y + h/2 + 16}}
	}
	best, least := len(spots)-1, math.Inf(1)
	for k, s := range spots {
		b := room(s[0], s[1], "start", n, size)
		before := s[0] < x && b.x0 < max(p.x0, p.x(p.r.Now)+2) // on the line of now, or past it
		if !p.free(b) || b.y0 < 23 || before {                 // the hours stand above 23
			continue
		}
		t := room(s[0]+nw, s[1], "start", when, 13.5)
		cost := 0.01 * float64(k)
		if p.struck(b) {
			cost += 3
		}
		if when != "" && (p.struck(t) || !p.free(t) || t.x1 > p.Width) {
			if cost++; s[0] == x-both-5 { // this spot is for both
				continue
			}
		}
		if cost < least {
			best, least = k, cost
		}
	}
	s := spots[best]
	p.taken = append(p.taken, room(s[0], s[1], "start", n, size))
	p.text(above, class, s[0], s[1], "start", n)
	if when != "" && !p.struck(room(s[0]+nw, s[1], "start", when, 13.5)) {
		p.label("when halo", s[0]+nw, s[1], "start", when, 13.5, 0)
	}
}

// outcomes marks what was logged: filled for connected, open for no answer, barred for
// busy, half for broken off.
func (p *page) outcomes() {
	for _, o := range p.r.Outcomes {
		x := p.x(o.At)
		if x < p.x0+2 || x > p.x1 {
			continue
		}
		y, ok := p.height(o.Station, o.MHz, x)
		if !ok {
			continue
		}
		const r = 4.2
		class := "mark"
		if o.What == "connected" {
			class = "mark full"
		}
		p.circle(above, class, x, y, r)
		switch o.What {
		case "busy":
			p.line(above, "markline", [2]float64{x - 4, y}, [2]float64{x + 4, y})
		case "broken off":
			p.area(above, "markhalf", [][2]float64{{x, y - r}, {x + r*0.7, y - r*0.7}, {x + r, y}, {x + r*0.7, y + r*0.7}, {x, y + r}})
		}
		p.taken = append(p.taken, box{x - r, y - r, x + r, y + r})
	}
}

// now rules the moment from the hours to the foot.
func (p *page) now(top float64) {
	x := p.x(p.r.Now)
	if x < p.x0 || x > p.x1 {
		return
	}
	p.line(above, "now", [2]float64{x, top - 16}, [2]float64{x, p.foot})
	if p.Narrow {
		p.text(above, "nowtime", x, p.foot+16, "middle", hm(p.r.Now))
		return
	}
	p.text(above, "nowtime", x+4, p.foot+16, "end", "now "+hm(p.r.Now))
}
