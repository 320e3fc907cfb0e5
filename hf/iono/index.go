package iono

import (
	_ "embed"
	"encoding/binary"
	"math"
	"sync"
)

//go:embed data/index.bin
var indexBin []byte

const indexFirstYear = 1958

type indexTable struct {
	observed int // months that were observed, from January 1958
	ig, r    []float64
}

var indices = sync.OnceValue(func() indexTable {
	raw := indexBin
	next := func() uint64 {
		v, n := binary.Uvarint(raw)
		raw = raw[n:]
		return v
	}
	t := indexTable{observed: int(next())}
	n := t.observed + int(next())
	for _, s := range []*[]float64{&t.ig, &t.r} {
		last := int64(0)
		for range n {
			d, k := binary.Varint(raw)
			if k <= 0 {
				panic("iono: index.bin is short")
			}
			raw, last = raw[k:], last+d
			*s = append(*s, float64(last)/10)
		}
	}
	return t
})

// An Index is what drives the maps of a month: IG12 for foF2 and M(3000)F2, R12 for
// everything else, and how sure it is.
type Index struct {
	IG12, R12 float64
	SD        float64 // standard error of IG12
	AgeMonths int     // months since the last observed one; 0 while observed
	Clamped   bool    // the month lies outside the table, the nearest end stands in
}

// Spread of an index of a given age in months: 3, 8, 16, 31 at 1, 3, 6, 12.
// Source: differences of observed IG12 at those leads (our notes, day_to_day §5).
// Our own continuation missed the six declines 1958–2020 by less (2, 6, 12, 20 in R12;
// beyond a year never more than 20); the larger figure is kept.
func spreadAtAge(months int) float64 {
	x := []float64{0, 1, 3, 6, 12}
	y := []float64{1, 3, 8, 16, 31}
	for i := 1; i < len(x); i++ {
		if a := float64(months); a <= x[i] {
			return y[i-1] + (y[i]-y[i-1])*(a-x[i-1])/(x[i]-x[i-1])
		}
	}
	return y[len(y)-1]
}

// IndexOf returns the smoothed index of a month: as observed, or our continuation to
// December 2030 (tables/indices/SOURCE.md).
func IndexOf(year, month int) Index {
	t := indices()
	i := (year-indexFirstYear)*12 + month - 1
	x := Index{Clamped: i < 0 || i >= len(t.ig)}
	i = min(max(i, 0), len(t.ig)-1)
	x.IG12, x.R12 = t.ig[i], t.r[i]
	x.AgeMonths = max(0, i-t.observed+1)
	x.SD = spreadAtAge(x.AgeMonths)
	return x
}

// LastObserved is the last month whose index was observed.
func LastObserved() (year, month int) {
	n := indices().observed - 1
	return indexFirstYear + n/12, n%12 + 1
}

// FromFlux returns the index a 10.7 cm flux heard on the air stands for.
//
//	IG12 = −139.781 + 2.33288 Φ − 0.0046130 Φ²       rms 13.4
//	R12  =  −85.453 + 1.48883 Φ − 0.0019154 Φ²       rms 14.7
//
// Fitted by us to the monthly mean flux of 1958–2025 (tables/indices). Domain:
// 60–250 solar flux units, the parabola's own; beyond it the ends stand in.
func FromFlux(Φ float64) Index {
	Φ = math.Min(math.Max(Φ, 60), 250)
	return Index{
		IG12: -139.781 + Φ*(2.33288-0.0046130*Φ),
		R12:  -85.453 + Φ*(1.48883-0.0019154*Φ),
		SD:   13.4,
	}
}

// Weigh combines two independent opinions of an index by their precision.
func Weigh(a, b Index) Index {
	wa, wb := 1/(a.SD*a.SD), 1/(b.SD*b.SD)
	a.IG12 = (a.IG12*wa + b.IG12*wb) / (wa + wb)
	a.R12 = (a.R12*wa + b.R12*wb) / (wa + wb)
	a.SD = math.Sqrt(1 / (wa + wb))
	return a
}
