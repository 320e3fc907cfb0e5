package station

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// A day of fixes, one a second: the largest file that is read.
func BenchmarkParseGPX(b *testing.B) {
	var s strings.Builder
	s.WriteString("<gpx><trk><trkseg>\n")
	n := 0
	for s.Len() < maxTrack-200 {
		fmt.Fprintf(&s, `<trkpt lat="%.6f" lon="-28.600000"><time>%s</time></trkpt>`+"\n", 38.5-float64(n)*1e-5, moment(on(0).Add(time.Duration(n)*time.Second)))
		n++
	}
	s.WriteString("</trkseg></trk></gpx>")
	src := []byte(s.String())
	b.ReportMetric(float64(n), "fixes")
	b.SetBytes(int64(len(src)))
	for b.Loop() {
		if _, err := ParseGPX("a.gpx", src); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTrackAt(b *testing.B) {
	t, err := ParseGPX("a.gpx", []byte(goodGPX))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		t.At(on(14))
	}
}
