package main

import (
	"math"
	"slices"
	"strings"

	"farhail/report"
)

// hours rules the axis: a thin line by day, a heavy one by night.
func (c *chart) hours(r *report.Ribbon) {
	a, b := c.span()
	for x := a; x <= b; x++ {
		c.put(x, 1, '─', plainInk)
		t := c.time((float64(x) + 0.5) * cellWide)
		for _, n := range r.Nights {
			if t.After(n.Sunset) && t.Before(n.Sunrise) {
				c.put(x, 1, '━', plainInk)
			}
		}
	}
	for _, s := range c.pic.Shapes {
		if s.Kind == "text" && strings.HasPrefix(s.Class, "hour") {
			ink := plainInk
			if strings.Contains(s.Class, "strong") {
				ink = boldInk
			}
			c.write(c.col(s.Points[0][0])-1, 0, ink, s.Text)
		}
	}
}

// water shades the sky by how many of the nested tints a place lies in.
func (c *chart) water() {
	shades := map[int]rune{3: '░', 4: '░', 5: '▒'}
	a, b := c.span()
	for row := range c.sky {
		y := c.pic.Top + 4 + (float64(row)+0.5)*cellHigh
		for x := a; x <= b; x++ {
			depth := 0
			for _, s := range c.pic.Shapes {
				if s.Kind == "area" && len(s.Class) == 2 && s.Class[0] == 'w' && inside(s.Points, (float64(x)+0.5)*cellWide, y) {
					depth = max(depth, int(s.Class[1]-'0'))
				}
			}
			if r, ok := shades[depth]; ok {
				c.put(x, hourRows+row, r, faintInk)
			}
		}
	}
}

// inside tells whether a point lies in a polygon, by crossings.
func inside(pts [][2]float64, x, y float64) bool {
	in := false
	for i, j := 0, len(pts)-1; i < len(pts); j, i = i, i+1 {
		a, b := pts[i], pts[j]
		if (a[1] > y) != (b[1] > y) && x < (b[0]-a[0])*(y-a[1])/(b[1]-a[1])+a[0] {
			in = !in
		}
	}
	return in
}

// swell draws channels and strands by their chance, and names them.
func (c *chart) swell(r *report.Ribbon) {
	a, b := c.span()
	for i, row := range c.pic.Rows {
		y := c.rowOf[i]
		for x := a; x <= b; x++ {
			q, ok := c.chance(row, (float64(x)+0.5)*cellWide)
			switch {
			case !ok:
			case q >= 0.03:
				c.put(x, y, eighth(q), deepInk)
			case row.MHz > 0:
				c.put(x, y, '┈', faintInk)
			}
		}
		name, ink := row.Station, plainInk
		if row.MHz > 0 {
			name = khz(row.MHz)
			if n := r.Calls; len(n) > 0 && n[0].Station == row.Station && n[0].MHz == row.MHz {
				ink = boldInk
			}
		}
		if rs := []rune(name); len(rs) > a-1 {
			name = string(rs[:a-2]) + "…"
		}
		c.write(a-1-len([]rune(name)), y, ink, name)
		if q, ok := c.chance(row, c.x(r.Now)); ok && row.MHz == 0 {
			word := " shut"
			if q >= 0.05 {
				word = " " + tenth(q)
			}
			c.write(b+1, y, plainInk, word)
		}
	}
}

// chance of a row at an x.
func (c *chart) chance(r report.Row, x float64) (float64, bool) {
	t := c.time(x)
	i := int(math.Round(t.Sub(c.pic.First).Seconds() / c.pic.SlotS))
	if i < 0 || i >= len(r.Chance) {
		return 0, false
	}
	return max(r.Chance[i], 0), true
}

func eighth(q float64) rune {
	rs := []rune(swelling)
	return rs[min(max(int(math.Ceil(q*8))-1, 0), 7)]
}

// battery draws the lane's line as a level.
func (c *chart) battery(r *report.Ribbon) {
	if r.Battery == nil || len(r.Battery.Mid) == 0 {
		return
	}
	y := hourRows + c.sky + len(r.Strands)
	a, b := c.span()
	foot := c.strand + float64(len(r.Strands))*cellHigh + 8 + c.frame.Lane - 2 // of the lane's scale
	i := slices.IndexFunc(c.pic.Shapes, func(s report.Shape) bool { return s.Kind == "line" && s.Class == "lane" })
	if i < 0 {
		return
	}
	line := c.pic.Shapes[i].Points
	for k := 1; k < len(line); k++ {
		for x := c.col(line[k-1][0]); x <= min(c.col(line[k][0]), b); x++ {
			c.put(x, y, eighth((foot-line[k][1])/(c.frame.Lane-6)), plainInk)
		}
	}
	now := percent(r.Battery.Mid[0])
	c.write(a-1-len(now), y, plainInk, now)
	c.write(0, y, plainInk, "Battery")
	c.write(b+1, y, plainInk, "↓"+percent(slices.Min(r.Battery.Mid))) // the least of the watch
}

// load draws what is left to send as a level, a flag at each deadline, and what it is
// where the row is free.
func (c *chart) load(r *report.Ribbon) {
	i := slices.IndexFunc(c.pic.Shapes, func(s report.Shape) bool { return s.Kind == "area" && s.Class == "stair" })
	if r.Load == nil || i < 0 {
		return
	}
	y := hourRows + c.sky + len(r.Strands)
	if r.Battery != nil {
		y++
	}
	stair := c.pic.Shapes[i].Points // its first point is on the foot, the next at what there is now
	foot, full := stair[0][1], stair[1][1]
	a, b := c.span()
	left := 0.0
	for x := max(c.col(stair[0][0]), a); x <= b; x++ {
		for _, p := range stair[1 : len(stair)-1] {
			if p[0] <= (float64(x)+0.5)*cellWide {
				left = (foot - p[1]) / max(foot-full, 0.1)
			}
		}
		if c.put(x, y, '┈', faintInk); left > 0.02 {
			c.put(x, y, eighth(left), plainInk)
		}
	}
	c.flags(r.Load.Due, y)
	now := kilo(r.Load.KB)
	c.write(a-1-len([]rune(now)), y, plainInk, now)
	c.write(0, y, plainInk, "To send")
	end := "↘" + kilo(left*r.Load.KB)
	if len([]rune(end)) > 6 {
		end = strings.ReplaceAll(end, " ", "")
	}
	c.write(b+1, y, plainInk, end) // what the watch leaves
}

func (c *chart) flags(due []report.Due, y int) {
	a, b := c.span()
	at := func(i int) int {
		x := c.x(due[i].At)
		if x < c.pic.X0 || x >= c.pic.X1 {
			return -1
		}
		return c.col(x)
	}
	for i, d := range due {
		x := at(i)
		if x < a {
			continue
		}
		c.put(x, y, '►', boldInk)
		end := b
		for j := i + 1; j < len(due); j++ {
			if next := at(j); next >= 0 {
				end = min(end, next-1)
			}
		}
		free := 0
		for x+1+free < end && c.rows[y][x+1+free] == '┈' {
			free++
		}
		if free >= min(len([]rune(d.What)), 10) { // less of it says nothing
			c.write(x+1, y, seaInk, fit(d.What, free))
		}
	}
}
