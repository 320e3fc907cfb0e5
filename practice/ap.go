package practice

import (
	"bytes"
	"compress/flate"
	_ "embed"
	"io"
	"math"
	"sync"
)

//go:embed data/ap.bin
var apBin []byte

// apClass are the values of ap. Source: its definition, from memory, high; the
// generator finds no other in 56 years.
var apClass = [28]float64{0, 2, 3, 4, 5, 6, 7, 9, 12, 15, 18, 22, 27, 32, 39, 48, 56, 67, 80, 94, 111, 132, 154, 179, 207, 236, 300, 400}

// apSeries is ap of 1958–2013, every three hours (tables/storms).
var apSeries = sync.OnceValue(func() []byte {
	b, err := io.ReadAll(flate.NewReader(bytes.NewReader(apBin)))
	if err != nil || len(b) != 20454*8 {
		panic("practice: ap.bin is damaged")
	}
	return b
})

// apStep is the grain of ap.
const apStep = 3.0 // h

// apHistory is how long before the first hour a stretch of ap begins: the month whose
// mean is the month's own effect.
const apHistory = 30 * 24 / int(apStep)

// A disturbance is a stretch of real ap, laid over the run, and what foF2 remembers of it.
type disturbance struct {
	ap                 []float64 // from apHistory steps before hour 0
	month              float64   // mean over the month before
	mean6, mean24, m60 []float64 // exponential means, e-folding hours
}

// newDisturbance takes the stretch that begins at a share of the years there are.
func newDisturbance(share, hours float64) *disturbance {
	all := apSeries()
	n := apHistory + int(hours/apStep) + 2
	first := int(share*float64(len(all)-n)/8) * 8 // at 00 UT
	d := &disturbance{ap: make([]float64, n)}
	for i := range d.ap {
		d.ap[i] = apClass[all[first+i]]
		if i < apHistory {
			d.month += d.ap[i] / float64(apHistory)
		}
	}
	d.mean6, d.mean24, d.m60 = d.fading(6), d.fading(24), d.fading(60)
	return d
}

// fading is the exponential mean with an e-folding time.
func (d *disturbance) fading(τ float64) []float64 {
	out := make([]float64, len(d.ap))
	keep := math.Exp(-apStep / τ)
	v := d.ap[0]
	for i, a := range d.ap {
		v = keep*v + (1-keep)*a
		out[i] = v
	}
	return out
}

// at reads a series at an hour, linear between its steps.
func (d *disturbance) at(s []float64, h float64) float64 {
	x := min(max(h/apStep+float64(apHistory)-1, 0), float64(len(s)-1)) // a value speaks for the three hours before it is known
	i := min(int(x), len(s)-2)
	return s[i] + (s[i+1]-s[i])*(x-float64(i))
}

// Ap24 is the mean of the eight values before an hour.
func (d *disturbance) Ap24(h float64) float64 {
	i := int(min(max(h/apStep+float64(apHistory), 8), float64(len(d.ap))))
	sum := 0.0
	for _, a := range d.ap[i-8 : i] {
		sum += a
	}
	return sum / 8
}
