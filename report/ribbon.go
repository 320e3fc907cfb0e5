package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// The ribbon is the day of a station in one picture: time across; the span of
// frequencies that the sky carries to the station in focus, channels as bars that
// swell with the chance to connect; below it a strand for each other station, the
// battery, and what is left to send. Lay works out its geometry once; painters
// (SVG, the page, paper, text) only put the shapes down.
//
// x runs to the right, y downward, in px; times are UTC.

// Shares are the chances at whose edges the tints of the ribbon change.
var Shares = [5]float64{0.10, 0.25, 0.50, 0.75, 0.90}

// A Ribbon is what there is to show.
type Ribbon struct {
	From, To, Now time.Time

	Focus    string // the station whose sky is shown
	Edges    []Edge
	Channels []Bar
	Strands  []Strand
	Steps    []time.Time // of the chances below: the middle of each slot
	Slot     time.Duration

	Nights   []Night
	Calls    []Planned
	Outcomes []Outcome
	Battery  *Lane
	Load     *Load
	Before   []Edge // edges before a change of the home; none: no change is shown
	Hidden   string // what is said of stations without a strand
}

// An Edge is the sky at a moment: for each of Shares the frequencies, MHz, between
// which it carries with at least that chance. Low is +Inf where no frequency does.
type Edge struct {
	At        time.Time
	High, Low [5]float64
}

// A Bar is a channel of the station in focus; Chance is negative where the station's
// hours are shut.
type Bar struct {
	MHz    float64
	Chance []float64
}

// A Strand is another station: the chance of its best channel, and which that is.
type Strand struct {
	Station    string
	HeadingDeg float64
	Chance     []float64
	MHz        []float64
}

// A Night lasts from sunset to sunrise at home.
type Night struct{ Sunset, Sunrise time.Time }

// A Planned call; Fallback marks what is tried if the one before does not answer.
type Planned struct {
	No       int
	Start    time.Time
	Minutes  float64
	Station  string
	MHz      float64
	Fallback bool
}

// An Outcome is a logged call: connected, no answer, busy or broken off.
type Outcome struct {
	At      time.Time
	Station string
	MHz     float64
	What    string
}

// A Lane is the battery, as shares of what it holds, from Now on.
type Lane struct {
	At        []time.Time
	Mid       []float64
	Low, High []float64 // between which it lies 8 times in 10
	Reserve   float64
}

// A Load is what is left to send, in kB, after each call, and what no call of the watch
// can carry.
type Load struct {
	KB    float64
	Stays float64
	Drops []Drop
	Due   []Due
}

// A Drop is what a call takes off the load.
type Drop struct {
	From, To time.Time
	KB       float64
}

// Due is a deadline.
type Due struct {
	At   time.Time
	What string
}

// A Frame is the room there is.
type Frame struct {
	Width             float64
	Left, Right       float64 // gutters
	Sky, Strand, Lane float64 // heights; without a sky the lanes stand alone
	Narrow            bool
	MaxHalf           float64 // of a bar that is sure
}

// FrameFor chooses the room by the width of the page.
func FrameFor(width float64) Frame {
	f := Frame{Width: width, Left: 164, Right: 54, Sky: 176, Strand: 25, Lane: 40, MaxHalf: 3.7}
	switch {
	case width < 560:
		f.Left, f.Right, f.Sky, f.Strand, f.Narrow = 98, 32, 184, 30, true
	case width < 900:
		f.Left, f.Right, f.Sky, f.Strand = 160, 52, 240, 36
	}
	return f
}

// gutter is as wide as the longest name and its bearing, within reason.
func (f Frame) gutter(strands []Strand) float64 {
	w := f.Left
	for _, s := range strands {
		n := float64(len([]rune(s.Station)))*7.3 + 52
		if f.Narrow {
			n = float64(len([]rune(s.Station)))*7.3 + 10
		}
		w = max(w, min(n, f.Left*1.35))
	}
	return w
}

// A Picture is the ribbon laid out: shapes in the order of painting, and what a cursor
// needs to read it.
type Picture struct {
	W      float64   `json:"w"`
	H      float64   `json:"h"`
	X0     float64   `json:"x0"`
	X1     float64   `json:"x1"`
	Top    float64   `json:"top"`
	Bottom float64   `json:"bottom"`
	From   time.Time `json:"from"`
	To     time.Time `json:"to"`
	Now    time.Time `json:"now"`
	Shapes []Shape   `json:"shapes"`
	Rows   []Row     `json:"rows"`
	First  time.Time `json:"first"` // middle of the first slot of the rows
	SlotS  float64   `json:"slot_s"`
}

// A Row is a channel or strand under the cursor.
type Row struct {
	Station string    `json:"station"`
	MHz     float64   `json:"mhz"` // 0: a strand
	Y       float64   `json:"y"`
	Chance  []float64 `json:"chance"`
	Best    []float64 `json:"best,omitempty"` // MHz of a strand's best channel
}

// A Shape is one mark. Class says what it is; the painter gives it ink.
type Shape struct {
	Kind   string       `json:"k"` // line, area, rect, circle, text, along
	Class  string       `json:"c"`
	Points [][2]float64 `json:"p"` // rect: corner and size; circle: centre and (radius, 0)
	Text   string       `json:"t,omitempty"`
	Anchor string       `json:"a,omitempty"` // start, middle, end
}

// layer numbers, lowest painted first.
const (
	ground = iota
	sky
	bars
	lanes
	veil
	letters
	plans
	above
	layers
)

type page struct {
	Frame
	r     *Ribbon
	x0    float64
	x1    float64
	yTop  float64 // of the sky
	yFoot float64
	lo    float64 // MHz at yFoot
	hi    float64
	foot  float64 // of everything
	yOf   map[string][2]float64
	on    [layers][]Shape
	taken []box
	runs  [][2][2]float64    // pieces of the string
	said  map[time.Time]bool // when the hours of the station in focus begin or end, and a word says so
	rows  []Row
}

// Lay works out the ribbon's geometry.
func Lay(r *Ribbon, f Frame) *Picture {
	f.Left = f.gutter(r.Strands)
	p := &page{Frame: f, r: r, x0: f.Left, x1: f.Width - f.Right, yOf: map[string][2]float64{}, said: map[time.Time]bool{}}
	const top = 24.0
	p.yTop = top + 4
	p.yFoot = p.yTop + f.Sky
	p.limits()
	strands := p.yFoot + 8
	if f.Sky == 0 { // the lanes alone
		p.yFoot, strands = top, top-4
	}
	if len(r.Strands) > 0 {
		strands += 6
	}
	lanesTop := strands + float64(len(r.Strands))*f.Strand
	if r.Hidden != "" {
		lanesTop += 20
	}
	p.foot = lanesTop + 8
	if r.Battery != nil {
		p.foot += f.Lane + 4
	}
	if r.Load != nil {
		p.foot += f.Lane + 8
	}
	p.night(top)
	p.hours(top)
	p.water()
	p.channels()
	p.strands(strands)
	y := lanesTop + 8
	if r.Battery != nil {
		y = p.battery(y)
	}
	if r.Load != nil {
		p.load(y)
	}
	p.past(top)
	p.now(top)
	// Words take their room in this order: the first to ask stays.
	p.calls()
	p.outcomes()
	highestFirst := slices.SortedFunc(slices.Values(r.Channels), func(a, b Bar) int { return cmp.Compare(b.MHz, a.MHz) })
	for _, c := range highestFirst {
		p.gates(c, p.y(c.MHz))
	}
	p.names()
	p.sea()
	out := &Picture{W: f.Width, H: math.Ceil(p.foot + 22), X0: p.x0, X1: p.x1, Top: top, Bottom: r1(p.foot), From: r.From, To: r.To, Now: r.Now,
		Rows: p.rows, SlotS: r.Slot.Seconds()}
	if len(r.Steps) > 0 {
		out.First = r.Steps[0]
	}
	for _, l := range p.on {
		out.Shapes = append(out.Shapes, l...)
	}
	return out
}

// limits chooses the frequencies shown: the channels, with 30 % about them.
func (p *page) limits() {
	p.lo, p.hi = math.Inf(1), math.Inf(-1)
	for _, c := range p.r.Channels {
		p.lo, p.hi = min(p.lo, c.MHz), max(p.hi, c.MHz)
	}
	if len(p.r.Channels) == 0 {
		p.lo, p.hi = 3, 18
	}
	p.lo, p.hi = max(p.lo*0.7, 1.5), min(p.hi*1.3, 32)
	if p.hi < p.lo*2 {
		p.hi = p.lo * 2
	}
}

// x of a moment.
func (p *page) x(t time.Time) float64 {
	return p.x0 + float64(t.Sub(p.r.From))/float64(p.r.To.Sub(p.r.From))*(p.x1-p.x0)
}

// y of a frequency, by f^0.72: a linear scale bunches the low channels, a logarithmic
// one the high.
func (p *page) y(fMHz float64) float64 {
	s := func(f float64) float64 { return math.Pow(f, 0.72) }
	return p.yFoot - (s(fMHz)-s(p.lo))/(s(p.hi)-s(p.lo))*(p.yFoot-p.yTop)
}

func (p *page) put(layer int, s Shape) {
	for i := range s.Points {
		s.Points[i] = [2]float64{r1(s.Points[i][0]), r1(s.Points[i][1])}
	}
	p.on[layer] = append(p.on[layer], s)
}

func (p *page) line(layer int, class string, pts ...[2]float64) {
	if len(pts) > 1 {
		p.put(layer, Shape{Kind: "line", Class: class, Points: pts})
	}
}

func (p *page) area(layer int, class string, pts [][2]float64) {
	if len(pts) > 2 {
		p.put(layer, Shape{Kind: "area", Class: class, Points: pts})
	}
}

func (p *page) rect(layer int, class string, x, y, w, h float64) {
	p.put(layer, Shape{Kind: "rect", Class: class, Points: [][2]float64{{x, y}, {w, h}}})
}

func (p *page) circle(layer int, class string, x, y, r float64) {
	p.put(layer, Shape{Kind: "circle", Class: class, Points: [][2]float64{{x, y}, {r, 0}}})
}

func (p *page) text(layer int, class string, x, y float64, anchor, s string) {
	p.put(layer, Shape{Kind: "text", Class: class, Points: [][2]float64{{x, y}}, Text: s, Anchor: anchor})
}

func r1(x float64) float64 { return math.Round(x*10) / 10 }

// khz writes a frequency as the trade does, in groups of three: 12 604.5.
func khz(mhz float64) string {
	t := int(math.Round(mhz * 1e4))
	k := t / 10
	if k >= 1000 {
		return fmt.Sprintf("%d\u00a0%03d.%d", k/1000, k%1000, t%10)
	}
	return fmt.Sprintf("%d.%d", k, t%10)
}

func hm(t time.Time) string { return t.UTC().Format("15:04") }
