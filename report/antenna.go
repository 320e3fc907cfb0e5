// Package report draws what the desk computed: pictures as SVG, pages as PDF. It only
// shows; every figure comes in.
package report

import (
	"fmt"
	"math"
	"strings"

	"farhail/hf/antenna"
)

// AntennaSVG draws an antenna's pattern: left the elevation cut as a half circle, right
// the ring of bearings at the elevation of the maximum. The outer circle is the greatest
// gain, each 6 dB a ring, the centre 24 dB below; figures stand at the rings, bearings are true.
func AntennaSVG(d antenna.Drawing) []byte {
	const r, top = 170.0, 40.0
	var b strings.Builder
	notes := antennaNotes(d)
	const firstNote, noteStep = 330, 18
	height := max(430, firstNote+noteStep*len(notes))
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 780 %d" width="780" height="%[1]d" font-family="'Source Serif 4',Georgia,serif" font-size="13" role="img" aria-label="%s at %.3f MHz, greatest gain %.1f dBi">`, height, d.Kind, d.MHz, d.MaximumDBi)
	fmt.Fprintf(&b, `<rect width="780" height="%d" fill="#faf9f5"/><text x="20" y="24" font-size="17" font-weight="600" fill="#15202b">%s, %.3f MHz: %.1f dBi at most</text>`, height, d.Kind, d.MHz, d.MaximumDBi)
	most := d.MaximumDBi
	radius := func(dBi float64) float64 { return r * math.Max(0, 1+(dBi-most)/24) }

	// elevation: horizon to zenith to horizon behind
	x0, y0 := 20+r, top+20+r
	for k := range 4 {
		q := r * (1 - float64(k)/4)
		fmt.Fprintf(&b, `<path d="M%.1f %.1fA%.1f %.1f 0 0 1 %.1f %.1f" fill="none" stroke="#c3c7c6"/><text x="%.1f" y="%.1f" text-anchor="middle" font-size="12" fill="#4a5662">%s</text>`,
			x0-q, y0, q, q, x0+q, y0, x0+q, y0+14, strings.Replace(fmt.Sprintf("%.0f", most-6*float64(k)), "-", "−", 1))
	}
	for _, el := range []float64{30, 60, 90, 120, 150} {
		a := el * math.Pi / 180
		fmt.Fprintf(&b, `<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="#e3e5e3"/>`, x0, y0, x0+r*math.Cos(a), y0-r*math.Sin(a))
		shown := el
		if el > 90 {
			shown = 180 - el
		}
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle" font-size="12" fill="#4a5662">%.0f°</text>`, x0+(r+14)*math.Cos(a), y0-(r+12)*math.Sin(a)+4, shown)
	}
	fmt.Fprintf(&b, `<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="#15202b"/>`, x0-r, y0, x0+r, y0)
	path(&b, d.ElevationCut, func(p antenna.Point) (float64, float64) {
		a, q := p.ElevationDeg*math.Pi/180, radius(p.GainDBi)
		return x0 + q*math.Cos(a), y0 - q*math.Sin(a)
	}, false)
	fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle" fill="#15202b">elevation, along %03.0f° and back; dBi</text>`, x0, y0+36, math.Mod(d.CutAzimuthDeg+360, 360))

	// bearings
	x1, y1 := 580.0, top+30+r*0.95
	for k := range 4 {
		fmt.Fprintf(&b, `<circle cx="%.1f" cy="%.1f" r="%.1f" fill="none" stroke="#c3c7c6"/>`, x1, y1, r*0.9*(1-float64(k)/4))
	}
	for az := 0.0; az < 360; az += 30 {
		a := az * math.Pi / 180
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle" font-size="12" fill="#4a5662">%03.0f°</text>`, x1+(r*0.9+17)*math.Sin(a), y1-(r*0.9+14)*math.Cos(a)+4, az)
	}
	path(&b, d.AzimuthCut, func(p antenna.Point) (float64, float64) {
		a, q := p.AzimuthDeg*math.Pi/180, 0.9*radius(p.GainDBi)
		return x1 + q*math.Sin(a), y1 - q*math.Cos(a)
	}, true)
	fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle" fill="#15202b">true bearings, at elevation %.0f°</text>`, x1, y1+r+22, d.RingElevation)
	for i, n := range notes {
		fmt.Fprintf(&b, `<text x="20" y="%d" fill="#4a5662" font-style="italic">%s</text>`, firstNote+noteStep*i, escape(n))
	}
	b.WriteString("</svg>\n")
	return []byte(b.String())
}

// antennaNotes are the lines under the elevation cut, short enough to end before the ring
// of bearings.
func antennaNotes(d antenna.Drawing) (lines []string) {
	const letters = 56
	line := fmt.Sprintf("Lost in ground, wire, coil, tuner: %.1f dB.", d.LossDB)
	for _, n := range append([]string{line}, d.Notes...) {
		line := ""
		for _, w := range strings.Fields(n) {
			if line != "" && len(line)+1+len(w) > letters {
				lines, line = append(lines, line), ""
			}
			line = strings.TrimSpace(line + " " + w)
		}
		lines = append(lines, line)
	}
	return lines
}

func path(b *strings.Builder, points []antenna.Point, at func(antenna.Point) (float64, float64), closed bool) {
	b.WriteString(`<path d="`)
	for i, p := range points {
		x, y := at(p)
		c := 'L'
		if i == 0 {
			c = 'M'
		}
		fmt.Fprintf(b, "%c%.1f %.1f", c, x, y)
	}
	if closed {
		b.WriteByte('Z')
	}
	b.WriteString(`" fill="none" stroke="#093f59" stroke-width="2"/>`)
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

func escape(s string) string { return escaper.Replace(s) }
