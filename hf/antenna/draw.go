package antenna

import (
	"fmt"
	"math"
	"strings"

	"farhail/unit"
)

// Point is one figure of a drawing.
type Point struct {
	AzimuthDeg     float64 `json:"azimuth_deg"`
	ElevationDeg   float64 `json:"elevation_deg"`
	GainDBi        float64 `json:"gain_dbi"`
	DirectivityDBi float64 `json:"directivity_dbi"`
}

// Drawing is a pattern as figures: a cut from the horizon to the zenith and on to
// the horizon behind, and a ring at the elevation of the cut's maximum.
type Drawing struct {
	Kind           Kind     `json:"kind"`
	MHz            float64  `json:"mhz"`
	MaximumDBi     float64  `json:"maximum_dbi"`
	LossDB         float64  `json:"loss_db"`
	ResistanceOhm  *float64 `json:"resistance_ohm"` // null: not known, or at a current node
	ReactanceOhm   *float64 `json:"reactance_ohm"`  // null: not modelled, or a tuner's business
	SWR            *float64 `json:"swr"`            // in 50 ohm
	MismatchDB     *float64 `json:"mismatch_db"`    // lost without a tuner
	LineLossDB     *float64 `json:"line_loss_db"`   // of a line asked for, mismatch in; null: none asked for
	GroundWaveDBi  *float64 `json:"ground_wave_dbi"`
	Notes          []string `json:"notes"`
	ElevationCut   []Point  `json:"elevation_cut"`
	AzimuthCut     []Point  `json:"azimuth_cut"`
	CutAzimuthDeg  float64  `json:"cut_azimuth_deg"`
	RingElevation  float64  `json:"ring_elevation_deg"`
	LeastDrawnDBi  float64  `json:"least_drawn_dbi"` // where a scale may start
	AntennaBearing float64  `json:"antenna_bearing_deg"`
}

// point looks one figure up. Beyond the zenith the elevation is given as more than 90°.
func (p *Pattern) point(azDeg, elDeg float64) Point {
	az, el := azDeg, elDeg
	if el > 90 {
		az, el = az+180, 180-el
	}
	return Point{azDeg, elDeg, p.GainDBi(az, el), p.DirectivityDBi(az, el)}
}

// Drawing returns the pattern's figures along a bearing, and what a line between it and
// the transmitter loses that loses so much when matched; 0: none.
func (p *Pattern) Drawing(azDeg float64, line unit.DB) Drawing {
	d := Drawing{
		Kind: p.kind, MHz: p.f.MHz(), LossDB: p.lossDB, Notes: append([]string{}, p.notes...),
		CutAzimuthDeg: azDeg, AntennaBearing: p.bearingDeg, MaximumDBi: p.topDBi(),
	}
	d.LeastDrawnDBi = d.MaximumDBi - nullFloorDB
	if r := p.feedOhm; r < 1e5 {
		d.ResistanceOhm = &r
	}
	if swr, loss, ok := p.Match(); ok && swr < 1e4 {
		X, dB := imag(p.z), float64(loss)
		d.ReactanceOhm, d.SWR, d.MismatchDB = &X, &swr, &dB
		if line > 0 {
			total, _ := p.LineLoss(line)
			dB := float64(total)
			d.LineLossDB = &dB
		}
	}
	if g := p.GroundWaveDBi(azDeg); g > NoGroundWaveDBi {
		d.GroundWaveDBi = &g
	}
	best := math.Inf(-1)
	for el := 0.0; el <= 180; el++ {
		q := p.point(azDeg, el)
		d.ElevationCut = append(d.ElevationCut, q)
		if el <= 90 && q.GainDBi > best {
			best, d.RingElevation = q.GainDBi, el
		}
	}
	for az := 0.0; az < 360; az += 5 {
		d.AzimuthCut = append(d.AzimuthCut, p.point(az, d.RingElevation))
	}
	return d
}

// topDBi is the greatest gain anywhere.
func (p *Pattern) topDBi() float64 { return float64(unit.RatioDB(p.top)) }

// Text draws the elevation cut along a bearing as bars, zenith first, for a screen
// of the given width in characters. A full bar is the antenna's greatest gain at
// any bearing, none is 25 dB below it. Below it stands how the antenna fits 50 ohm, where
// that is known, with a line that loses so much when matched.
func (p *Pattern) Text(azDeg float64, width int, line unit.DB) []string {
	top := p.topDBi()
	lines := []string{
		fmt.Sprintf("%s at %.4g MHz towards %03.0f deg: greatest gain %.1f dBi, lost on the way %.1f dB", p.kind, p.f.MHz(), azDeg, top, p.lossDB),
		"elevation     gain",
	}
	room := max(width-23, 10)
	for el := 90; el >= 0; el -= 5 {
		g := p.GainDBi(azDeg, float64(el))
		n := int(math.Round(float64(room) * (g - top + nullFloorDB) / nullFloorDB))
		bar := strings.Repeat("━", min(max(n, 0), room))
		lines = append(lines, strings.TrimRight(fmt.Sprintf("%5d deg  %6.1f dBi  %s", el, g, bar), " "))
	}
	if d := p.Drawing(azDeg, line); d.SWR != nil {
		text := fmt.Sprintf("at the feed %.0f ohm and %+.0f ohm of reactance, as in free space: SWR %.1f in 50 ohm; %.1f dB are lost in the mismatch without a tuner", *d.ResistanceOhm, *d.ReactanceOhm, *d.SWR, *d.MismatchDB)
		if d.LineLossDB != nil {
			text += fmt.Sprintf(", and a line of %.1f dB loses %.1f dB", float64(line), *d.LineLossDB)
		}
		lines = append(lines, text)
	}
	for _, n := range p.notes {
		lines = append(lines, "note: "+n)
	}
	return lines
}
