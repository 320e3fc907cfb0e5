package station

import (
	"bytes"
	"fmt"
	"os"
	"testing"
)

func BenchmarkParseDemo(b *testing.B) {
	home, err := os.ReadFile("../desk/demo/saltmarsh/home.toml")
	if err != nil {
		b.Fatal(err)
	}
	list, err := os.ReadFile("../desk/demo/saltmarsh/stations.toml")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseHome("home.toml", home); err != nil {
			b.Fatal(err)
		}
		if _, err := ParseDirectory("stations.toml", list); err != nil {
			b.Fatal(err)
		}
	}
}

// A long list: a thousand stations of five channels.
func BenchmarkParseCSV5000(b *testing.B) {
	var t bytes.Buffer
	t.WriteString("name,position,power,frequency,waveforms\n")
	for i := range 1000 {
		for j := range 5 {
			fmt.Fprintf(&t, "Station %d,%d.5N %dW,100 W,%d kHz,serial-3k\n", i, i%80, i%170, 4020+20*i%100+3000*j)
		}
	}
	b.SetBytes(int64(t.Len()))
	for b.Loop() {
		if _, err := ParseDirectoryCSV("stations.csv", t.Bytes()); err != nil {
			b.Fatal(err)
		}
	}
}
