package forecast

import (
	"fmt"
	"testing"

	"farhail/hf/earth"
	"farhail/station"
	"farhail/unit"
)

// BenchmarkLarge is the prospect of 72 hours, 40 stations of 8 channels, both
// directions.
func BenchmarkLarge(b *testing.B) {
	q := request()
	q.Slots = 288
	base := q.Directory.Stations[0]
	q.Directory = &station.Directory{}
	q.Home.Permits[0].From, q.Home.Permits[0].To = 2*unit.MHz, 30*unit.MHz
	for i := range 40 {
		s := base
		s.Name = fmt.Sprintf("Station %d", i)
		s.Position = earth.At(60-float64(i)*2.5, -60+float64(i*37%120))
		s.Channels = nil
		for k := range 8 {
			c := base.Channels[0]
			c.Centre = unit.Freq(3.2+2.1*float64(k)+0.01*float64(i)) * unit.MHz
			s.Channels = append(s.Channels, c)
		}
		q.Directory.Stations = append(q.Directory.Stations, s)
	}
	b.ReportAllocs()
	for b.Loop() {
		prospect(b, q)
	}
}
