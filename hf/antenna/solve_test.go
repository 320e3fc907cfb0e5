package antenna

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// A backstay of 12.5 m over the sea, leaning aft, through a tuner that loses 2.5 dB.
func ExampleSolve() {
	s := Spec{
		Kind: Wire, Height: 3, Top: 14, Length: 12.5, Bearing: 180 * unit.Degree,
		Ground: earth.Sea, TunerLoss: 2.5,
	}
	p, err := Solve(s, 8*unit.MHz)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, el := range []float64{5, 10, 20, 40} {
		fmt.Printf("%2.0f deg: %.1f dBi ahead, %.1f aft\n", el, p.GainDBi(0, el), p.GainDBi(180, el))
	}
	fmt.Printf("lost on the way: %.1f dB\n", p.LossDB())
	fmt.Println(strings.Join(p.Notes(), "\n"))
	// Output:
	// 5 deg: 2.0 dBi ahead, 1.9 aft
	// 10 deg: 2.1 dBi ahead, 2.0 aft
	// 20 deg: 1.3 dBi ahead, 1.2 aft
	// 40 deg: -1.7 dBi ahead, -1.9 aft
	// lost on the way: 3.0 dB
	// no earth lead: the loss of the wire's other side (counterpoise, hull) is not counted
	// fed through a tuner: tuner loss only is counted (2.5 dB)
}

// "Over average ground at 7 MHz a dipole gives about 6.0 dBi overhead at a quarter
// wave, 4.4 at a tenth, −0.4 at a twentieth" (rows of the notes' table, §12).
func ExamplePattern_GainDBi() {
	λ := 299.792458 / 7 * unit.Metre
	for _, h := range []float64{0.25, 0.1, 0.05} {
		p, _ := Solve(Spec{Kind: Dipole, Height: unit.Length(h) * λ, Ground: earth.Average}, 7*unit.MHz)
		fmt.Printf("%.2f wavelengths high: %.1f dBi overhead, loss %.1f dB\n", h, p.GainDBi(0, 90), p.LossDB())
	}
	// Output:
	// 0.25 wavelengths high: 6.0 dBi overhead, loss 1.1 dB
	// 0.10 wavelengths high: 4.4 dBi overhead, loss 3.9 dB
	// 0.05 wavelengths high: -0.4 dBi overhead, loss 8.4 dB
}

func TestCheckRefuses(t *testing.T) {
	dipole := func(change func(*Spec)) Spec {
		s := Spec{Kind: Dipole, Height: 8}
		change(&s)
		return s
	}
	wire := Spec{Kind: Wire, Height: 3, Top: 14, Length: 12.5}
	for _, c := range []struct {
		name string
		s    Spec
		want string
	}{
		{"no kind", Spec{}, `kind "" is not known`},
		{"unknown kind", Spec{Kind: "horn"}, `kind "horn" is not known: choose one of isotropic, vertical`},
		{"dipole on the ground", Spec{Kind: Dipole}, "height of the antenna of 0 m"},
		{"negative height", dipole(func(s *Spec) { s.Height = -3 }), "height of the antenna of -3 m"},
		{"height is no number", dipole(func(s *Spec) { s.Height = unit.Length(math.NaN()) }), "is not a number"},
		{"too high", dipole(func(s *Spec) { s.Height = 500 }), "height of the antenna of 500 m"},
		{"negative length", dipole(func(s *Spec) { s.Length = -10 }), "length of the antenna of -10 m"},
		{"length is no number", dipole(func(s *Spec) { s.Length = unit.Length(math.NaN()) }), "is not a number"},
		{"design off the band", dipole(func(s *Spec) { s.Design = 144 * unit.MHz }), "design frequency of 144 MHz"},
		{"apex 10 deg", Spec{Kind: InvertedV, Height: 10, Apex: 10 * unit.Degree}, "apex angle of 10"},
		{"apex 200 deg", Spec{Kind: InvertedV, Height: 10, Apex: 200 * unit.Degree}, "apex angle of 200"},
		{"whip of no length", Spec{Kind: Whip}, "length of the antenna of 0 m"},
		{"wire of no top", Spec{Kind: Wire, Height: 3, Length: 10}, "height of the far end of 0 m"},
		{"wire too short", Spec{Kind: Wire, Height: 3, Top: 14, Length: 9}, "length of the wire between its two heights of 9 m is out of range: give 11 to 300 m"},
		{"thick wire", dipole(func(s *Spec) { s.Radius = 0.2 }), "radius of the conductor of 200 mm"},
		{"negative radius", dipole(func(s *Spec) { s.Radius = -1e-3 }), "radius of the conductor"},
		{"ground of no permittivity", dipole(func(s *Spec) { s.Ground.SigmaSm = 1 }), "permittivity of the ground of 0"},
		{"negative conductivity", dipole(func(s *Spec) { s.Ground = earth.Ground{SigmaSm: -1, EpsR: 5} }), "conductivity of the ground of -1"},
		{"coil of Q 1", Spec{Kind: Whip, Length: 3, CoilQ: 1}, "Q of the coil of 1 "},
		{"negative earth", Spec{Kind: Vertical, EarthOhm: -5}, "earth resistance of -5 ohm"},
		{"tuner that gains", dipole(func(s *Spec) { s.TunerLoss = -1 }), "tuner loss of -1 dB"},
		{"wire of wood", dipole(func(s *Spec) { s.SigmaWireSm = 1e-9 }), "conductivity of the wire"},
		{"bearing", dipole(func(s *Spec) { s.Bearing = 7 }), "bearing of the antenna of 401"},
		{"empty table", Spec{Kind: Table}, "number of figures in the antenna table of 0"},
		{"table beyond the zenith", Spec{Kind: Table, Rows: []TableRow{{7 * unit.MHz, 100 * unit.Degree, 0}}}, "elevation in the antenna table of 100"},
		{"table gain", Spec{Kind: Table, Rows: []TableRow{{7 * unit.MHz, 0, unit.DB(math.Inf(-1))}}}, "gain in the antenna table"},
		{"table off the band", Spec{Kind: Table, Rows: []TableRow{{7, 0, 0}}}, "frequency in the antenna table"},
		{"figure twice", Spec{Kind: Table, Rows: []TableRow{{7 * unit.MHz, 0, 1}, {7 * unit.MHz, 0, 2}}}, "two figures for 7 MHz at 0 deg"},
	} {
		err := c.s.Check()
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
			continue
		}
		var re *unit.RangeError
		var ke *KindError
		var row *RowError
		if !errors.As(err, &re) && !errors.As(err, &ke) && !errors.As(err, &row) {
			t.Errorf("%s: %T is none of the typed errors", c.name, err)
		}
		if _, solved := Solve(c.s, 7*unit.MHz); solved == nil {
			t.Errorf("%s: Solve takes what Check refuses", c.name)
		}
	}
	if err := wire.Check(); err != nil {
		t.Errorf("a good wire: %v", err)
	}
	for _, c := range []struct {
		s    Spec
		mhz  float64
		want string
	}{
		{Spec{Kind: Dipole, Height: 8}, 0.5, "frequency of 0.5 MHz"},
		{Spec{Kind: Dipole, Height: 8}, math.NaN(), "frequency is not a number"},
		{Spec{Kind: InvertedV, Height: 10}, 2, "height of the inverted V's ends of -8."},
		{Spec{Kind: Wire, Height: 3, Top: 14, Length: 250}, 28, "length of the antenna in wavelengths of 23."},
		{Spec{Kind: Dipole, Height: 150}, 28, "height of the antenna in wavelengths of 14."},
	} {
		if _, err := Solve(c.s, unit.Freq(c.mhz)*unit.MHz); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s at %g MHz: %v, want %q", c.s.Kind, c.mhz, err, c.want)
		}
	}
}

// An operator's table: its figures come back, straight lines lie between them, and
// the receiving loss is what the figures leave of the hemisphere.
func TestTable(t *testing.T) {
	deg := unit.Degree
	s := Spec{Kind: Table, Rows: []TableRow{
		{10 * unit.MHz, 60 * deg, -8}, {10 * unit.MHz, 0, -12}, {10 * unit.MHz, 20 * deg, -4},
		{5 * unit.MHz, 0, -20}, {5 * unit.MHz, 90 * deg, -10},
	}}
	for _, c := range []struct{ mhz, el, want float64 }{
		{10, 0, -12}, {10, 20, -4}, {10, 60, -8}, {10, 90, -8}, {10, 10, -8}, {10, -5, -12}, {10, 40, -6},
		{5, 45, -15}, {3, 45, -15}, {20, 20, -4},
		{7.5, 0, -16}, {7.5, 20, (-4 - 20 + 20.0/9) / 2}, {7.5, 90, -9},
	} {
		p := solve(t, s, unit.Freq(c.mhz)*unit.MHz)
		if g := p.GainDBi(77, c.el); math.Abs(g-c.want) > 1e-9 {
			t.Errorf("%g MHz, %g deg: %g dBi, want %g", c.mhz, c.el, g, c.want)
		}
		if outside := c.mhz < 5 || c.mhz > 10; outside != (len(p.Notes()) == 1) {
			t.Errorf("%g MHz: notes %q", c.mhz, p.Notes())
		}
	}
	if g := solve(t, s, 10*unit.MHz).MaxGainDBi(0, 5, 50); math.Abs(g+4) > 1e-9 {
		t.Errorf("greatest gain %g dBi, want -4", g)
	}
	// −4 dBi everywhere is P_up/P_in = ½·10^(−0.4): a loss of 7.01 dB.
	flat := Spec{Kind: Table, Rows: []TableRow{{7 * unit.MHz, 0, -4}}}
	if l := solve(t, flat, 7*unit.MHz).LossDB(); math.Abs(l-7.0103) > 0.001 {
		t.Errorf("loss of a flat -4 dBi is %g dB, want 7.0103", l)
	}
	flat.TunerLoss = 2
	if p := solve(t, flat, 7*unit.MHz); math.Abs(p.LossDB()-9.0103) > 0.001 || math.Abs(p.GainDBi(0, 30)+6) > 1e-9 {
		t.Errorf("with a tuner of 2 dB: loss %g dB, gain %g dBi", p.LossDB(), p.GainDBi(0, 30))
	}
	// The figures of a solved antenna read back as a table give its loss again.
	p := solve(t, Spec{Kind: Vertical}, 7*unit.MHz)
	var again Spec
	again.Kind = Table
	for el := 0.0; el <= 90; el++ {
		again.Rows = append(again.Rows, TableRow{7 * unit.MHz, unit.Angle(el) * deg, unit.DB(p.GainDBi(0, el))})
	}
	if l := solve(t, again, 7*unit.MHz).LossDB(); math.Abs(l-p.LossDB()) > 0.03 {
		t.Errorf("as a table a vertical loses %g dB, solved %g", l, p.LossDB())
	}
	beam := Spec{Kind: Table, Rows: []TableRow{{14 * unit.MHz, 0, 12}}}
	if p := solve(t, beam, 14*unit.MHz); p.LossDB() != 0 || len(p.Notes()) != 1 {
		t.Errorf("a beam's best bearing as a table: loss %g, notes %q", p.LossDB(), p.Notes())
	}
}

func TestNotes(t *testing.T) {
	for _, c := range []struct {
		s    Spec
		mhz  float64
		want []string
	}{
		{Spec{Kind: Dipole, Height: 10}, 7, nil},
		{Spec{Kind: Dipole, Height: 1}, 7, []string{"below 0.04 wavelengths: the model is unsafe"}},
		{Spec{Kind: Dipole, Height: 10, Design: 7 * unit.MHz}, 5, []string{"off resonance, about SWR"}},
		{Spec{Kind: Dipole, Height: 10, Length: 40, TunerLoss: 1}, 7.49, []string{"current node, high voltage: tuner loss only is counted (1.0 dB)"}},
		{Spec{Kind: Wire, Height: 3, Top: 14, Length: 12.5, TunerLoss: 2.5}, 8, []string{"no earth lead", "tuner loss only is counted (2.5 dB)"}},
		{Spec{Kind: Vertical}, 7, nil},
	} {
		p := solve(t, c.s, unit.Freq(c.mhz)*unit.MHz)
		n := p.Notes()
		ok := len(n) == len(c.want)
		for i := range n {
			ok = ok && strings.Contains(n[i], c.want[i])
		}
		if !ok {
			t.Errorf("%s at %g MHz: notes %q, want %q", c.s.Kind, c.mhz, n, c.want)
		}
	}
}

func TestImpedance(t *testing.T) {
	p := solve(t, Spec{Kind: Dipole, Height: 10}, 7*unit.MHz)
	if z, ok := p.Impedance(); !ok || math.Abs(real(z)-p.Resistance()) > 1e-9 || math.Abs(imag(z)-42.5) > 0.1 {
		t.Errorf("half-wave dipole: %v, %v; want X = 42.5 ohm", z, ok)
	}
	if z, ok := solve(t, Spec{Kind: Wire, Height: 3, Top: 14, Length: 12.5}, 7*unit.MHz).Impedance(); ok {
		t.Errorf("wire: impedance %v said to be known", z)
	}
}

func TestText(t *testing.T) {
	p := solve(t, Spec{Kind: Dipole, Height: 1, Ground: earth.Wet}, 5*unit.MHz)
	lines := p.Text(90, 60, 0)
	if len(lines) != 2+19+2 {
		t.Fatalf("%d lines:\n%s", len(lines), strings.Join(lines, "\n"))
	}
	if !strings.HasPrefix(lines[0], "dipole at 5 MHz towards 090 deg: greatest gain") || !strings.HasPrefix(lines[21], "at the feed ") || !strings.HasPrefix(lines[22], "note: lowest point at 1.0 m") {
		t.Errorf("first and last lines:\n%s\n%s\n%s", lines[0], lines[21], lines[22])
	}
	long := strings.Count(lines[2], "━")
	if long != 60-23 { // overhead is the dipole's greatest gain
		t.Errorf("the zenith's bar is %d long, want %d", long, 60-23)
	}
	for i := 3; i < 21; i++ {
		n := strings.Count(lines[i], "━")
		if n > long {
			t.Errorf("bars grow towards the horizon:\n%s", strings.Join(lines, "\n"))
		}
		long = n
		if len([]rune(lines[i])) > 60 {
			t.Errorf("line of %d characters: %q", len([]rune(lines[i])), lines[i])
		}
	}
}

func TestDrawing(t *testing.T) {
	for _, s := range []Spec{{Kind: Isotropic}, {Kind: Dipole, Height: 10}, {Kind: Wire, Height: 3, Top: 14, Length: 12.5}, {Kind: Table, Rows: []TableRow{{7 * unit.MHz, 0, 1}}}} {
		p := solve(t, s, 7*unit.MHz)
		d := p.Drawing(40, 0)
		if len(d.ElevationCut) != 181 || len(d.AzimuthCut) != 72 {
			t.Fatalf("%s: %d and %d points", s.Kind, len(d.ElevationCut), len(d.AzimuthCut))
		}
		for _, q := range d.ElevationCut {
			az, el := 40.0, q.ElevationDeg
			if el > 90 {
				az, el = 220, 180-el
			}
			if q.GainDBi != p.GainDBi(az, el) || math.Abs(q.DirectivityDBi-q.GainDBi-p.LossDB()) > 1e-9 {
				t.Fatalf("%s: point %+v is not the gain %g", s.Kind, q, p.GainDBi(az, el))
			}
		}
		if g := p.MaxGainDBi(40, 0, 90); math.Abs(g-p.GainDBi(40, d.RingElevation)) > 0.05 {
			t.Errorf("%s: ring at %g deg is not at the maximum %g", s.Kind, d.RingElevation, g)
		}
		if _, err := json.Marshal(d); err != nil {
			t.Errorf("%s: %v", s.Kind, err)
		}
	}
}

// FuzzSolve: whatever Check accepts is solved to finite figures or refused with a
// typed error; losses are losses.
func FuzzSolve(f *testing.F) {
	for i := range Kinds {
		f.Add(byte(i), 8.0, 12.5, 14.0, 120.0, 7.0, 0.0, 3e-3, 22.0, 10.0, 200.0, 1.0, 0.0, false, 33.0, 25.0)
		f.Add(byte(i), 0.1, 299.0, 0.1, 180.0, 1.6, 3.5, 0.0, 1.0, 0.0, 0.0, 0.0, 1e-3, true, 0.0, 0.0)
	}
	f.Fuzz(func(t *testing.T, kind byte, h, l, top, apex, mhz, design, σ, εr, earthOhm, q, tuner, radius float64, lead bool, az, el float64) {
		s := Spec{
			Kind: Kinds[int(kind)%len(Kinds)], Height: unit.Length(h), Length: unit.Length(l), Top: unit.Length(top),
			Apex: unit.Angle(apex) * unit.Degree, Design: unit.Freq(design) * unit.MHz, Ground: earth.Ground{SigmaSm: σ, EpsR: εr},
			EarthOhm: earthOhm, CoilQ: q, TunerLoss: unit.DB(tuner), Radius: unit.Length(radius), EarthLead: lead,
			Rows: []TableRow{{unit.Freq(mhz) * unit.MHz, unit.Angle(apex/2) * unit.Degree, unit.DB(-tuner)}},
		}
		p, err := Solve(s, unit.Freq(mhz)*unit.MHz)
		if err != nil {
			var re *unit.RangeError
			if !errors.As(err, &re) || p != nil {
				t.Fatalf("%+v: %v", s, err)
			}
			return
		}
		if s.Check() != nil {
			t.Fatalf("%+v: solved though refused", s)
		}
		if az-az != 0 || el != el {
			az, el = 0, 0
		}
		for _, v := range []float64{p.GainDBi(az, el), p.DirectivityDBi(az, el), p.LossDB(), p.MaxGainDBi(az, 0, 90), p.GroundWaveDBi(az), p.GainDBi(0, 0), p.GainDBi(0, 90)} {
			if v-v != 0 {
				t.Fatalf("%+v at %g MHz: %g among the figures", s, mhz, v)
			}
		}
		if p.LossDB() < 0 {
			t.Fatalf("%+v at %g MHz: loss of %g dB", s, mhz, p.LossDB())
		}
		if g := p.DirectivityDBi(az, el); g > 25 && s.Kind != Table {
			t.Fatalf("%+v at %g MHz: directivity %g dBi", s, mhz, g)
		}
		if _, err := json.Marshal(p.Drawing(az, 0)); err != nil {
			t.Fatalf("%+v: %v", s, err)
		}
	})
}

var benchmarks = map[string]Spec{
	"vertical":         {Kind: Vertical},
	"whip":             {Kind: Whip, Length: 2.5},
	"dipole":           {Kind: Dipole, Height: 8},
	"dipole-3-waves":   {Kind: Dipole, Height: 20, Length: 128},
	"inverted-v":       {Kind: InvertedV, Height: 13},
	"backstay":         {Kind: Wire, Height: 3, Top: 14, Length: 12.5, Ground: earth.Sea},
	"backstay-on-lead": {Kind: Wire, Height: 3, Top: 14, Length: 12.5, Ground: earth.Sea, EarthLead: true},
}

func BenchmarkSolve(b *testing.B) {
	for name, s := range benchmarks {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Solve(s, 7*unit.MHz); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Fifty frequencies of the demo's backstay: what a program start pays.
func BenchmarkFiftyFrequencies(b *testing.B) {
	for b.Loop() {
		for i := range 50 {
			if _, err := Solve(benchmarks["backstay"], (2+unit.Freq(i)/2)*unit.MHz); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkGain(b *testing.B) {
	for _, name := range []string{"vertical", "dipole", "backstay"} {
		p := solve(b, benchmarks[name], 7*unit.MHz)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			var sum, az, el float64
			for b.Loop() {
				az, el = az+11, el+7
				if el > 90 {
					el -= 90
				}
				sum += p.GainDBi(az, el)
			}
			if sum-sum != 0 {
				b.Fatal(sum)
			}
		})
	}
}
