package desk

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
	"farhail/unit"
)

const (
	screenBack  = 3 * time.Hour
	screenAhead = 21 * time.Hour
)

// The edges of the ribbon on the grid used and on one twice as fine: what the figure in
// the comment of skyTo rests on.
func TestSkyGridIsFineEnough(t *testing.T) {
	for _, world := range Worlds {
		d := demoDesk(t, world)
		index, err := d.believed(context.Background(), d.Now())
		if err != nil {
			t.Fatal(err)
		}
		var moved []float64
		for i := range d.Directory.Stations {
			s := &d.Directory.Stations[i]
			a, err := skyOnGrid(d.Home, s, index, d.Now(), 24*time.Hour, forecast.StatePrior, skyGrid)
			if err != nil {
				t.Fatal(err)
			}
			b, err := skyOnGrid(d.Home, s, index, d.Now(), 24*time.Hour, forecast.StatePrior, 2*skyGrid)
			if err != nil {
				t.Fatal(err)
			}
			for h := range a {
				x, y := a[h].Low[2], b[h].Low[2]
				if math.IsInf(x, 1) || math.IsInf(y, 1) {
					continue
				}
				moved = append(moved, math.Abs(x-y))
			}
		}
		slices.Sort(moved)
		if len(moved) < 50 {
			t.Fatalf("%s: only %d hours with an edge", world, len(moved))
		}
		most, worst := moved[len(moved)*19/20], moved[len(moved)-1]
		t.Logf("%s: the median lower edge moves by under %.3f MHz in 19 hours of 20, at most %.3f, of %d hours", world, most, worst, len(moved))
		if most > 0.2 || worst > 0.4 {
			t.Errorf("%s: %.3f and %.3f MHz, stated 0.2 and 0.4", world, most, worst)
		}
	}
}

// Laws of the edges: a surer span lies inside a less sure one.
func TestSkyEdgesNest(t *testing.T) {
	d := demoDesk(t, "saltmarsh")
	_, s, err := d.Screen(context.Background(), d.Now(), ScreenQuery{Back: screenBack, Ahead: screenAhead})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Sky) < 24 {
		t.Fatalf("%d hours of sky", len(s.Sky))
	}
	for _, e := range s.Sky {
		for k := 1; k < len(SkyShares); k++ {
			if e.High[k] > e.High[k-1] || e.Low[k] < e.Low[k-1] {
				t.Errorf("%s: span at %.2f (%.2f to %.2f) is not inside that at %.2f (%.2f to %.2f)", e.At.Format("15:04"),
					SkyShares[k], e.Low[k], e.High[k], SkyShares[k-1], e.Low[k-1], e.High[k-1])
			}
		}
	}
}

// The chances drawn are those of the plan: at its start each planned call's channel
// promises on the picture what the call promises.
func TestScreenAgreesWithThePlan(t *testing.T) {
	for _, world := range Worlds {
		d := demoDesk(t, world)
		a, s, err := d.Screen(context.Background(), d.Now(), ScreenQuery{Back: screenBack, Ahead: screenAhead})
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Calls) == 0 {
			t.Fatalf("%s: no call", world)
		}
		c := a.Calls[0]
		i := int(c.Start.Sub(s.From) / forecast.Slot)
		for _, st := range s.Stations {
			for _, ch := range st.Channels {
				if st.Name == c.Station && ch.MHz == c.MHz && math.Abs(ch.Chance[i]-c.Connect) > 1e-3 {
					t.Errorf("%s: %s %.3f MHz is drawn at %.4f and planned at %.4f", world, c.Station, c.MHz, ch.Chance[i], c.Connect)
				}
			}
		}
		if s.Focus != c.Station {
			t.Errorf("%s: the sky is to %s, the next call to %s", world, s.Focus, c.Station)
		}
		if b := s.Battery; b == nil || len(b.At) == 0 {
			t.Errorf("%s: no battery", world)
		} else {
			for k := range b.At {
				if b.Low[k] > b.High[k] || b.Mid[k] < b.Low[k]-0.02 || b.Mid[k] > b.High[k]+0.02 {
					t.Fatalf("%s: battery at %s: %.3f outside %.3f to %.3f", world, b.At[k], b.Mid[k], b.Low[k], b.High[k])
				}
			}
		}
	}
}

// The Sun stands overhead at the sub-solar point: its zenith distance there is nothing.
func TestSubSolar(t *testing.T) {
	for _, at := range []time.Time{time.Date(2026, 11, 25, 17, 38, 0, 0, time.UTC), time.Date(2026, 6, 21, 2, 0, 0, 0, time.UTC), time.Date(2027, 3, 20, 12, 0, 0, 0, time.UTC)} {
		p := SubSolar(at)
		sun := earth.SunOn(at.Year(), int(at.Month()), at.Day())
		if z := sun.Zenith(p, float64(at.Hour())+float64(at.Minute())/60).Deg(); z > 0.3 {
			t.Errorf("%s: the Sun is %.2f° from the zenith of %s, want under 0.3 (the day's drift of declination)", at, z, p)
		}
	}
}

// An entry taken back is struck out, and its messages stand in the queue again.
func TestUndo(t *testing.T) {
	ctx := context.Background()
	d := demoDesk(t, "saltmarsh")
	before, err := d.Traffic(ctx, "queued")
	if err != nil {
		t.Fatal(err)
	}
	l, err := d.Log(ctx, "connected cabo-lume 12.61 5min sent="+before[0].ID+","+before[1].ID)
	if err != nil {
		t.Fatal(err)
	}
	if mid, _ := d.Traffic(ctx, "queued"); len(mid) != len(before)-2 {
		t.Fatalf("%d queued after two went, %d before", len(mid), len(before))
	}
	if _, err := d.Undo(ctx, l.ID); err != nil {
		t.Fatal(err)
	}
	after, err := d.Traffic(ctx, "queued")
	if err != nil || len(after) != len(before) {
		t.Fatalf("%d queued after undo, want %d (%v)", len(after), len(before), err)
	}
	if _, err := d.Undo(ctx, l.ID); err == nil {
		t.Error("the same entry is taken back twice")
	}
}

// An edit from the form changes its value and not an octet more; what cannot be is told
// with its field, and nothing is written.
func TestHomeEdit(t *testing.T) {
	ctx := context.Background()
	d := demoDesk(t, "saltmarsh")
	path := filepath.Join(d.Dir, HomeFile)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	f, err := d.HomeForm(ctx)
	if err != nil || len(f.Fields) < 20 {
		t.Fatalf("%d fields, %v", len(f.Fields), err)
	}
	bad, err := d.SaveHome(ctx, HomeEdit{f.Version, map[string]string{"battery.reserve": "130"}})
	if err != nil || len(bad.Faults) == 0 || bad.Faults[0].Field != "battery.reserve" || bad.Faults[0].Line == 0 {
		t.Fatalf("a reserve of 130 %%: %+v, %v", bad, err)
	}
	if now, _ := os.ReadFile(path); string(now) != string(before) {
		t.Fatal("a faulty edit was written")
	}
	if _, err := d.SaveHome(ctx, HomeEdit{f.Version, map[string]string{"battery.reserve": "35", "station.name": `Salt "marsh"`}}); err != nil {
		t.Fatal(err)
	}
	now, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Replace(strings.Replace(string(before), `reserve = "30 %"`, `reserve = "35 %"`, 1), `name = "Saltmarsh"`, `name = "Salt \"marsh\""`, 1)
	if string(now) != want {
		t.Errorf("the file is not as it was but for the two values")
	}
	if _, err := d.SaveHome(ctx, HomeEdit{f.Version, map[string]string{"battery.reserve": "36"}}); err == nil {
		t.Error("an edit of an older file is written over a newer one")
	}
}

// A station written down on the page is read back, and what stood in the file stays.
func TestAddStation(t *testing.T) {
	ctx := context.Background()
	d := demoDesk(t, "saltmarsh")
	path := filepath.Join(d.Dir, StationsFile)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []NewStation{{Name: "X", Position: "nowhere", Frequencies: "8.4", Waveforms: "serial-3k"}, {Name: "Cabo Lume", Position: "1N 1E", Frequencies: "8.4", Waveforms: "serial-3k"},
		{Name: "X\"\n[[station]]", Position: "1N 1E", Frequencies: "", Waveforms: "serial-3k"}} {
		faults, err := AddStation(ctx, d.Dir, bad)
		if err != nil || len(faults) == 0 {
			t.Errorf("%+v: faults %v, %v", bad, faults, err)
		}
		if now, _ := os.ReadFile(path); string(now) != string(before) {
			t.Fatalf("%+v was written", bad)
		}
	}
	faults, err := AddStation(ctx, d.Dir, NewStation{Name: `New "Head"`, Call: "QM9NH", Position: "45N 20W", Frequencies: "8.43, 12.59 MHz", Waveforms: "serial-3k, psk-narrow"})
	if err != nil || len(faults) != 0 {
		t.Fatalf("%v %v", faults, err)
	}
	now, _ := os.ReadFile(path)
	if !strings.HasPrefix(string(now), string(before)) {
		t.Error("what stood in the file was changed")
	}
	dir, err := readDirectory(d.Dir)
	if err != nil {
		t.Fatal(err)
	}
	s, ok := dir.Find(`New "Head"`)
	if !ok || len(s.Channels) != 2 || s.Channels[1].Centre != 12.59*unit.MHz || !slices.Contains(s.Channels[0].Waveforms, "psk-narrow") {
		t.Errorf("read back: %+v", s)
	}
}

// BenchmarkScreenWith is what a moved figure of the home costs: sky, chances, no plan.
func BenchmarkScreenWith(b *testing.B) {
	for _, world := range Worlds {
		b.Run(world, func(b *testing.B) {
			d := demoDesk(b, world)
			for b.Loop() {
				if _, err := d.ScreenWith(context.Background(), d.Now(), d.Home, ScreenQuery{Back: screenBack, Ahead: screenAhead}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Noise read off the receiver stands in the form as the file has it, off the S-meter too; a
// change keeps the text as typed, and what no meter shows is a fault beside the field.
func TestNoiseInTheHomeForm(t *testing.T) {
	ctx := context.Background()
	d := demoDesk(t, "saltmarsh")
	path := filepath.Join(d.Dir, HomeFile)
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	before := strings.Replace(string(src), "[noise]\n", "[noise]\nmeasured = [\"S4 in 2.4 kHz at 7.1 MHz\"]  # at noon\n", 1)
	if err := os.WriteFile(path, []byte(before), 0o644); err != nil {
		t.Fatal(err)
	}
	if d.Home, err = readHome(d.Dir); err != nil {
		t.Fatal(err)
	}
	f, err := d.HomeForm(ctx)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(f.Fields, func(x HomeField) bool { return x.Path == "noise.measured" })
	if i < 0 || f.Fields[i].Value != "S4 in 2.4 kHz at 7.1 MHz" || f.Fields[i].Unit != "" {
		t.Fatalf("the form has %+v", f.Fields)
	}
	set := func(text string) *HomeTrial {
		trial, err := d.TryHome(ctx, HomeEdit{f.Version, map[string]string{"noise.measured": text}})
		if err != nil {
			t.Fatal(err)
		}
		return trial
	}
	for _, text := range []string{"S7 +10 dB in 2.4 kHz", "S0 in 3 kHz", "S5"} {
		if trial := set(text); trial.Home != nil || len(trial.Faults) == 0 || !strings.HasPrefix(trial.Faults[0].Field, "noise.measured") {
			t.Errorf("%q: %+v", text, trial.Faults)
		}
	}
	const text = "S9 +10 dB in 2.4 kHz at 3.6 MHz, -105 dBm in 3 kHz at 7.1 MHz"
	trial := set(text)
	want := strings.Replace(before, `"S4 in 2.4 kHz at 7.1 MHz"`, `"S9 +10 dB in 2.4 kHz at 3.6 MHz", "-105 dBm in 3 kHz at 7.1 MHz"`, 1)
	if trial.Home == nil || string(trial.src) != want || trial.Home.Noise.Measured[0].Level != -93 {
		t.Errorf("%q: %+v\n%s", text, trial.Faults, trial.src)
	}
}
