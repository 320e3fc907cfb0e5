package station

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

// refused checks that an error is Faults, each a sentence of one line that names
// its file, and that no value came with it.
func refused(t *testing.T, file string, err error, none bool) {
	t.Helper()
	var faults Faults
	if !errors.As(err, &faults) || len(faults) == 0 || !none {
		t.Fatalf("%T with a value: %v", err, !none)
	}
	for _, f := range faults {
		if f.File != file || f.Problem == "" || strings.ContainsAny(f.Error(), "\n\r") {
			t.Fatalf("fault %+v prints as %q", f, f.Error())
		}
	}
}

func FuzzParseHome(f *testing.F) {
	f.Add([]byte(goodHome))
	f.Add([]byte("\ufeff" + strings.ReplaceAll(goodHome, "\n", "\r\n")))
	for _, b := range brokenHomes {
		f.Add([]byte(strings.Replace(goodHome, b.old, b.new, 1)))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		h, err := ParseHome("home.toml", src)
		if err != nil {
			refused(t, "home.toml", err, h == nil)
			return
		}
		// What is accepted is written so that it reads as the same.
		once := HomeTemplate(*h)
		again, err := ParseHome("home.toml", once)
		if err != nil {
			t.Fatalf("%v\n%s", err, once)
		}
		if twice := HomeTemplate(*again); !bytes.Equal(once, twice) {
			t.Fatalf("written\n%s\nthen\n%s", once, twice)
		}
	})
}

func FuzzParseDirectory(f *testing.F) {
	f.Add([]byte(goodStations))
	for _, b := range brokenStations {
		f.Add([]byte(strings.Replace(goodStations, b.old, b.new, 1)))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		d, err := ParseDirectory("stations.toml", src)
		judgeDirectory(t, "stations.toml", d, err)
	})
}

func FuzzParseDirectoryCSV(f *testing.F) {
	f.Add([]byte(goodCSV))
	f.Add([]byte(strings.ReplaceAll(goodCSV, ",", ";")))
	for _, b := range brokenTables {
		f.Add([]byte(strings.Replace(goodCSV, b.old, b.new, 1)))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		d, err := ParseDirectoryCSV("stations.csv", src)
		judgeDirectory(t, "stations.csv", d, err)
	})
}

func judgeDirectory(t *testing.T, file string, d *Directory, err error) {
	t.Helper()
	if err != nil {
		refused(t, file, err, d == nil)
		return
	}
	once := DirectoryTemplate(*d)
	again, err := ParseDirectory("stations.toml", once)
	if err != nil {
		t.Fatalf("%v\n%s", err, once)
	}
	if twice := DirectoryTemplate(*again); !bytes.Equal(once, twice) {
		t.Fatalf("written\n%s\nthen\n%s", once, twice)
	}
	for i := range d.Stations {
		if s := &d.Stations[i]; len(s.Channels) == 0 || s.Antenna.Check() != nil {
			t.Fatalf("station %+v was accepted", s)
		}
	}
}

func FuzzSetValue(f *testing.F) {
	f.Add([]byte(goodHome), "battery.charge", `"64 %"`)
	f.Add([]byte(goodStations), "station[1].channel[2].frequency", `"8.4 MHz"`)
	f.Add([]byte("a = { b = 1, c = [ 2 ] }"), "a.c", `"x"`)
	f.Add([]byte("a.b = 1 # x\n\"q r\" = 2"), "a.b", `{ y = 1 }`)
	f.Fuzz(func(t *testing.T, src []byte, path, value string) {
		kept := bytes.Clone(src)
		out, err := SetValue(src, path, value)
		if !bytes.Equal(src, kept) {
			t.Fatal("the source was changed")
		}
		if err != nil {
			if out != nil {
				t.Fatalf("%v with %q", err, out)
			}
			return
		}
		d := parseTOML("", out)
		e, err := find(d.root, path)
		if len(d.faults) > 0 || err != nil || string(out[e.from:e.to]) != value {
			t.Fatalf("%q set to %q in %q gives %q: %v, %v", path, value, src, out, d.faults, err)
		}
	})
}
