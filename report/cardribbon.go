package report

import (
	"math"
	"slices"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// ink is how a class of shape is printed: black on white. Sizes of words are those the
// ribbon was laid out for, in px.
type ink struct {
	fill, line  float64 // grey, 0 black; below zero: none
	alpha       float64 // 0: solid
	thick       float64
	dash        []float64
	style       string
	size, track float64 // of words; track is room between letters, in their size
}

// The names are those of Shape.Class, by its first word.
var inks = map[string]ink{
	"night": {fill: 0, line: -1, alpha: 0.035}, "veil": {fill: 1, line: -1, alpha: 0.5},
	"w1": {fill: 0, line: -1, alpha: 0.03}, "w2": {fill: 0, line: -1, alpha: 0.03}, "w3": {fill: 0, line: -1, alpha: 0.04},
	"w4": {fill: 0, line: -1, alpha: 0.03}, "w5": {fill: 0, line: -1, alpha: 0.03},
	"tide": {fill: 0, line: -1, alpha: 0.14}, "fan": {fill: 0, line: -1, alpha: 0.14}, "stair": {fill: 0, line: -1, alpha: 0.1},
	"bar": {fill: 0, line: -1}, "flag": {fill: 0, line: -1}, "dot": {fill: 0, line: -1}, "markhalf": {fill: 0, line: -1},
	"call": {fill: 1, line: 0, thick: 2.4}, "hollow": {fill: 1, line: 0, thick: 1.5, dash: []float64{1.5, 1.7}},
	"mark": {fill: 1, line: 0, thick: 1.6},

	"grid": {fill: -1, line: 0.72, thick: 0.6}, "midnight": {fill: -1, line: 0, thick: 0.9}, "tick": {fill: -1, line: 0.3, thick: 0.8},
	"frame": {fill: -1, line: 0, thick: 1}, "base": {fill: -1, line: 0.6, thick: 0.8},
	"water": {fill: -1, line: 0.35, thick: 0.6}, "shore": {fill: -1, line: 0, thick: 1.5}, "ghost": {fill: -1, line: 0, thick: 1, dash: []float64{4, 3}},
	"hair": {fill: -1, line: 0.1, thick: 0.8, dash: []float64{1, 4}}, "gate": {fill: -1, line: 0, thick: 1}, "tideline": {fill: -1, line: 0, thick: 1.1},
	"string": {fill: -1, line: 0, thick: 1.1}, "branch": {fill: -1, line: 0, thick: 1.2, dash: []float64{4, 3}}, "markline": {fill: -1, line: 0, thick: 1.6},
	"lane": {fill: -1, line: 0, thick: 1.6}, "reserve": {fill: -1, line: 0, thick: 0.9, dash: []float64{7, 3}}, "mast": {fill: -1, line: 0, thick: 1},
	"now": {fill: -1, line: 0, thick: 1.8}, "sunset": {fill: -1, line: 0, thick: 1.2},

	"hour": {size: 14}, "channel": {size: 14.5}, "unit": {size: 13}, "gatetime": {size: 13}, "station": {size: 14.5}, "bearing": {size: 14},
	"best": {size: 12.5}, "chance": {size: 13}, "number": {style: "B", size: 14.5}, "when": {size: 13.5}, "else": {style: "I", size: 13.5},
	"nowtime": {style: "B", size: 14}, "sun": {style: "I", size: 13}, "lanelabel": {size: 13}, "figure": {style: "B", size: 15}, "due": {size: 12.5},
	"sea": {style: "I", size: 14.5, track: 0.05}, "hint": {style: "I", size: 14},
}

func inkOf(class string) (k ink, halo bool) {
	name, rest, _ := strings.Cut(class, " ")
	k, ok := inks[name]
	if !ok {
		panic("report: no ink for the class " + class)
	}
	for _, w := range strings.Fields(rest) {
		switch w {
		case "strong":
			k.style = "B"
		case "it":
			k.style = "I"
		case "halo":
			halo = true
		case "full":
			k.fill = 0
		case "first":
			k.size = 18
		case "big":
			k.size, k.track = 21, 0.42
		}
	}
	return k, halo
}

// A press prints a picture at a place and scale.
type press struct {
	*pen
	x, y, scale float64
}

// picture prints a laid-out ribbon with its corner at x, y.
func (p *pen) picture(pic *Picture, x, y, scale float64) {
	q := &press{p, x, y, scale}
	p.SetLineCapStyle("butt")
	for _, s := range pic.Shapes {
		k, halo := inkOf(s.Class)
		switch s.Kind {
		case "text":
			q.words(s, k, halo)
		case "along":
			// Words that found no room in the water do not go over the hours.
			if !slices.ContainsFunc(s.Points, func(pt [2]float64) bool { return pt[1] < pic.Top+k.size*0.8 }) {
				q.along(s, k)
			}
		default:
			q.shape(s, k)
		}
	}
	p.SetDrawColor(0, 0, 0)
	p.SetTextColor(0, 0, 0)
}

func (q *press) at(pt [2]float64) (float64, float64) {
	return q.x + pt[0]*q.scale, q.y + pt[1]*q.scale
}

func (q *press) shape(s Shape, k ink) {
	how := ""
	if k.fill >= 0 && s.Kind != "line" {
		g := int(k.fill * 255)
		q.SetFillColor(g, g, g)
		how = "F"
	}
	if k.line >= 0 {
		g := int(k.line * 255)
		q.SetDrawColor(g, g, g)
		q.SetLineWidth(k.thick * q.scale)
		how += "D"
	}
	if how == "" {
		return
	}
	if k.alpha > 0 {
		q.SetAlpha(k.alpha, "Normal")
	}
	if k.dash != nil {
		dash := make([]float64, len(k.dash))
		for i, d := range k.dash {
			dash[i] = d * q.scale
		}
		q.SetDashPattern(dash, 0)
	}
	x, y := q.at(s.Points[0])
	switch s.Kind {
	case "rect":
		q.Rect(x, y, s.Points[1][0]*q.scale, s.Points[1][1]*q.scale, how)
	case "circle":
		q.Circle(x, y, s.Points[1][0]*q.scale, how)
	case "area":
		pts := make([]fpdf.PointType, len(s.Points))
		for i, p := range s.Points {
			pts[i].X, pts[i].Y = q.at(p)
		}
		q.Polygon(pts, how)
	case "line":
		q.MoveTo(x, y)
		for _, p := range s.Points[1:] {
			q.LineTo(q.at(p))
		}
		q.DrawPath("D")
	}
	if k.dash != nil {
		q.SetDashPattern([]float64{}, 0)
	}
	if k.alpha > 0 {
		q.SetAlpha(1, "Normal")
	}
}

func (q *press) words(s Shape, k ink, halo bool) {
	x, y := q.at(s.Points[0])
	size := k.size * q.scale
	if halo {
		q.stroke(x, y, s.Anchor, k.style, size, s.Text)
	}
	q.SetTextColor(0, 0, 0)
	q.write(x, y, s.Anchor, k.style, size, s.Text)
}

// stroke clears the paper round words that stand on other ink.
func (q *press) stroke(x, y float64, anchor, style string, size float64, s string) {
	q.SetDrawColor(255, 255, 255)
	q.SetLineWidth(size * 0.22)
	q.SetTextRenderingMode(1)
	q.write(x, y, anchor, style, size, s)
	q.SetTextRenderingMode(0)
}

// along sets letters on a line, one by one, in its middle.
func (q *press) along(s Shape, k ink) {
	size := k.size * q.scale
	text := []rune(q.plain(k.style, s.Text))
	q.face(k.style, size)
	wide := 0.0
	adv := make([]float64, len(text))
	for i, r := range text {
		adv[i] = q.GetStringWidth(string(r)) + k.track*size
		wide += adv[i]
	}
	whole := 0.0
	for i := 1; i < len(s.Points); i++ {
		whole += math.Hypot(s.Points[i][0]-s.Points[i-1][0], s.Points[i][1]-s.Points[i-1][1]) * q.scale
	}
	for pass := range 2 { // first the paper round the letters, then the letters
		d := (whole - wide + k.track*size) / 2
		for i, r := range text {
			x, y, slope := q.on(s.Points, d+adv[i]/2)
			q.TransformBegin()
			q.TransformRotate(-slope*180/math.Pi, x, y)
			if pass == 0 {
				q.stroke(x, y, "middle", k.style, size, string(r))
			} else {
				q.SetTextColor(0, 0, 0)
				q.write(x, y, "middle", k.style, size, string(r))
			}
			q.TransformEnd()
			d += adv[i]
		}
	}
}

// on is the point at a length along a line, and the slope there.
func (q *press) on(pts [][2]float64, length float64) (x, y, slope float64) {
	for i := 1; i < len(pts); i++ {
		ax, ay := q.at(pts[i-1])
		bx, by := q.at(pts[i])
		step := math.Hypot(bx-ax, by-ay)
		slope = math.Atan2(by-ay, bx-ax)
		if length <= step || i == len(pts)-1 {
			w := length / max(step, 1e-9)
			return ax + w*(bx-ax), ay + w*(by-ay), slope
		}
		length -= step
	}
	return 0, 0, 0
}
