package station

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"farhail/hf/antenna"
	"farhail/hf/earth"
	"farhail/unit"
)

func ExampleSetValue() {
	src := []byte("[battery]  # the new one\ncapacity = \"400 Ah\"\ncharge = \"81 %\"  # by the meter\n")
	out, err := SetValue(src, "battery.charge", `"64 %"`)
	fmt.Print(string(out), err)
	// Output:
	// [battery]  # the new one
	// capacity = "400 Ah"
	// charge = "64 %"  # by the meter
	// <nil>
}

// Every value of the demo files, set to something else, changes its own bytes and
// no others; set back, the file is what it was.
func TestSetValueChangesNothingElse(t *testing.T) {
	n := 0
	for _, file := range []string{"saltmarsh/home.toml", "saltmarsh/stations.toml", "tamarind/home.toml", "tamarind/stations.toml"} {
		src, err := os.ReadFile("../desk/demo/" + file)
		if err != nil {
			t.Fatal(err)
		}
		kept := bytes.Clone(src)
		d := parseTOML(file, src)
		for _, path := range paths(d.root, "") {
			e, err := find(d.root, path)
			if err != nil {
				t.Fatalf("%s: %s: %v", file, path, err)
			}
			old := string(src[e.from:e.to])
			const value = `["a, # longer \"value\" than before", 'x']`
			out, err := SetValue(src, path, value)
			if err != nil {
				t.Fatalf("%s: set %s: %v", file, path, err)
			}
			if want := string(src[:e.from]) + value + string(src[e.to:]); string(out) != want || !bytes.Equal(src, kept) {
				t.Fatalf("%s: set %s changed more than %q", file, path, old)
			}
			after := parseTOML(file, out)
			if a, b := paths(d.root, ""), paths(after.root, ""); len(after.faults) > 0 || strings.HasPrefix(old, "{") == reflect.DeepEqual(a, b) {
				t.Fatalf("%s: set %s: keys before\n%v\nafter\n%v", file, path, a, b)
			}
			back, err := SetValue(out, path, old)
			if err != nil || !bytes.Equal(back, src) {
				t.Fatalf("%s: %s set back: %v", file, path, err)
			}
			n++
		}
	}
	if n < 300 {
		t.Errorf("only %d values were tried", n)
	}
}

// paths lists the values of a table as SetValue names them.
func paths(t *table, prefix string) []string {
	var out []string
	for _, e := range t.entries {
		if e.to > e.from {
			out = append(out, prefix+e.key)
		}
		if e.kind == tableKind {
			out = append(out, paths(e.table, prefix+e.key+".")...)
		}
		for i, x := range e.items {
			if e.kind == tablesKind {
				out = append(out, paths(x.table, fmt.Sprintf("%s%s[%d].", prefix, e.key, i+1))...)
			}
		}
	}
	return out
}

func TestSetValueRefuses(t *testing.T) {
	src := []byte(goodStations)
	for _, c := range []struct{ path, value, want string }{
		{"station[1].power", `400 W`, `set station[1].power: "400 W" is not a value; write it as in the file, a text in double quotes`},
		{"station[1].power", "\"400 W\"\nname = \"x\"", `set station[1].power: "\"400 W\"\nname = \"x\"" is not a value; write it as in the file, a text in double quotes`},
		{"station[1].power", `"400 W" # remark`, `set station[1].power: "\"400 W\" # remark" is more than one value`},
		{"station[1].power", ` "400 W"`, `set station[1].power: " \"400 W\"" is more than one value`},
		{"station[1].power", ``, `set station[1].power: "" is not a value; write it as in the file, a text in double quotes`},
		{"station[1].colour", `"x"`, `set station[1].colour: no key "colour" in the file; add it by hand`},
		{"station[3].power", `"x"`, `set station[3].power: station has 2 entries, not 3`},
		{"station[0].power", `"x"`, `set station[0].power: "station[0]" is not a key; write an entry of a list like station[3], counting from 1`},
		{"station.power", `"x"`, `set station.power: "station" is a repeated section, not a section`},
		{"station[1]", `"x"`, `set station[1]: "station[1]" is a section, not a value`},
		{"station", `"x"`, `set station: "station" is a section, not a value`},
		{"station[1].power.x", `"x"`, `set station[1].power.x: "power" is a text, not a section`},
		{"", `"x"`, `set : no key "" in the file; add it by hand`},
	} {
		out, err := SetValue(src, c.path, c.value)
		if out != nil || err == nil || err.Error() != c.want {
			t.Errorf("%s = %q: %q, %v\nwant %s", c.path, c.value, out, err, c.want)
		}
	}
	if out, err := SetValue([]byte("x = 1 W"), "x", `"2 W"`); out != nil || err == nil {
		t.Errorf("a broken file: %q, %v", out, err)
	}
}

// What the templates write reads back as what they were given.
func TestHomeTemplate(t *testing.T) {
	full, err := ParseHome("home.toml", []byte(goodHome))
	if err != nil {
		t.Fatal(err)
	}
	plain := DefaultHome()
	plain.Name, plain.Call, plain.Power, plain.Waveforms = `The "Hut" \ north`, "QZ1ZZ", 25, []string{"fsk-eight"}
	plain.Position = earth.At(-16.5, 35.5)
	plain.Antenna = antenna.Spec{Kind: antenna.Dipole, Height: 6}
	table := plain
	table.Antenna = antenna.Spec{Kind: antenna.Table, Rows: []antenna.TableRow{{Freq: 7 * unit.MHz, Elevation: 30 * unit.Degree, Gain: -2.5}, {Freq: 7 * unit.MHz, Elevation: 90 * unit.Degree, Gain: 4}}}
	whip := plain
	whip.Antenna = antenna.Spec{Kind: antenna.Whip, Length: 2.4, CoilQ: 150, EarthOhm: 25, Ground: earth.Wet, TunerLoss: 1, Radius: 0.003}
	vee := plain
	vee.Antenna = antenna.Spec{Kind: antenna.InvertedV, Height: 9, Apex: 110 * unit.Degree, Bearing: 33 * unit.Degree, Design: 5.3 * unit.MHz}
	vee.Watch, vee.Wake = Spans{{360, 1320}}, []Wake{{"the guard", Spans{{0, 360}, {1320, 1440}}, 0.5}}
	for name, h := range map[string]Home{"full": *full, "plain": plain, "table": table, "whip": whip, "inverted v": vee} {
		text := HomeTemplate(h)
		got, err := ParseHome("home.toml", text)
		if err != nil {
			t.Errorf("%s: %v\n%s", name, err, text)
			continue
		}
		if a, b := bare(h), bare(*got); !reflect.DeepEqual(a, b) {
			t.Errorf("%s: written and read\n%+v\nis not\n%+v\n%s", name, b, a, text)
		}
		if d := math.Abs((h.Position.Lat - got.Position.Lat).Deg()); d > 1e-6 {
			t.Errorf("%s: latitude moved by %g°", name, d)
		}
		if !bytes.Contains(text, []byte("# ")) {
			t.Errorf("%s: no remarks", name)
		}
	}
}

// bare takes out what a file's layout decides.
func bare(h Home) Home {
	h.where, h.Position = nil, earth.Point{}
	h.Permits = append([]Permit(nil), h.Permits...)
	for i := range h.Permits {
		h.Permits[i].At = Place{}
	}
	h.Rules = append([]Rule(nil), h.Rules...)
	for i := range h.Rules {
		h.Rules[i].At = Place{}
	}
	return h
}

func TestDirectoryTemplate(t *testing.T) {
	for _, src := range []string{goodStations, ""} {
		if src == "" {
			text, err := os.ReadFile("../desk/demo/tamarind/stations.toml")
			if err != nil {
				t.Fatal(err)
			}
			src = string(text)
		}
		d, err := ParseDirectory("stations.toml", []byte(src))
		if err != nil {
			t.Fatal(err)
		}
		text := DirectoryTemplate(*d)
		got, err := ParseDirectory("stations.toml", text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		strip(d)
		strip(got)
		if !reflect.DeepEqual(d, got) {
			t.Errorf("written and read\n%+v\nis not\n%+v", got, d)
		}
	}
	// The station in remarks of an empty directory is a good one.
	example := strings.ReplaceAll(string(DirectoryTemplate(Directory{})), "\n# ", "\n")
	_, example, _ = strings.Cut(example, "\n\n")
	d, err := ParseDirectory("stations.toml", []byte(example))
	if err != nil {
		t.Fatalf("%v\n%s", err, example)
	}
	for _, c := range d.Stations[0].Channels {
		if reason, ok := Kept(c.Centre, c.Bandwidth); !ok {
			t.Errorf("the example: %s", reason)
		}
	}
}
