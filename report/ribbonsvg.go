package report

import (
	"fmt"
	"strings"
	"time"
)

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// SVG paints a picture as one image. Its marks have classes; ink is the style that
// colours them, such as PlainInk.
func (p *Picture) SVG(label, ink string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="ribbon" viewBox="0 0 %.0f %.0f" width="%.0f" height="%.0f" role="img" aria-label="%s">`, p.W, p.H, p.W, p.H, strings.ReplaceAll(escape(label), `"`, "&#34;"))
	if ink != "" {
		fmt.Fprintf(&b, "<style>%s</style>", ink)
	}
	for i, s := range p.Shapes {
		p.paint(&b, i, s)
	}
	b.WriteString("</svg>\n")
	return []byte(b.String())
}

func (p *Picture) paint(b *strings.Builder, i int, s Shape) {
	q := s.Points
	switch s.Kind {
	case "line", "area":
		end := ""
		if s.Kind == "area" {
			end = "Z"
		}
		fmt.Fprintf(b, `<path class="%s" d="%s%s"/>`, s.Class, trail(q), end)
	case "rect":
		fmt.Fprintf(b, `<rect class="%s" x="%g" y="%g" width="%g" height="%g"/>`, s.Class, q[0][0], q[0][1], q[1][0], q[1][1])
	case "circle":
		fmt.Fprintf(b, `<circle class="%s" cx="%g" cy="%g" r="%g"/>`, s.Class, q[0][0], q[0][1], q[1][0])
	case "text":
		fmt.Fprintf(b, `<text class="%s" x="%g" y="%g" text-anchor="%s">%s</text>`, s.Class, q[0][0], q[0][1], s.Anchor, escape(s.Text))
	case "along":
		fmt.Fprintf(b, `<path id="along%d" class="rail" d="%s"/><text class="%s"><textPath href="#along%d" startOffset="50%%" text-anchor="middle">%s</textPath></text>`, i, trail(q), s.Class, i, escape(s.Text))
	}
}

func trail(pts [][2]float64) string {
	var b strings.Builder
	for i, q := range pts {
		c := 'L'
		if i == 0 {
			c = 'M'
		}
		fmt.Fprintf(&b, "%c%g %g", c, q[0], q[1])
	}
	return b.String()
}

// PlainInk is ink for a picture that stands alone: the colours of the page by day.
const PlainInk = `svg{background:#faf9f5;font-family:'Source Serif 4',Georgia,serif}text{fill:#15202b;font-size:14px}
.rail{fill:none}.night{fill:#2c3e5c;fill-opacity:.028}.grid,.base{stroke:#c3c7c6}.tick{stroke:#848d93}.midnight{stroke:#4a5662}
.frame,.gate,.now,.lane,.mast{stroke:#15202b;fill:none}.w1{fill:#e9f1f2}.w2{fill:#dceaed}.w3{fill:#cbe0e6}.w4{fill:#bbd6df}.w5{fill:#adcdd8}
.water{fill:none;stroke:#6296aa;stroke-width:.65}.shore{fill:none;stroke:#093f59;stroke-width:1.5}.ghost{fill:none;stroke:#15202b;stroke-dasharray:4 3}
.hair{stroke:#4a5662;stroke-width:.8;stroke-dasharray:1 4}.bar{fill:#093f59}.tide{fill:#cfe1e7}.tideline{fill:none;stroke:#093f59}
.fan,.stair{fill:#c3c7c6;fill-opacity:.5}.reserve{stroke:#15202b;stroke-dasharray:7 3}.flag,.dot,.mark.full,.markhalf{fill:#15202b}
.veil{fill:#faf9f5;fill-opacity:.5}.sunset{fill:none;stroke:#4a5662}.call{fill:#c41a5c}.string{stroke:#c41a5c}.branch{stroke:#c41a5c;stroke-dasharray:4 3}
.hollow{fill:#faf9f5;stroke:#c41a5c;stroke-width:1.6}.number,.when,.else{fill:#c41a5c}.mark{fill:#faf9f5;stroke:#15202b}.mark.full{fill:#15202b}.markline{stroke:#15202b}
.strong,.first,.nowtime{font-weight:680}.sea,.else,.it,.hint,.sun{font-style:italic}.big{font-size:21px;letter-spacing:.42em}`
