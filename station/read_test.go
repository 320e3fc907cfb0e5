package station

import (
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"farhail/hf/antenna"
	"farhail/hf/earth"
	"farhail/unit"
)

func TestParseHome(t *testing.T) {
	h, err := ParseHome("home.toml", []byte(goodHome))
	if err != nil {
		t.Fatal(err)
	}
	h.where = nil
	for i := range h.Permits {
		h.Permits[i].At = Place{}
	}
	for i := range h.Rules {
		h.Rules[i].At = Place{}
	}
	if d := math.Abs(h.Position.Lat.Deg()-38.52) + math.Abs(h.Position.Lon.Deg()+28-37.9/-60); d > 1e-9 {
		t.Errorf("position %v is off by %g°", h.Position, d)
	}
	h.Position = earth.Point{}
	want := Home{
		Name: "Saltmarsh", Call: "QX2SM", Power: 100, Waveforms: []string{"serial-3k", "psk-narrow"},
		Antenna:     antenna.Spec{Kind: antenna.Wire, Height: 3, Top: 14, Length: 12.5, Ground: earth.Sea, TunerLoss: 2.5},
		NoiseFigure: 15,
		Noise:       Noise{QuietRural, []NoiseLevel{{Level: -135, In: 3 * unit.KHz, At: 7.1 * unit.MHz}}},
		Battery:     Battery{12, 400 * unit.Ah, 0.3, 0.81},
		Consumption: Consumption{Receive: 18, Transmit: 228, Duty: 0.62, Other: 30},
		Solar:       Solar{2, 100},
		Generator:   Generator{200, Spans{{480, 540}}},
		Watch:       Spans{{0, 60}, {360, 600}, {960, 1440}},
		Wake:        []Wake{{"the mate", Spans{{600, 960}}, 1}},
		Permits:     []Permit{{From: 8.195 * unit.MHz, To: 8.815 * unit.MHz, Bandwidth: 3 * unit.KHz, Power: 150, Emissions: []string{"2K80J2D"}}},
		Prices:      Prices{64, 16, 4, 1, 48 * time.Hour, 0.01, 0.1, 2},
		Rules:       []Rule{{Subject: "position", Precedence: "priority", Deadline: 6 * time.Hour}},
	}
	if !reflect.DeepEqual(*h, want) {
		t.Errorf("home reads as\n%+v\nwant\n%+v", *h, want)
	}
}

func TestHomeUse(t *testing.T) {
	h, err := ParseHome("home.toml", []byte(goodHome))
	if err != nil {
		t.Fatal(err)
	}
	if p, ok := h.Where("battery.charge"); !ok || p != (Place{"home.toml", 30, 10}) {
		t.Errorf("battery.charge stands at %v, %v; want line 30, column 10", p, ok)
	}
	if w := h.Battery.Energy().Wh(); w != 4800 {
		t.Errorf("12 V 400 Ah hold %g Wh, want 4800", w)
	}
	// 62 % of 228 W and 38 % of 18 W.
	if p := h.Consumption.Calling().W(); math.Abs(p-148.2) > 1e-9 {
		t.Errorf("a call draws %g W, want 148.2", p)
	}
	for _, c := range []struct {
		at    string
		price float64
		who   string
		ok    bool
	}{{"17:38", 0, "", true}, {"00:59", 0, "", true}, {"01:00", 0, "", false}, {"10:00", 1, "the mate", true}, {"15:59", 1, "the mate", true}} {
		at, _ := time.Parse("2006-01-02 15:04", "2026-11-25 "+c.at)
		if price, who, ok := h.WakePrice(at); price != c.price || who != c.who || ok != c.ok {
			t.Errorf("waking at %s: %g, %q, %v; want %g, %q, %v", c.at, price, who, ok, c.price, c.who, c.ok)
		}
	}
}

func TestParseDirectory(t *testing.T) {
	d, err := ParseDirectory("stations.toml", []byte(goodStations))
	if err != nil {
		t.Fatal(err)
	}
	strip(d)
	want := &Directory{Stations: []Station{{
		ID: "cabo-lume", Name: "Cabo Lume", Call: "QM4CL", Position: earth.At(43, -9.2),
		Hours: Always(), SkedMargin: 30 * time.Minute, Dwell: 2 * time.Second, Power: 500,
		Antenna: antenna.Spec{Kind: antenna.Vertical, Length: 9, Ground: earth.Sea}, Noise: Residential,
		Carries: []string{"*"}, Language: "pt", Note: "answers quickly",
		Channels: []Channel{
			{Centre: 8.37e6, Bandwidth: 3000, Waveforms: []string{"serial-3k"}, Emission: "2K80J2D", Hours: Spans{{360, 1320}}},
			{Centre: 12.61e6, Bandwidth: 3000, Waveforms: []string{"serial-3k"}, Hours: Always()},
		},
	}, {
		ID: "brandt", Name: "Brandt", Position: earth.At(72.6, -38.5),
		Hours: Always(), Skeds: []int{0, 720}, SkedMargin: 30 * time.Minute, Dwell: 2 * time.Second, Power: 100,
		Antenna: antenna.Spec{Kind: antenna.Isotropic}, Noise: Residential,
		Carries:  []string{"*@brandt.example"},
		Channels: []Channel{{Centre: 5.25e6, Bandwidth: 3000, Waveforms: []string{"serial-3k"}, Hours: Always()}},
	}}}
	if !reflect.DeepEqual(d, want) {
		t.Errorf("directory reads as\n%+v\nwant\n%+v", d, want)
	}
}

// strip takes the places out, which differ between two files of the same content.
func strip(d *Directory) {
	for i := range d.Stations {
		s := &d.Stations[i]
		s.At, s.where, s.path = Place{}, nil, ""
		for j := range s.Channels {
			s.Channels[j].At = Place{}
		}
	}
}

// The table form and the TOML form of the same stations read as the same.
func TestCSVEqualsTOML(t *testing.T) {
	want, err := ParseDirectory("stations.toml", []byte(goodStations))
	if err != nil {
		t.Fatal(err)
	}
	strip(want)
	for name, src := range map[string]string{
		"comma":        goodCSV,
		"byte order":   "\ufeff" + goodCSV,
		"line ends":    strings.ReplaceAll(goodCSV, "\n", "\r\n"),
		"semicolon":    strings.ReplaceAll(goodCSV, ",", ";"),
		"said again":   strings.Replace(goodCSV, "Cabo Lume,,,", "Cabo Lume,QM4CL,43.0N 9.2W,", 1),
		"quoted cells": strings.Replace(goodCSV, "answers quickly", `"answers quickly"`, 1),
	} {
		got, err := ParseDirectoryCSV("stations.csv", []byte(src))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if at := got.Stations[1].Channels[0].At; at.Line != 4 {
			t.Errorf("%s: the third row stands at %+v, want line 4", name, at)
		}
		strip(got)
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s reads as\n%+v\nwant\n%+v", name, got, want)
		}
	}
}

func TestDirectoryFind(t *testing.T) {
	d, err := ParseDirectory("stations.toml", []byte(goodStations))
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range []string{"cabo-lume", "Cabo Lume", "CABO LUME", "qm4cl"} {
		if s, ok := d.Find(word); !ok || s.Name != "Cabo Lume" {
			t.Errorf("Find(%q) = %v, %v", word, s, ok)
		}
	}
	for _, word := range []string{"", "cabo", "-", "nobody"} {
		if s, ok := d.Find(word); ok {
			t.Errorf("Find(%q) = %v, want none", word, s.Name)
		}
	}
	for word, want := range map[string]int{"": 0, "-": 0, "cabo": 1, "Cabo L": 1, "CABO LUME": 1, "lume": 0, "nobody": 0} {
		if got := d.Beginning(word); len(got) != want || want == 1 && got[0].Name != "Cabo Lume" {
			t.Errorf("Beginning(%q) has %d stations, want %d", word, len(got), want)
		}
	}
}

// The keys said for a kind are those the reader wants or takes, and no other.
func TestAntennaKeys(t *testing.T) {
	if AntennaKeys("kite") != nil || AntennaKeys(antenna.Isotropic) == nil {
		t.Error("nil is for a kind that is not known, and only for that")
	}
	needs := map[antenna.Kind]string{antenna.Dipole: "height", antenna.InvertedV: "height", antenna.Whip: "length", antenna.Wire: "height top length", antenna.Table: "gain"}
	for _, k := range antenna.Kinds {
		var got []string
		for _, key := range AntennaKeys(k) {
			if RequiredOf(k, key) {
				got = append(got, key)
			}
		}
		if strings.Join(got, " ") != needs[k] {
			t.Errorf("%s needs %q, want %q", k, got, needs[k])
		}
	}
}

func TestJoin(t *testing.T) {
	a, err := ParseDirectory("a.toml", []byte(goodStations))
	if err != nil {
		t.Fatal(err)
	}
	other := strings.NewReplacer("Cabo Lume", "Port Ansel", "QM4CL", "QM6PT", "Brandt", "Brandt Two").Replace(goodStations)
	b, err := ParseDirectory("b.toml", []byte(other))
	if err != nil {
		t.Fatal(err)
	}
	all, err := Join(a, b)
	if err != nil || len(all.Stations) != 4 {
		t.Fatalf("joined: %v, %v", all, err)
	}
	_, err = Join(a, b, a)
	const want = `a.toml:2:8: station[1].name: "Cabo Lume" is already the station of line 1; give each station once, all its channels under it`
	if err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("joined twice: %v\nwant %s", err, want)
	}
}

func TestTakes(t *testing.T) {
	for _, c := range []struct {
		pattern, address string
		want             bool
	}{
		{"*", "x@y", true}, {"*", "", true}, {"*@brandt.example", "Camp@Brandt.example", true},
		{"*@brandt.example", "camp@brandt.example.org", false}, {"post1@*", "post1@tamarind.example", true},
		{"post1@*", "post11@tamarind.example", false}, {"a*b*c", "axxbyyc", true}, {"a*b*c", "axxcyyb", false},
		{"ab*ba", "aba", false}, {"", "", true}, {"", "x", false}, {"camp", "camp", true}, {"*x*", "axb", true},
	} {
		s := Station{Carries: []string{c.pattern}}
		if got := s.Takes(c.address); got != c.want {
			t.Errorf("carries %q takes %q: %v, want %v", c.pattern, c.address, got, c.want)
		}
	}
}

// Mail goes to the station whose own address it bears, not to one that passes it on.
func TestPeer(t *testing.T) {
	d := Directory{Stations: []Station{
		{Name: "gate", Carries: []string{"*"}, Call: "QG1GA"},
		{Name: "hill", Carries: []string{"hill@net.example", "mill@net.example", "*@far.example"}, Call: "QH2HI"},
		{Name: "mill", Carries: []string{"mill@net.example"}, Call: "QM3MI"},
		{Name: "dale", Carries: []string{"dale@net.example", "*@far.example"}},
	}}
	for address, want := range map[string]string{"Mill@net.example": "mill", "hill@net.example": "hill", "x@far.example": "hill", "dale@net.example": "dale", "x@open.example": ""} {
		got := ""
		if s, ok := d.Peer(address); ok {
			got = s.Name
		}
		if got != want {
			t.Errorf("mail for %s goes to %q, want %q", address, got, want)
		}
	}
	for i, want := range [][]string{{"QG1GA"}, {"QH2HI", "hill@net.example"}, {"QM3MI", "mill@net.example"}, {"dale@net.example"}} {
		if got := d.Stations[i].Own(); !slices.Equal(got, want) {
			t.Errorf("%s is %q, want %q", d.Stations[i].Name, got, want)
		}
	}
}

// A file gone wrong or made to be slow is refused at once.
func TestBounds(t *testing.T) {
	many := func(line string, n int) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(strings.ReplaceAll(line, "N", strconv.Itoa(i)))
		}
		return b.String()
	}
	for name, c := range map[string]struct{ src, want string }{
		"keys":     {"[station]\n" + many("kN = 1\n", 400_000), "home.toml:502:1: station.k500: is one key too many, after 500 in one section; split or shorten the section"},
		"sections": {many("[kN]\n", 400_000), "home.toml:501:2: k500: is one key too many, after 500 in one section; split or shorten the section"},
		"inline":   {"a = {" + many("kN = 1, ", 400_000) + "}", "home.toml:1:4896: a.k500: is one key too many, after 500 in one section; split or shorten the section"},
		"dotted":   {many("kN.x = 1\n", 400_000), "home.toml:501:1: k500: is one key too many, after 500 in one section; split or shorten the section"},
		"twice":    {many("x = 1\n", 400_000), "home.toml:2:1: x: written twice, first on line 1; keep one of them"},
		"nested":   {"x = " + strings.Repeat("[", 9000) + strings.Repeat("]", 9000), "home.toml:1:1: x: is an unknown key"},
		"size":     {strings.Repeat("# x\n", maxFile/4+1), "home.toml: the file has 8388612 bytes; split it; at most 8388608 are read"},
	} {
		start := time.Now()
		h, err := ParseHome("home.toml", []byte(c.src))
		if h != nil || err == nil || !strings.Contains("\n"+err.Error(), "\n"+c.want) {
			t.Errorf("%s: %.300v\nwant %s", name, err, c.want)
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%s took %v", name, took)
		}
	}
	start := time.Now()
	for name, src := range map[string]string{"columns": many("c,", 400_000), "rows": goodCSV + many("x\n", 400_000)} {
		if d, err := ParseDirectoryCSV("x.csv", []byte(src)); d != nil || err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("tables took %v", took)
	}
}

// haversine is the test's own road to a distance, on the sphere of P.533.
func haversine(a, b earth.Point) float64 {
	hav := func(x float64) float64 { s := math.Sin(x / 2); return s * s }
	h := hav(b.Lat.Rad()-a.Lat.Rad()) + math.Cos(a.Lat.Rad())*math.Cos(b.Lat.Rad())*hav(b.Lon.Rad()-a.Lon.Rad())
	return 2 * 6371 * math.Asin(math.Sqrt(h))
}

// The demo worlds read without a fault, and neither is at odds with itself.
func TestDemoWorlds(t *testing.T) {
	width := func(w string) (unit.Freq, bool) {
		f, ok := map[string]unit.Freq{"serial-3k": 3000, "psk-narrow": 200, "teleprinter-arq": 300, "fsk-eight": 500}[w]
		return f, ok
	}
	for _, w := range []struct {
		name         string
		stations     int
		nearKm       float64
		farKm        float64
		loMHz, hiMHz float64
	}{
		{"saltmarsh", 7, 1500, 6000, 4, 17},
		{"tamarind", 9, 40, 350, 3, 8},
	} {
		dir := "../desk/demo/" + w.name + "/"
		src, err := os.ReadFile(dir + "home.toml")
		if err != nil {
			t.Fatal(err)
		}
		h, err := ParseHome("home.toml", src)
		if err != nil {
			t.Fatal(err)
		}
		list, err := os.ReadFile(dir + "stations.toml")
		if err != nil {
			t.Fatal(err)
		}
		d, err := ParseDirectory("stations.toml", list)
		if err != nil {
			t.Fatal(err)
		}
		if len(d.Stations) != w.stations {
			t.Errorf("%s has %d far stations, want %d", w.name, len(d.Stations), w.stations)
		}
		if faults := Check(h, d, width, nil); len(faults) > 0 {
			for _, f := range faults {
				t.Errorf("%s: %v", w.name, f)
			}
		}
		for _, text := range [][]byte{src, list} {
			if !strings.Contains(strings.ToLower(string(text)), "invented") {
				t.Errorf("%s does not say that it is invented", w.name)
			}
		}
		if !strings.HasPrefix(h.Call, "Q") {
			t.Errorf("%s: call sign %s does not begin with Q", w.name, h.Call)
		}
		for _, s := range d.Stations {
			if !strings.HasPrefix(s.Call, "Q") {
				t.Errorf("%s: call sign %s does not begin with Q", s.Name, s.Call)
			}
			if km := haversine(h.Position, s.Position); km < w.nearKm || km > w.farKm {
				t.Errorf("%s: %s is %.1f km away, want %g to %g", w.name, s.Name, km, w.nearKm, w.farKm)
			}
			for _, c := range s.Channels {
				if f := c.Centre.MHz(); f < w.loMHz || f > w.hiMHz {
					t.Errorf("%s: %s calls on %g MHz, want %g to %g", w.name, s.Name, f, w.loMHz, w.hiMHz)
				}
			}
		}
	}
}
