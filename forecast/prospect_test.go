package forecast

import (
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"farhail/hf/antenna"
	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/modem"
	"farhail/station"
	"farhail/unit"
)

// An invented boat and three invented stations: far, near over sea, and one on a
// frequency there is no permit for.
func request() Request {
	h := station.DefaultHome()
	h.Name, h.Call, h.Position = "Test", "QX0T", earth.At(38.5, -28.6)
	h.Power, h.Waveforms = 100*unit.Watt, []string{"serial-3k"}
	h.Antenna = antenna.Spec{Kind: antenna.Vertical, Length: 8 * unit.Metre, Ground: earth.Sea, EarthOhm: 3}
	h.Permits = []station.Permit{{From: 4 * unit.MHz, To: 13 * unit.MHz, Bandwidth: 3 * unit.KHz, Power: 150 * unit.Watt}}
	ch := func(mhz float64) station.Channel {
		return station.Channel{Centre: unit.Freq(mhz) * unit.MHz, Bandwidth: 3 * unit.KHz, Waveforms: []string{"serial-3k"}, Hours: station.Always()}
	}
	far := func(name string, lat, lon float64, mhz ...float64) station.Station {
		s := station.Station{ID: strings.ToLower(name), Name: name, Position: earth.At(lat, lon), Hours: station.Always(), Dwell: 2 * time.Second,
			Power: 500 * unit.Watt, Antenna: antenna.Spec{Kind: antenna.Isotropic}, Noise: station.Rural, Carries: []string{"*"}}
		for _, f := range mhz {
			s.Channels = append(s.Channels, ch(f))
		}
		return s
	}
	return Request{Home: &h, Start: time.Date(2026, 11, 25, 17, 38, 0, 0, time.UTC), Slots: 96, Drive: circuit.Constant(80), Reading: circuit.Field,
		Directory: &station.Directory{Stations: []station.Station{far("Far", 43, -9.2, 4.19, 8.37, 12.61), far("Near", 38.5, -28.0, 4.19), far("Barred", 50, -10, 14.1)}}}
}

func prospect(t testing.TB, q Request) *Prospect {
	t.Helper()
	p, err := New(q)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Every cell holds probabilities; the same request gives the same prospect whatever the
// cores did.
func TestProspectIsSoundAndRepeatable(t *testing.T) {
	p := prospect(t, request())
	if len(p.Channels) != 5 || p.Start.Minute() != 30 {
		t.Fatalf("%d channels from %v", len(p.Channels), p.Start)
	}
	for i := range p.Channels {
		c := &p.Channels[i]
		for s := range c.Cells {
			cell := &c.Cells[s]
			for k := range States {
				sum := 0.0
				for n := range Nodes {
					if w, r := cell.Weight[k][n], cell.Rate[k][n]; !(w >= 0) || !(r >= 0) || math.IsInf(r, 0) {
						t.Fatalf("%s %g slot %d: weight %g rate %g", c.Station.Name, c.MHz, s, w, r)
					}
					sum += cell.Weight[k][n]
				}
				if q := cell.Connect[k]; !(q >= 0 && q <= 1+1e-12) || q > 0 && math.Abs(sum-1) > 1e-9 {
					t.Fatalf("%s %g slot %d: connect %g, weights sum to %g", c.Station.Name, c.MHz, s, q, sum)
				}
			}
			if cell.Connect[0] > cell.Connect[2]+1e-12 {
				t.Fatalf("%s %g slot %d: a sky below the forecast connects better: %v", c.Station.Name, c.MHz, s, cell.Connect)
			}
		}
	}
	again := prospect(t, request())
	for i := range p.Channels {
		if !reflect.DeepEqual(p.Channels[i].Cells, again.Channels[i].Cells) {
			t.Errorf("%g MHz differs from run to run", p.Channels[i].MHz)
		}
	}
}

// A channel outside the permits names the rule; one shut by its hours is not open.
func TestExcludedAndShut(t *testing.T) {
	q := request()
	q.Directory.Stations[0].Hours = station.Spans{{From: 0, To: 6 * 60}}
	p := prospect(t, q)
	last := p.Channels[len(p.Channels)-1]
	if last.Excluded == "" || last.Cells != nil {
		t.Errorf("14.1 MHz is not excluded: %q", last.Excluded)
	}
	if p.Channels[0].Cells[0].Open || !p.Channels[0].Cells[40].Open { // 17:30, 03:30
		t.Error("hours 00–06 are not kept")
	}
}

// A law: more power never lowers a chance, and a nearer sea path is steadier: at 52 km
// the ground wave carries 4 MHz at noon, when the sky wave is absorbed.
func TestPowerAndGroundWave(t *testing.T) {
	q := request()
	weak := *q.Home
	weak.Power = 10 * unit.Watt
	qw := q
	qw.Home = &weak
	a, b := prospect(t, qw), prospect(t, q)
	for i := range a.Channels {
		for s := range a.Channels[i].Cells {
			x, y := &a.Channels[i].Cells[s], &b.Channels[i].Cells[s]
			if x.Likely(StatePrior) > y.Likely(StatePrior)+1e-9 {
				t.Fatalf("%g MHz slot %d: 10 W %.4f, 100 W %.4f", a.Channels[i].MHz, s, x.Likely(StatePrior), y.Likely(StatePrior))
			}
		}
	}
	near := &b.Channels[3]
	noon := near.At(time.Date(2026, 11, 26, 13, 0, 0, 0, time.UTC))
	if !noon.HasGround || noon.GroundOut < noon.Out.Signal+10 {
		t.Errorf("over 52 km of sea at noon: ground %.0f dBW, sky %.0f", noon.GroundOut, noon.Out.Signal)
	}
	if c := &near.Cells[78]; c.Likely(StatePrior) < 0.99 { // 13:00
		t.Errorf("chance to connect by ground wave %.3f", c.Likely(StatePrior))
	}
}

// The cell of a slot agrees with the link worked out by hand at the full hour: an
// independent road through modem alone, in the middle state.
func TestCellAgainstTheLink(t *testing.T) {
	q := request()
	q.Start = time.Date(2026, 11, 25, 18, 52, 30, 0, time.UTC) // slot 18:45–19:00, middle 18:52:30
	p := prospect(t, q)
	c := &p.Channels[2]
	m := c.moment(&q, time.Date(2026, 11, 25, 19, 0, 0, 0, time.UTC))
	h := c.At(time.Date(2026, 11, 25, 19, 0, 0, 0, time.UTC))
	out, fades := m.out.dist(0, 0)
	in, _ := m.in.dist(0, 0)
	if math.Abs(float64(out.Median)-h.Out.SNR) > 1e-9 || fades != 1 {
		t.Errorf("median %.3f at the hour, %.3f in the detail; %g of a sky wave's fading", float64(out.Median), h.Out.SNR, fades)
	}
	var cell Cell
	c.work(&cell, links{fading: c.Links[0]}, m, 3*unit.KHz)
	want := 0.0
	for _, n := range modem.Both(nil, out, in, 12) {
		want += n.Weight * c.Links[0].Connect(c.Calling, n)
	}
	if math.Abs(cell.Connect[1]-want) > 0.03 { // four nodes for twenty-four
		t.Errorf("chance by four nodes %.4f, by 24 %.4f", cell.Connect[1], want)
	}
}

func BenchmarkNew(b *testing.B) {
	q := request()
	for b.Loop() {
		prospect(b, q)
	}
}
