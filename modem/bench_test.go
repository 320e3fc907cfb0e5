package modem

import (
	"testing"
	"time"

	"farhail/unit"
)

func benchLink(b *testing.B) (*Link, []Node) {
	w, err := ByName("serial-3k")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	return w.Over(3000*unit.Km, Poor), Both(nil, SNRDist{9, 6, 9}, SNRDist{6, 6, 9}, 6)
}

func BenchmarkGoodput(b *testing.B) {
	l, _ := benchLink(b)
	x := unit.DB(0)
	for b.Loop() {
		x += unit.DB(l.Goodput(x, 3) * 1e-9)
	}
}

// Chance to connect and mean goodput over twelve nodes: what a forecast asks for each
// channel and moment.
func BenchmarkProspect(b *testing.B) {
	l, nodes := benchLink(b)
	c := Scanned(5, 2*time.Second)
	for b.Loop() {
		for _, n := range nodes {
			_ = l.Connect(c, n) + l.Goodput(n.Out, n.In)
		}
	}
}

func BenchmarkMeanBytes(b *testing.B) {
	l, nodes := benchLink(b)
	for b.Loop() {
		l.MeanBytes(Outward, nodes, 15*time.Minute)
	}
}

func BenchmarkBytes(b *testing.B) {
	l, nodes := benchLink(b)
	var d Dist
	for b.Loop() {
		l.Bytes(&d, Outward, nodes, 15*time.Minute)
	}
}

func BenchmarkMinutes(b *testing.B) {
	l, nodes := benchLink(b)
	var d Dist
	for b.Loop() {
		l.Minutes(&d, nodes, 20_000, 0, time.Hour)
	}
}

func BenchmarkOver(b *testing.B) {
	w, _ := ByName("serial-3k")
	b.ReportAllocs()
	for b.Loop() {
		w.Over(3000*unit.Km, Poor)
	}
}

// The library worked out from nothing, as at the start of a program.
func BenchmarkLibrary(b *testing.B) {
	for b.Loop() {
		serial3k()
		teleprinter()
		fskEight()
		fskBinary()
		pskNarrow()
	}
}
