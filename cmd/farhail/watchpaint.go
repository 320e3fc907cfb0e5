package main

import (
	"math"
	"slices"
	"time"

	"farhail/report"
)

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
	const foot = 1
	lanes := 0
	if r.Battery != nil {
		lanes++
	}
	if h < hourRows+6+lanes+1+foot { // what is to send goes before the sky does
		r.Load = nil
	}
	if r.Load != nil {
		lanes++
	}
	sky := h - hourRows - foot - lanes - len(r.Strands)
	if least := min(max(len(r.Channels)+1, 5), h-hourRows-foot); sky < least { // strands go before the sky does
		r.Strands = busiest(&r, max(len(r.Strands)-(least-sky), 0))
		sky = h - hourRows - foot - lanes - len(r.Strands)
	}
	if sky < 3 {
		return nil
	}
	r.Hidden = ""
	f := report.Frame{Width: float64(w) * cellWide, Left: float64(gutter(&r, w)) * cellWide, Right: 6 * cellWide, Sky: float64(sky) * cellHigh, Strand: cellHigh, Lane: cellHigh, Narrow: true, MaxHalf: 4}
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
	c.load(&r)
	c.column(r.Now, '│', boldInk)
	c.words(&r)
	c.marks()
	c.string(r.Now)
	if at != nil {
		c.column(*at, '┃', cursorInk)
		c.figures(*at)
	}
	return c.lines()
}

// gutter is the columns that names and frequencies take, a quarter of the screen at most.
func gutter(r *report.Ribbon, w int) int {
	n := len("Battery 100 %")
	if r.Load != nil {
		n = max(n, len("To send"+kilo(r.Load.KB)))
	}
	for _, s := range r.Strands {
		n = max(n, len([]rune(s.Station)))
	}
	return min(n+2, max(w/4, 15))
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
