package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// night shades the hours without sun at home: five steps of dusk on either side, so
// that it comes as a slope and not as a wall.
func (p *page) night(top float64) {
	written := math.Inf(-1)
	for _, n := range p.r.Nights {
		for _, h := range []float64{0.37, 0.17, -0.03, -0.23, -0.43} {
			by := time.Duration(h * float64(time.Hour))
			a, b := p.x(n.Sunset.Add(-by)), p.x(n.Sunrise.Add(by))
			if a, b = max(a, p.x0), min(b, p.x1); b > a {
				p.rect(ground, "night", a, top, b-a, p.foot-top)
			}
		}
		for _, s := range []struct {
			at   time.Time
			word string
		}{{n.Sunset, "sunset"}, {n.Sunrise, "sunrise"}} {
			x := p.x(s.at)
			if x < p.x0+8 || x > p.x1-8 {
				continue
			}
			var half [][2]float64
			for a := 180.0; a >= 0; a -= 20 {
				half = append(half, [2]float64{x + 5*math.Cos(a*math.Pi/180), p.foot - 5*math.Sin(a*math.Pi/180)})
			}
			p.line(letters, "sunset", half...)
			word := s.word + " " + hm(s.at)
			if p.Narrow {
				word = hm(s.at)
			}
			at, anchor := x, "middle"
			if math.Abs(x-p.x(p.r.Now)) <= 70 {
				if x < p.x(p.r.Now) || p.Narrow {
					continue
				}
				at, anchor = p.x(p.r.Now)+8, "start"
			}
			// Over several days they come close: the later one gives way.
			b := room(at, p.foot+16, anchor, word, 13)
			if b.x0 < written {
				continue
			}
			written = b.x1 + 6
			p.text(letters, "sun", at, p.foot+16, anchor, word)
		}
	}
}

// rhythm is every how many hours the axis is labelled, and ticked: as often as the words
// find room, the one at midnight with its day among them.
func (p *page) rhythm() (words, ticks int) {
	hour := (p.x1 - p.x0) / p.r.To.Sub(p.r.From).Hours()
	need := 48.0
	switch {
	case p.Narrow && p.long():
		need = 34
	case p.Narrow:
		need = 26
	}
	words, ticks = 24, 1
	for _, h := range []int{12, 6, 3} {
		if float64(h)*hour >= need {
			words = h
		}
	}
	if hour < 4 {
		ticks = 3
	}
	return words, ticks
}

// long says whether there is more than a day to see, so that a time alone does not say
// which day's it is.
func (p *page) long() bool { return p.r.To.Sub(p.r.From) > 25*time.Hour }

// hours rules the time axis: a line and its hour as often as there is room, a tick
// every hour, midnight with its day.
func (p *page) hours(top float64) {
	words, ticks := p.rhythm()
	t := p.r.From.Truncate(time.Hour)
	for ; !t.After(p.r.To); t = t.Add(time.Hour) {
		if t.Before(p.r.From) {
			continue
		}
		x, h := p.x(t), t.Hour()
		switch {
		case h == 0:
			p.line(ground, "midnight", [2]float64{x, top}, [2]float64{x, p.foot})
		case h%words == 0:
			p.line(ground, "grid", [2]float64{x, top}, [2]float64{x, p.foot})
		case h%ticks == 0:
			p.line(ground, "tick", [2]float64{x, top - 3}, [2]float64{x, top + 3})
		}
		if h%words != 0 || x > p.x1-2 || h != 0 && math.Abs(x-p.x(p.r.Now)) < 16 { // the line of now would strike it
			continue
		}
		class, s := "hour", fmt.Sprintf("%02d", h)
		if h == 0 {
			class = "hour strong"
			switch {
			case !p.Narrow:
				s = t.Format("00 Mon 2")
			case p.long():
				s = t.Format("Mon 2")
			}
		}
		if near := math.Abs(x-p.x0) < 14; !near || p.Narrow {
			p.text(ground, class, x, top-8, "middle", s)
		} else {
			p.text(ground, class, max(x, p.x0+8), top-8, "middle", s)
		}
	}
	p.line(ground, "frame", [2]float64{p.x0, top}, [2]float64{p.x1, top})
	if p.Sky == 0 { // the lanes alone
		return
	}
	p.text(ground, "unit", p.x0-10, top-8, "end", "kHz")
	p.text(ground, "unit", p.x1+9, top-8, "start", "MHz")
	p.line(ground, "frame", [2]float64{p.x1, top}, [2]float64{p.x1, p.yFoot})
	step := 5.0
	if p.hi < 13 {
		step = 2
	}
	for f := step; f < p.hi; f += step {
		if y := p.y(f); f > p.lo && y > p.yTop+4 {
			p.line(ground, "frame", [2]float64{p.x1, y}, [2]float64{p.x1 + 5, y})
			p.text(ground, "unit", p.x1+9, y+4, "start", fmt.Sprintf("%.0f", f))
		}
	}
}

// A sample is the sky at one column.
type sample struct {
	x        float64
	up, down [5]float64 // y of the edges
	ok       [5]bool    // up lies above down
	low      [5]bool    // there is a lower edge
}

// samples draws the edges out to a column every 4 px: between the hours they are told
// for, a monotone cubic (Fritsch and Carlson 1980), so that no swing is invented.
func (p *page) samples(edges []Edge) []sample {
	if len(edges) < 2 {
		return nil
	}
	ts := make([]float64, len(edges))
	for i, e := range edges {
		ts[i] = e.At.Sub(p.r.From).Seconds()
	}
	var high, low [5]spline
	for k := range Shares {
		h, l := make([]float64, len(edges)), make([]float64, len(edges))
		for i, e := range edges {
			h[i], l[i] = e.High[k], e.Low[k]
		}
		high[k], low[k] = newSpline(ts, h), newSpline(ts, l)
	}
	n := int((p.x1 - p.x0) / 4)
	out := make([]sample, 0, n+1)
	span := p.r.To.Sub(p.r.From).Seconds()
	for i := 0; i <= n; i++ {
		w := float64(i) / float64(n)
		s := sample{x: p.x0 + w*(p.x1-p.x0)}
		for k := range Shares {
			up, down := high[k].at(w*span), low[k].at(w*span)
			s.low[k] = !math.IsInf(down, 1) && !math.IsNaN(down)
			s.up[k], s.down[k] = p.y(max(up, 0.5)), p.yTop
			if s.low[k] {
				s.down[k] = p.y(max(down, 0.5))
			}
			s.ok[k] = s.low[k] && up > down
		}
		out = append(out, s)
	}
	return out
}

func (p *page) inside(y float64) float64 { return min(max(y, p.yTop), p.yFoot) }

// water paints the span that the sky carries: nested tints between the edges of equal
// chance, and a line along every edge. Where the edges cross, nothing is tinted.
func (p *page) water() {
	cols := p.samples(p.r.Edges)
	for k := range Shares {
		var up, down [][2]float64
		flush := func() {
			for i := len(down) - 1; i >= 0; i-- {
				up = append(up, down[i])
			}
			p.area(sky, fmt.Sprintf("w%d", k+1), up)
			up, down = nil, nil
		}
		for _, c := range cols {
			if !c.ok[k] || p.inside(c.up[k]) == p.inside(c.down[k]) {
				flush()
				continue
			}
			up = append(up, [2]float64{c.x, p.inside(c.up[k])})
			down = append(down, [2]float64{c.x, p.inside(c.down[k])})
		}
		flush()
	}
	for k := range Shares {
		class := "water"
		if k == 2 {
			class = "shore"
		}
		p.along(class, cols, func(c sample) (float64, bool) { return c.up[k], k != 2 || c.ok[k] })
		p.along(class, cols, func(c sample) (float64, bool) { return c.down[k], c.low[k] && (k != 2 || c.ok[k]) })
	}
	if before := p.samples(p.r.Before); before != nil {
		xNow := p.x(p.r.Now)
		p.along("ghost", before, func(c sample) (float64, bool) { return c.down[2], c.low[2] && c.x >= xNow })
		p.along("ghost", before, func(c sample) (float64, bool) { return c.up[2], c.low[2] && c.x >= xNow })
	}
}

// along draws a line through the columns where it lies in the sky.
func (p *page) along(class string, cols []sample, at func(sample) (float64, bool)) {
	var run [][2]float64
	for _, c := range cols {
		y, ok := at(c)
		if !ok || y < p.yTop || y > p.yFoot {
			p.line(sky, class, run...)
			run = nil
			continue
		}
		run = append(run, [2]float64{c.x, y})
	}
	p.line(sky, class, run...)
}

// channels draws each channel of the station in focus: a dotted hair, and a bar that
// swells with the chance to connect.
func (p *page) channels() {
	for _, c := range p.r.Channels {
		y := p.y(c.MHz)
		p.line(bars, "hair", [2]float64{p.x0, y}, [2]float64{p.x1, y})
		p.bar(c, y)
		p.rows = append(p.rows, Row{Station: p.r.Focus, MHz: c.MHz, Y: r1(y), Chance: c.Chance})
	}
	// Labels from the lowest upward, moved apart where channels lie close.
	last := math.Inf(1)
	order := slices.Clone(p.r.Channels)
	slices.SortFunc(order, func(a, b Bar) int { return cmp.Compare(a.MHz, b.MHz) })
	for _, c := range order {
		y := min(p.y(c.MHz)+4.5, last-14)
		last = y
		class := "channel"
		if len(p.r.Calls) > 0 && p.r.Calls[0].Station == p.r.Focus && math.Abs(p.r.Calls[0].MHz-c.MHz) < 1e-6 {
			class = "channel strong"
		}
		p.text(bars, class, p.x0-10, y, "end", khz(c.MHz))
	}
}

// bar is half 0.3 + MaxHalf·p px high where the chance p is 3 % or more; it ends
// square where the station's hours end.
func (p *page) bar(c Bar, y float64) {
	half := func(q float64) float64 { return 0.3 + q*p.MaxHalf }
	var up, down [][2]float64
	flush := func() {
		for i := len(down) - 1; i >= 0; i-- {
			up = append(up, down[i])
		}
		p.area(bars, "bar", up)
		up, down = nil, nil
	}
	add := func(x, q float64) {
		up, down = append(up, [2]float64{x, y - half(q)}), append(down, [2]float64{x, y + half(q)})
	}
	for i, q := range c.Chance {
		a, b := p.x(p.r.Steps[i].Add(-p.r.Slot/2)), p.x(p.r.Steps[i].Add(p.r.Slot/2))
		if b <= p.x0 || a >= p.x1 {
			continue
		}
		a, b = max(a, p.x0), min(b, p.x1)
		if q < 0.03 {
			flush()
			continue
		}
		if up == nil {
			add(a, q)
		}
		add((a+b)/2, q)
		if i+1 == len(c.Chance) || c.Chance[i+1] < 0.03 || b >= p.x1 {
			add(b, q)
		}
	}
	flush()
}

// gates marks where the chance passes 5 in 10, with the time. Where the station's hours end
// all channels shut at once: the highest says when. Where a day has less room than its words
// need, the first day alone says its times.
func (p *page) gates(c Bar, y float64) {
	const even = 0.5
	close := (p.x1-p.x0)/p.r.To.Sub(p.r.From).Hours() < 6
	for i := 1; i < len(c.Chance); i++ {
		a, b := max(c.Chance[i-1], 0), max(c.Chance[i], 0)
		if (a < even) == (b < even) {
			continue
		}
		w := (even - a) / (b - a)
		t := p.r.Steps[i-1].Add(time.Duration(w * float64(p.r.Slot)))
		byHours := c.Chance[i-1] < 0 || c.Chance[i] < 0
		if byHours {
			t = p.r.Steps[i].Add(-p.r.Slot / 2)
		}
		x := p.x(t)
		if x < max(p.x0, p.x(p.r.Now))+4 || x > p.x1-4 {
			continue
		}
		p.line(letters, "gate", [2]float64{x, y - 5}, [2]float64{x, y + 5})
		if byHours && p.said[t] || close && t.After(p.r.Now.Add(24*time.Hour)) {
			continue
		}
		s := hm(t.Add(150 * time.Second).Truncate(5 * time.Minute))
		at, anchor := x+4, "start"
		if b >= even || room(at, y, anchor, s, 13).x1 > p.x1 {
			at, anchor = x-4, "end"
		}
		if p.label("gatetime", at, y-6, anchor, s, 13, 3) && byHours {
			p.said[t] = true
		}
	}
}

// sea letters the water once: along its edges and in its widest part.
func (p *page) sea() {
	cols := p.samples(p.r.Edges)
	if len(cols) < 12 {
		return
	}
	xNow := p.x(p.r.Now)
	future := func(c sample) bool { return c.x > xNow+12 && c.x < p.x1-8 }
	high, low := "too high: slips through the sky", "too low: lost in noise"
	if p.Narrow {
		high, low = "too high", "too low"
	}
	over := func(c sample) (float64, float64) { return p.yTop, c.up[0] - 2 }
	if !p.letter("sea", high, 15, cols, future, over, 1) {
		p.letter("sea", high, 15, cols, future, over, 0)
	}
	p.letter("sea", low, 15, cols, future, func(c sample) (float64, float64) {
		if !c.low[0] {
			return 0, 0
		}
		return c.down[0] + 2, p.yFoot + 12
	}, -1)
	p.letter("sea big", "open", 21, cols, func(c sample) bool { return future(c) && c.ok[2] }, func(c sample) (float64, float64) { return c.up[2], c.down[2] }, 0)
	p.letter("sea big", "shut", 21, cols, func(c sample) bool { return future(c) && !c.ok[1] }, func(c sample) (float64, float64) { return p.yTop, p.yFoot }, 0)
	if !p.Narrow {
		p.letter("hint", "thicker is likelier", 14, cols, func(c sample) bool { return future(c) && c.ok[2] }, func(c sample) (float64, float64) { return c.up[2], c.down[2] }, 0)
	}
}

// letter writes words where the water leaves room for them, and says whether it did:
// side 1 just above its lower limit, −1 just under its upper, 0 level, in a gap between
// the channels.
func (p *page) letter(class, words string, size float64, cols []sample, want func(sample) bool, room func(sample) (float64, float64), side int) bool {
	spread := 0.56
	if size > 20 {
		spread = 0.95
	}
	need := float64(len(words)) * size * spread
	n := int(math.Ceil(need / 4))
	middle := (max(p.x(p.r.Now), p.x0) + p.x1) / 2
	var best [][2]float64
	most := math.Inf(-1)
	for i := 0; i+n < len(cols); i += 2 {
		part := cols[i : i+n+1]
		if !slices.ContainsFunc(part, func(c sample) bool { return !want(c) }) {
			for _, l := range p.rails(part, size, room, side) {
				score := 2*min(l.room, 40) - 80*math.Abs(l.pts[n][1]-l.pts[0][1])/need - 60*math.Abs(l.pts[n/2][0]-middle)/(p.x1-p.x0)
				if score > most && p.clear(l.pts, size) {
					best, most = l.pts, score
				}
			}
		}
	}
	if best == nil {
		return false
	}
	for _, q := range best {
		p.taken = append(p.taken, box{q[0] - 3, q[1] - size*0.8, q[0] + 3, q[1] + size*0.25})
	}
	p.put(letters, Shape{Kind: "along", Class: class, Points: best, Text: words, Anchor: "middle"})
	return true
}

// A rail is a line to write on, with the height there is.
type rail struct {
	pts  [][2]float64
	room float64
}

// rails are the lines along which words would stand in a stretch of water.
func (p *page) rails(part []sample, size float64, room func(sample) (float64, float64), side int) []rail {
	top, foot, least := math.Inf(-1), math.Inf(1), math.Inf(1)
	var edge [][2]float64
	for _, c := range part {
		a, b := room(c)
		a, b = max(a, p.yTop-8), min(b, p.yFoot+14)
		top, foot, least = max(top, a), min(foot, b), min(least, b-a)
		if side > 0 {
			edge = append(edge, [2]float64{c.x, b - size*0.3})
		} else {
			edge = append(edge, [2]float64{c.x, a + size*0.85})
		}
	}
	if side != 0 {
		if least < size*1.15 {
			return nil
		}
		return []rail{{smooth(edge), least}}
	}
	if top, foot = max(top, p.yTop+2), min(foot, p.yFoot-2); foot-top < size*1.35+4 {
		return nil
	}
	lines := []float64{top, foot}
	for _, c := range p.r.Channels {
		if y := p.y(c.MHz); y > top && y < foot {
			lines = append(lines, y)
		}
	}
	slices.Sort(lines)
	var out []rail
	for k := 1; k < len(lines); k++ {
		gap := lines[k] - lines[k-1]
		if gap < size*1.35+4 {
			continue
		}
		l := rail{room: gap}
		for _, c := range part {
			l.pts = append(l.pts, [2]float64{c.x, (lines[k]+lines[k-1])/2 + size*0.33})
		}
		out = append(out, l)
	}
	return out
}

// clear says whether nothing has been written along a line.
func (p *page) clear(pts [][2]float64, size float64) bool {
	for _, q := range pts {
		if !p.free(box{q[0] - 3, q[1] - size*0.8, q[0] + 3, q[1] + size*0.25}) {
			return false
		}
	}
	return true
}

// smooth takes the unrest out of a line that letters stand on.
func smooth(pts [][2]float64) [][2]float64 {
	out := make([][2]float64, len(pts))
	for i := range pts {
		sum, n := 0.0, 0.0
		for j := max(0, i-8); j <= min(len(pts)-1, i+8); j++ {
			sum, n = sum+pts[j][1], n+1
		}
		out[i] = [2]float64{pts[i][0], sum / n}
	}
	return out
}
