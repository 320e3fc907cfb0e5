package main

import (
	"math"
	"slices"
	"strings"
	"time"

	"charm.land/lipgloss/v2"

	"farhail/report"
)

// The ribbon in characters: a column is 8 px of its layout, a row 16. Shades tell the
// chance that the sky carries; bars and tides swell in eighths of a row with the chance
// to connect.
const (
	cellWide, cellHigh = 8.0, 16.0
	swelling           = "▁▂▃▄▅▆▇█"
)

// Kinds of ink; all of them read without colour.
type pencil int

const (
	plainInk pencil = iota
	faintInk
	boldInk
	seaInk  // italic: sky and forecast
	deepInk // chance
	planInk // what to do
	cursorInk
)

var pencils = [...]lipgloss.Style{
	plainInk:  lipgloss.NewStyle(),
	faintInk:  lipgloss.NewStyle().Faint(true),
	boldInk:   lipgloss.NewStyle().Bold(true),
	seaInk:    lipgloss.NewStyle().Italic(true),
	deepInk:   lipgloss.NewStyle().Foreground(lipgloss.Cyan),
	planInk:   lipgloss.NewStyle().Bold(true).Reverse(true).Foreground(lipgloss.Magenta),
	cursorInk: lipgloss.NewStyle().Bold(true).Reverse(true),
}

// A sheet is a grid of characters.
type sheet struct {
	rows [][]rune
	inks [][]pencil
	hard [][]bool // written: words give way to it
}

func newSheet(w, h int) *sheet {
	s := &sheet{}
	for range h {
		s.rows = append(s.rows, []rune(strings.Repeat(" ", w)))
		s.inks = append(s.inks, make([]pencil, w))
		s.hard = append(s.hard, make([]bool, w))
	}
	return s
}

func (s *sheet) has(x, y int) bool {
	return y >= 0 && y < len(s.rows) && x >= 0 && x < len(s.rows[y])
}

func (s *sheet) put(x, y int, r rune, ink pencil) {
	if s.has(x, y) {
		s.rows[y][x], s.inks[y][x] = r, ink
	}
}

// write puts words down where nothing else has been written.
func (s *sheet) write(x, y int, ink pencil, words string) bool {
	rs := []rune(words)
	for i := range rs {
		if !s.has(x+i, y) || s.hard[y][x+i] {
			return false
		}
	}
	for i, r := range rs {
		s.put(x+i, y, r, ink)
		s.hard[y][x+i] = true
	}
	return true
}

// lines renders the sheet, a style for each stretch of equal ink.
func (s *sheet) lines() []string {
	out := make([]string, len(s.rows))
	for y, row := range s.rows {
		var b strings.Builder
		for x := 0; x < len(row); {
			end := x
			for end < len(row) && s.inks[y][end] == s.inks[y][x] {
				end++
			}
			b.WriteString(pencils[s.inks[y][x]].Render(string(row[x:end])))
			x = end
		}
		out[y] = b.String()
	}
	return out
}

// A chart is the ribbon laid out for a grid of characters.
type chart struct {
	*sheet
	pic    *report.Picture
	sky    int // rows of the sky, under two of hours
	rowOf  []int
	frame  report.Frame
	strand float64 // px where the strands begin
}

const hourRows = 2

// paintRibbon draws the ribbon into w columns and h rows; at is the cursor, if any.
func paintRibbon(r report.Ribbon, w, h int, at *time.Time) []string {
	lanes := 0
	if r.Battery != nil {
		lanes++
	}
	const foot = 1
	sky := h - hourRows - foot - lanes - len(r.Strands)
	if least := min(max(len(r.Channels)+1, 6), h-hourRows-foot); sky < least { // strands go before the sky does
		r.Strands = busiest(&r, max(len(r.Strands)-(least-sky), 0))
		sky = h - hourRows - foot - lanes - len(r.Strands)
	}
	if sky < 3 {
		return nil
	}
	r.Load, r.Hidden = nil, ""
	f := report.Frame{Width: float64(w) * cellWide, Left: 15 * cellWide, Right: 6 * cellWide, Sky: float64(sky) * cellHigh, Strand: cellHigh, Lane: cellHigh, Narrow: true, MaxHalf: 4, HourEvery: 3}
	c := &chart{sheet: newSheet(w, h), pic: report.Lay(&r, f), sky: sky, frame: f}
	c.strand = c.pic.Top + 4 + f.Sky + 8
	if len(r.Strands) > 0 {
		c.strand += 6
	}
	c.settle()
	c.hours(&r)
	c.water()
	c.swell(&r)
	c.battery(&r)
	c.column(r.Now, '│', boldInk)
	c.words(&r)
	c.marks()
	if at != nil {
		c.column(*at, '┃', cursorInk)
		c.figures(*at)
	}
	return c.lines()
}

// busiest keeps n strands: those of calls first, in their order.
func busiest(r *report.Ribbon, n int) []report.Strand {
	called := func(s report.Strand) bool {
		return slices.ContainsFunc(r.Calls, func(c report.Planned) bool { return c.Station == s.Station })
	}
	take := map[string]bool{}
	for _, pass := range []bool{true, false} {
		for _, s := range r.Strands {
			if called(s) == pass && len(take) < n {
				take[s.Station] = true
			}
		}
	}
	var out []report.Strand
	for _, s := range r.Strands {
		if take[s.Station] {
			out = append(out, s)
		}
	}
	return out
}

// settle gives every row of the picture a row of its own; channels keep their order and
// move apart where they lie close.
func (c *chart) settle() {
	n := len(c.pic.Rows)
	c.rowOf = make([]int, n)
	var channels []int
	strands := 0
	for i, r := range c.pic.Rows {
		if r.MHz > 0 {
			channels = append(channels, i)
			continue
		}
		c.rowOf[i] = hourRows + c.sky + strands
		strands++
	}
	slices.SortFunc(channels, func(a, b int) int { return int(10 * (c.pic.Rows[a].Y - c.pic.Rows[b].Y)) })
	last := hourRows - 1
	for _, i := range channels {
		c.rowOf[i] = max(c.skyRow(c.pic.Rows[i].Y), last+1)
		last = c.rowOf[i]
	}
	limit := hourRows + c.sky - 1
	for k := len(channels) - 1; k >= 0; k-- {
		c.rowOf[channels[k]] = max(min(c.rowOf[channels[k]], limit), hourRows)
		limit = c.rowOf[channels[k]] - 1
	}
}

func (c *chart) skyRow(y float64) int {
	return hourRows + int(math.Floor((y-c.pic.Top-4)/cellHigh))
}

// row of a height: a channel's own if it is one, else by the scale.
func (c *chart) row(y float64) int {
	if y >= c.strand {
		return hourRows + c.sky + int((y-c.strand-1)/cellHigh) // a mark on a foot belongs above it
	}
	best, near := c.skyRow(y), 3.0
	for i, r := range c.pic.Rows {
		if d := math.Abs(r.Y - y); r.MHz > 0 && d < near {
			best, near = c.rowOf[i], d
		}
	}
	return best
}

func (c *chart) col(x float64) int { return int(math.Floor(x / cellWide)) }

func (c *chart) x(t time.Time) float64 {
	return c.pic.X0 + float64(t.Sub(c.pic.From))/float64(c.pic.To.Sub(c.pic.From))*(c.pic.X1-c.pic.X0)
}

// time is the moment at an x.
func (c *chart) time(x float64) time.Time {
	return c.pic.From.Add(time.Duration((x - c.pic.X0) / (c.pic.X1 - c.pic.X0) * float64(c.pic.To.Sub(c.pic.From))))
}

// span of columns of the time axis.
func (c *chart) span() (a, b int) { return c.col(c.pic.X0), c.col(c.pic.X1 - 1) }

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
		if rs := []rune(name); len(rs) > a-2 {
			name = string(rs[:a-3]) + "…"
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
	for _, s := range c.pic.Shapes {
		switch class, _, _ := strings.Cut(s.Class, " "); {
		case s.Kind == "along" && class == "sea":
			mid := s.Points[len(s.Points)/2]
			y := c.skyRow(mid[1] - 5)
			if y < hourRows || y >= hourRows+c.sky || slices.Contains(c.rowOf, y) {
				continue
			}
			c.write(c.col(mid[0])-len(s.Text)/2, y, seaInk, " "+s.Text+" ")
		case class == "sun" || class == "nowtime":
			ink, text := seaInk, s.Text
			if class == "nowtime" {
				ink = boldInk
			}
			for _, n := range r.Nights {
				switch s.Text {
				case n.Sunset.Format("15:04"):
					text = "sunset " + s.Text
				case n.Sunrise.Format("15:04"):
					text = "sunrise " + s.Text
				}
			}
			x, n := c.col(s.Points[0][0]), len([]rune(text))
			switch s.Anchor {
			case "middle":
				x -= n / 2
			case "end":
				x -= n
			}
			c.write(x, len(c.rows)-1, ink, text)
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
