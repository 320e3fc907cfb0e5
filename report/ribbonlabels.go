package report

import (
	"math"
	"strconv"
)

// A box is the room a label takes.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(c box) bool { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }

func (p *page) free(b box) bool {
	for _, t := range p.taken {
		if b.meets(t) {
			return false
		}
	}
	return true
}

// room is what words take, by the mean width of a letter of the text face, 0.5 of its
// size (measured on the embedded face: 0.47 for figures, 0.49 for words).
func room(x, y float64, anchor, s string, size float64) box {
	w := float64(len([]rune(s))) * size * 0.5
	switch anchor {
	case "end":
		x -= w
	case "middle":
		x -= w / 2
	}
	return box{x, y - size*0.8, x + w, y + size*0.25}
}

// label writes words where there is room, else leaves them out: the first to ask stays.
func (p *page) label(class string, x, y float64, anchor, s string, size, gap float64) bool {
	b := room(x, y, anchor, s, size)
	if b.x1 > p.Width || b.x0 < p.x0-2 && anchor != "end" {
		return false
	}
	wide := box{b.x0 - gap, b.y0, b.x1 + gap, b.y1}
	if !p.free(wide) {
		return false
	}
	p.taken = append(p.taken, b)
	p.text(letters, class, x, y, anchor, s)
	return true
}

// grouped writes a whole number with its thousands parted: 1 900.
func grouped(v float64) string {
	s := strconv.Itoa(int(math.Round(v)))
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "\u00a0" + s[i:]
	}
	return s
}

// A spline is a monotone cubic through points (Fritsch and Carlson 1980). Between two
// points one of which is not finite it takes the nearer.
type spline struct{ t, y, m []float64 }

func newSpline(t, y []float64) spline {
	n := len(t)
	d, m := make([]float64, n), make([]float64, n)
	for i := 0; i+1 < n; i++ {
		d[i] = (y[i+1] - y[i]) / (t[i+1] - t[i])
	}
	for i := 1; i+1 < n; i++ {
		if d[i-1]*d[i] > 0 {
			m[i] = 2 / (1/d[i-1] + 1/d[i]) // harmonic mean: never steeper than both allow
		}
	}
	if n > 1 {
		m[0], m[n-1] = d[0], d[n-2]
	}
	for i := range m {
		if math.IsNaN(m[i]) || math.IsInf(m[i], 0) {
			m[i] = 0
		}
	}
	return spline{t, y, m}
}

func (s spline) at(t float64) float64 {
	i := 0
	for i+2 < len(s.t) && s.t[i+1] < t {
		i++
	}
	h := s.t[i+1] - s.t[i]
	u := min(max((t-s.t[i])/h, 0), 1)
	a, b := s.y[i], s.y[i+1]
	if math.IsInf(a, 0) || math.IsInf(b, 0) || math.IsNaN(a) || math.IsNaN(b) {
		if u < 0.5 {
			return a
		}
		return b
	}
	return (1+2*u)*(1-u)*(1-u)*a + u*(1-u)*(1-u)*h*s.m[i] + u*u*(3-2*u)*b + u*u*(u-1)*h*s.m[i+1]
}
