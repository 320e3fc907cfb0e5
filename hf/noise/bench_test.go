package noise

import (
	"testing"

	"farhail/hf/earth"
)

var (
	sinkSite   Site
	sinkBand   Band
	sinkSource Source
)

func BenchmarkNewSite(b *testing.B) {
	b.ReportAllocs()
	p := earth.At(38.5, -28.6)
	for b.Loop() {
		sinkSite = NewSite(p, 11)
	}
}

func BenchmarkNewBand(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sinkBand = NewBand(7.1)
	}
}

func BenchmarkAtmospheric(b *testing.B) {
	b.ReportAllocs()
	s, band, ut := NewSite(earth.At(38.5, -28.6), 11), NewBand(7.1), 0.0
	for b.Loop() {
		if ut += 0.7; ut > 24 {
			ut -= 24
		}
		sinkSource, _, _, _ = s.Atmospheric(ut, &band)
	}
}

func BenchmarkCombine(b *testing.B) {
	b.ReportAllocs()
	a, m, g := Source{50, 8.5, 6.9}, Source{46, 9.2, 4.6}, Source{39.5, 2, 2}
	for b.Loop() {
		sinkSource = Combine(true, a, m, g)
	}
}

func BenchmarkTotal(b *testing.B) {
	b.ReportAllocs()
	s, band, ut := NewSite(earth.At(38.5, -28.6), 11), NewBand(7.1), 0.0
	for b.Loop() {
		if ut += 0.7; ut > 24 {
			ut -= 24
		}
		sinkSource = s.Total(ut, &band, Rural, 5, true)
	}
}
