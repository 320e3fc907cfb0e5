package desk

import (
	"context"
	"math"
	"time"
)

// A CellAnswer opens the numbers of one channel at one moment.
type CellAnswer struct {
	Station        string          `json:"station"`
	MHz            float64         `json:"mhz"`
	At             time.Time       `json:"at"`
	Open           bool            `json:"open"` // the station listens
	Excluded       string          `json:"excluded,omitempty"`
	Waveform       string          `json:"waveform"`
	BasicMUF       float64         `json:"basic_muf_mhz"`
	OperationalMUF float64         `json:"operational_muf_mhz"`
	OWF            float64         `json:"owf_mhz"`
	Out            DirectionAnswer `json:"out"`
	In             DirectionAnswer `json:"in"`
	Fading         string          `json:"fading,omitempty"`
	Sky            float64         `json:"sky_probability"` // to connect if they are there
	Presence       float64         `json:"presence"`
	Rate           float64         `json:"bytes_per_minute"`
}

// Cell opens one channel at one moment.
func (d *Desk) Cell(ctx context.Context, at time.Time, name string, mhz float64) (*CellAnswer, error) {
	c, err := d.channel(ctx, name, mhz, at)
	if err != nil {
		return nil, err
	}
	past, err := d.pastOf(ctx, d.Now())
	if err != nil {
		return nil, err
	}
	h := c.At(at)
	a := &CellAnswer{Station: c.Station.Name, MHz: c.MHz, At: at, Excluded: c.Excluded, BasicMUF: round(h.BasicMUF), OperationalMUF: round(h.OperationalMUF), OWF: round(h.OWF),
		Presence: round(past.free(c.Station.Name))}
	a.Out, a.In, a.Fading = directions(h)
	if c.Excluded == "" {
		cell := &c.Cells[0]
		a.Open, a.Waveform = cell.Open, c.Links[cell.Link].Waveform
		a.Sky, a.Rate = round(cell.Likely(past.prior)), math.Round(cell.MeanRate(past.prior))
	}
	return a, nil
}
