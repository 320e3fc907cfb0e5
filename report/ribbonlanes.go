package report

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// strands draws the other stations: each the chance of its best channel as a tide.
func (p *page) strands(top float64) {
	for k, s := range p.r.Strands {
		foot := top + float64(k+1)*p.Strand
		tall := p.Strand - 9
		if p.Strand > 30 {
			tall = p.Strand - 12
		}
		p.yOf[s.Station] = [2]float64{foot, tall}
		p.tide(s, foot, tall)
		right := p.x1 + p.Right
		if p.Narrow {
			right = p.x1
		}
		p.line(lanes, "base", [2]float64{0, foot}, [2]float64{right, foot})
		if p.Narrow {
			p.text(lanes, "station", p.x0-8, foot-5, "end", shortened(s.Station, (p.x0-8)/7.3))
		} else {
			p.text(lanes, "station", 0, foot-5, "start", shortened(s.Station, (p.x0-48)/7.3))
			p.text(lanes, "bearing", p.x0-10, foot-5, "end", fmt.Sprintf("%03.0f°", math.Mod(math.Round(s.HeadingDeg), 360)))
		}
		if q, ok := p.chanceAt(s.Chance, p.r.Now); ok {
			word := "shut"
			if n := math.Round(q * 10); q >= 0.05 {
				word = fmt.Sprintf("%.0f in 10", n)
				if p.Narrow {
					word = fmt.Sprintf("%.0f/10", n)
				}
			}
			p.text(lanes, "chance", p.x1+6, foot-5, "start", word)
		}
		p.rows = append(p.rows, Row{Station: s.Station, Y: r1(foot - 5), Chance: s.Chance, Best: s.MHz})
	}
	if n := len(p.r.Strands); n > 0 && !p.Narrow {
		p.text(lanes, "unit it", p.x1+6, top+p.Strand-22, "start", "now")
	}
	if p.r.Hidden != "" {
		p.text(lanes, "unit it", p.x0, top+float64(len(p.r.Strands))*p.Strand+15, "start", p.r.Hidden)
	}
}

func (p *page) tide(s Strand, foot, tall float64) {
	var line [][2]float64
	for i, q := range s.Chance {
		a, b := p.x(p.r.Steps[i].Add(-p.r.Slot/2)), p.x(p.r.Steps[i].Add(p.r.Slot/2))
		if b <= p.x0 || a >= p.x1 {
			continue
		}
		y := foot - max(q, 0)*tall
		shutBefore, shutAfter := i == 0 || s.Chance[i-1] < 0, i+1 == len(s.Chance) || s.Chance[i+1] < 0
		if line == nil || shutBefore != (q < 0) {
			line = append(line, [2]float64{max(a, p.x0), y})
		}
		line = append(line, [2]float64{min(max((a+b)/2, p.x0), p.x1), y})
		if shutAfter != (q < 0) || b >= p.x1 {
			line = append(line, [2]float64{min(b, p.x1), y})
		}
	}
	if len(line) < 2 {
		return
	}
	fill := append([][2]float64{{line[0][0], foot}}, line...)
	p.area(lanes, "tide", append(fill, [2]float64{line[len(line)-1][0], foot}))
	p.line(lanes, "tideline", line...)
}

// chanceAt reads a row of chances at a moment.
func (p *page) chanceAt(row []float64, t time.Time) (float64, bool) {
	if len(p.r.Steps) == 0 {
		return 0, false
	}
	i := int(math.Round(float64(t.Sub(p.r.Steps[0])) / float64(p.r.Slot)))
	if i < 0 || i >= len(row) {
		return 0, false
	}
	return max(row[i], 0), true
}

// names writes the best channel's frequency on each strand, once a stretch: on the
// water where it is deep enough, else above it.
func (p *page) names() {
	for _, s := range p.r.Strands {
		at := p.yOf[s.Station]
		foot, tall := at[0], at[1]
		size, pad := 12.5, 10.0
		for i := 0; i < len(s.MHz); {
			j := i
			for j+1 < len(s.MHz) && s.MHz[j+1] == s.MHz[i] && (s.Chance[j+1] > 0.35) == (s.Chance[i] > 0.35) {
				j++
			}
			a, b := max(p.x(p.r.Steps[i].Add(-p.r.Slot/2)), p.x(p.r.Now)+4, p.x0), min(p.x(p.r.Steps[j].Add(p.r.Slot/2)), p.x1)
			word := khz(s.MHz[i])
			need := float64(len([]rune(word)))*size*0.5 + pad
			if s.Chance[i] > 0.35 && b-a > need {
				for _, share := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
					x := a + need/2 + share*(b-a-need)
					low := 1.0
					for k := i; k <= j; k++ {
						if math.Abs(p.x(p.r.Steps[k])-x) < need/2 {
							low = min(low, s.Chance[k])
						}
					}
					class, y := "best", foot-3
					if low*tall < 12 {
						class, y = "best halo", foot-low*tall-4
					}
					if p.label(class, x, y, "middle", word, size, 2) {
						break
					}
				}
			}
			i = j + 1
		}
	}
}

// battery draws what is in the battery from now on, the reserve dashed, the lowest
// point named, and returns where the next lane begins.
func (p *page) battery(top float64) float64 {
	b := p.r.Battery
	foot := top + p.Lane
	y := func(share float64) float64 { return foot - 2 - (share-0.15)/0.85*(p.Lane-6) }
	in := func(v float64) float64 { return min(max(v, top), foot) }
	var mid, up, down [][2]float64
	lowest := -1
	for i, t := range b.At {
		x := p.x(t)
		if x < p.x0 || x > p.x1 {
			continue
		}
		mid = append(mid, [2]float64{x, in(y(b.Mid[i]))})
		up, down = append(up, [2]float64{x, in(y(b.High[i]))}), append(down, [2]float64{x, in(y(b.Low[i]))})
		if lowest < 0 || b.Mid[i] < b.Mid[lowest] {
			lowest = i
		}
	}
	for i := len(down) - 1; i >= 0; i-- {
		up = append(up, down[i])
	}
	p.area(lanes, "fan", up)
	p.line(lanes, "lane", mid...)
	p.line(lanes, "reserve", [2]float64{p.x0, y(b.Reserve)}, [2]float64{p.x1, y(b.Reserve)})
	p.line(lanes, "base", [2]float64{0, foot}, [2]float64{p.x1 + p.Right, foot})
	now := 0.0
	if len(b.Mid) > 0 {
		now = b.Mid[0]
	}
	if lowest >= 0 {
		x, v := p.x(b.At[lowest]), b.Mid[lowest]
		p.circle(letters, "dot", x, in(y(v)), 2.4)
		word := fmt.Sprintf("%.0f %%", 100*v)
		switch {
		case p.Narrow:
		case p.long():
			word += " on " + b.At[lowest].UTC().Format("Mon 15:04")
		default:
			word += " at " + hm(b.At[lowest])
		}
		anchor := "middle"
		if half := float64(len(word)) * 13 / 4; x < p.x0+half {
			anchor = "start"
		} else if x > p.x1-half {
			anchor = "end"
		}
		p.text(letters, "lanelabel halo", x, in(y(v))-6, anchor, word)
	}
	if p.Narrow {
		p.text(lanes, "station", p.x0-8, foot-4, "end", "Battery")
		p.text(lanes, "lanelabel", p.x0-8, foot-19, "end", fmt.Sprintf("%.0f %%", 100*now))
	} else {
		p.text(lanes, "station", 0, foot-18, "start", "Battery")
		p.text(lanes, "lanelabel", 0, foot-3, "start", fmt.Sprintf("reserve %.0f %%", 100*b.Reserve))
		p.text(lanes, "figure", p.x0-10, foot-18, "end", fmt.Sprintf("%.0f %%", 100*now))
		p.text(lanes, "unit", p.x1+9, y(b.Reserve)+4, "start", fmt.Sprintf("%.0f %%", 100*b.Reserve))
	}
	return foot + 4
}

// load draws what is left to send as a stair, each tread one call, and a pennant at
// each deadline.
func (p *page) load(top float64) {
	l := p.r.Load
	foot := top + p.Lane + 4
	scale := max(l.KB*1.1, 1)
	y := func(kB float64) float64 { return foot - kB/scale*(p.Lane-10) }
	x := max(p.x(p.r.Now), p.x0)
	left := l.KB
	stair := [][2]float64{{x, y(left)}}
	type tread struct{ x, kB float64 }
	var treads []tread
	for _, d := range l.Drops {
		a, b := p.x(d.From), max(p.x(d.To), p.x(d.From)+2)
		if a > p.x1 {
			break
		}
		stair = append(stair, [2]float64{a, y(left)})
		left = max(left-d.KB, 0)
		stair = append(stair, [2]float64{min(b, p.x1), y(left)})
		treads = append(treads, tread{min(b, p.x1), left})
	}
	stair = append(stair, [2]float64{p.x1, y(left)})
	fill := append([][2]float64{{x, foot}}, stair...)
	p.area(lanes, "stair", append(fill, [2]float64{p.x1, foot}))
	p.line(lanes, "lane", stair...)
	p.pennants(foot-p.Lane-2, l.Due)
	for i, t := range treads {
		end := p.x1
		if i+1 < len(treads) {
			end = treads[i+1].x
		}
		word := fmt.Sprintf("%.0f kB left", t.kB)
		if p.Narrow {
			word = fmt.Sprintf("%.0f kB", t.kB)
		}
		if t.kB >= 1 && end-t.x > float64(len(word))*6.5+10 {
			ly := y(t.kB) - 4
			if foot-y(t.kB) > 17 {
				ly = y(t.kB) + 13
			}
			p.label("lanelabel halo", t.x+6, ly, "start", word, 13, 1)
		}
	}
	now := fmt.Sprintf("%.0f kB", l.KB)
	if p.Narrow {
		p.text(lanes, "station", p.x0-8, foot-4, "end", "To send")
		p.text(lanes, "lanelabel", p.x0-8, foot-19, "end", now)
	} else {
		p.text(lanes, "station", 0, foot-18, "start", "To send")
		switch {
		case l.Stays >= 1:
			p.text(lanes, "lanelabel", 0, foot-3, "start", fmt.Sprintf("and %s kB too large", grouped(l.Stays)))
		case len(l.Due) > 0:
			p.text(lanes, "lanelabel", 0, foot-3, "start", "flag: due")
		}
		p.text(lanes, "figure", p.x0-10, foot-18, "end", now)
	}
	p.line(lanes, "frame", [2]float64{p.x0, foot}, [2]float64{p.x1, foot})
}

// pennants flies one flag a deadline. The words of those that stand too close for their own
// stand together at the last: their names if there is room, else how many.
func (p *page) pennants(top float64, due []Due) {
	var run []string
	for i, d := range due {
		x := p.x(d.At)
		if x < p.x0 || x > p.x1-4 {
			continue
		}
		p.line(lanes, "mast", [2]float64{x, top + 14}, [2]float64{x, top + 1})
		p.area(lanes, "flag", [][2]float64{{x, top + 1}, {x + 8, top + 4.5}, {x, top + 8}})
		if p.Narrow {
			continue
		}
		run = append(run, d.What)
		end := p.x1 + p.Right
		next := math.Inf(1)
		if i+1 < len(due) && p.x(due[i+1].At) <= p.x1-4 {
			next = p.x(due[i+1].At)
		}
		fit := int((min(next, end) - x - 14) / 6.2)
		if !math.IsInf(next, 1) && fit < min(len([]rune(d.What)), 14) {
			continue
		}
		word := strings.Join(run, "; ")
		if len(run) > 1 && len([]rune(word)) > fit {
			word = fmt.Sprintf("%d due", len(run))
		}
		run = nil
		p.label("due halo", x+11, top+10, "start", shortened(word, float64(fit)), 12.5, 1)
	}
}

// shortened cuts words to so many letters, after a whole word if that leaves half of them.
func shortened(s string, letters float64) string {
	r, n := []rune(s), int(letters)
	if len(r) <= n || n < 2 {
		return s
	}
	cut := string(r[:n-1])
	if i := strings.LastIndex(cut, " "); r[n-1] != ' ' && i >= 0 && len([]rune(cut[:i])) >= n/2 {
		cut = cut[:i]
	}
	return strings.TrimRight(cut, " ,.:;") + "…"
}

// past veils what is over.
func (p *page) past(top float64) {
	if x := min(p.x(p.r.Now), p.x1); x > p.x0 {
		p.rect(veil, "veil", p.x0, top+1, x-p.x0, p.foot-top-2)
	}
}
