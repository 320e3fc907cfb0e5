package circuit

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/hf/earth"
	"farhail/hf/noise"
	"farhail/unit"
)

func randomPoint(rng *rand.Rand) earth.Point {
	return earth.At(math.Asin(2*rng.Float64()-1)*180/math.Pi, 360*rng.Float64()-180)
}

// mixed draws n circuits: a third under 500 km, a third under 4,000, a third longer.
func mixed(n int) []Circuit {
	rng := rand.New(rand.NewPCG(11, 12))
	out := make([]Circuit, 0, n)
	for len(out) < n {
		a, b := randomPoint(rng), randomPoint(rng)
		switch len(out) % 3 {
		case 0, 1:
			far := 500.0
			if len(out)%3 == 1 {
				far = 4000
			}
			arc := earth.Between(a, b)
			b = arc.At(unit.Length(5+(far-5)*rng.Float64()) * unit.Km)
		default:
			if earth.Between(a, b).D < 4000*unit.Km {
				continue
			}
		}
		c := sample(a, b)
		c.Noise = noise.Environment(rng.IntN(4))
		out = append(out, c)
	}
	return out
}

func benchBatch() *Batch {
	b := &Batch{Sky: NewSky(Date{2026, 6, 0}, Constant(80), Field)}
	for u := range 24 {
		b.Hours = append(b.Hours, float64(u))
	}
	for _, f := range []float64{2.2, 3.6, 5.35, 7.1, 8.4, 10.1, 12.6, 14.1, 18.1, 24.9} {
		b.Bands = append(b.Bands, NewBand(f))
	}
	return b
}

// BenchmarkBatch is the figure docs/speed.md quotes: the mixed 1,000 paths × 24 hours ×
// 10 frequencies; predictions a second and core.
func BenchmarkBatch(b *testing.B) {
	predict1000(b, benchBatch())
}

// predict1000 times a batch on the mixed 1,000 paths.
func predict1000(b *testing.B, batch *Batch) {
	cs := mixed(1000)
	out := make([]Prediction, batch.Size(len(cs)))
	b.ReportAllocs()
	for b.Loop() {
		if err := batch.Run(cs, out, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(out))*float64(b.N)/b.Elapsed().Seconds(), "predictions/s")
}

// How the cost grows: paths of one kind, hours and frequencies in turn.
func BenchmarkBatchGrowth(b *testing.B) {
	all := mixed(300)
	for _, k := range []struct {
		name         string
		kind         int
		hours, bands int
	}{{"short", 0, 24, 10}, {"middle", 1, 24, 10}, {"long", 2, 24, 10}, {"short/1-hour", 0, 1, 10}, {"short/1-frequency", 0, 24, 1}, {"long/1-frequency", 2, 24, 1}} {
		b.Run(k.name, func(b *testing.B) {
			var cs []Circuit
			for i, c := range all {
				if i%3 == k.kind {
					cs = append(cs, c)
				}
			}
			batch := benchBatch()
			batch.Hours, batch.Bands = batch.Hours[:k.hours], batch.Bands[:k.bands]
			out := make([]Prediction, batch.Size(len(cs)))
			for b.Loop() {
				batch.Run(cs, out, nil)
			}
			b.ReportMetric(float64(len(out))*float64(b.N)/b.Elapsed().Seconds(), "predictions/s")
		})
	}
}

// Results do not depend on the number of goroutines, bit for bit, nor on what the
// scratch held before.
func TestBatchIsTheSameOnManyCores(t *testing.T) {
	cs, batch := mixed(120), benchBatch()
	one, many := make([]Prediction, batch.Size(len(cs))), make([]Prediction, batch.Size(len(cs)))
	if err := batch.Run(cs, one, nil); err != nil {
		t.Fatal(err)
	}
	batch.Workers = 7
	hours := make([]Summary, len(cs)*len(batch.Hours))
	if err := batch.Run(cs, many, hours); err != nil {
		t.Fatal(err)
	}
	same := func(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
	for i := range one {
		a, b := &one[i], &many[i]
		if a.Mode != b.Mode || !same(a.ElevationDeg, b.ElevationDeg) || a.Field != b.Field || a.SNR != b.SNR || a.Noise != b.Noise ||
			a.Upper != b.Upper || a.Lower != b.Lower || a.Reliability != b.Reliability || a.DelaySpread != b.DelaySpread {
			t.Fatalf("prediction %d: one core %+v, many %+v", i, *a, *b)
		}
	}
	if hours[5].BasicMUF <= 0 {
		t.Errorf("hour 5: %+v", hours[5])
	}
	if n := testing.AllocsPerRun(1, func() { batch.Workers = 1; batch.Run(cs, one, nil) }); n > 0 {
		t.Errorf("%v allocations in a run", n)
	}
	if err := batch.Run(cs, one[:10], nil); err == nil {
		t.Error("no error for a slice too short")
	}
}

// FuzzBatch: never NaN (but for the elevation of the long-path method) nor a panic for
// valid input.
func FuzzBatch(f *testing.F) {
	f.Add(38.5, -28.6, 43.0, -9.2, 12.0, 80.0, 7.1, uint8(10), false, false, true)
	f.Add(90.0, 0.0, -90.0, 0.0, 0.0, -20.0, 30.0, uint8(0), true, true, true)
	f.Add(0.0, 180.0, 0.0, -180.0, 24.0, 400.0, 1.6, uint8(5), false, false, true)
	f.Add(0.0, 0.0, 0.0, 180.0, 6.0, 0.0, 10.0, uint8(3), true, false, false)
	f.Fuzz(func(t *testing.T, la, lo, lb, lob, utc, ssn, mhz float64, month uint8, long, strict, es bool) {
		c := sample(earth.At(la, lo), earth.At(lb, lob))
		c.Long = long
		if c.Check() != nil || !(utc >= 0 && utc <= 24) || !(ssn >= MinIndex && ssn <= MaxIndex) || !(mhz >= MinMHz && mhz <= MaxMHz) {
			return
		}
		r := Field
		if strict {
			r = Strict
		}
		p := NewSkyWith(Date{2026, int(month%12) + 1, 0}, Constant(ssn), r, Options{SporadicE: es}).Path(c)
		var h Hour
		p.At(utc, &h)
		b := NewBand(mhz)
		var out Prediction
		h.Predict(&b, &out)
		for i, v := range []float64{out.Field, out.Signal, out.Noise, out.SNR, out.Upper, out.Lower, out.Reliability, out.DelaySpread, h.BasicMUF, h.OperationalMUF, h.OWF} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("value %d is %g in %+v, %+v", i, v, out, c)
			}
		}
		if out.Reliability < 0 || out.Reliability > 1 || out.Upper < out.Lower {
			t.Fatalf("%+v", out)
		}
		for _, m := range h.SporadicE(mhz) {
			if !(m.Chance >= 0 && m.Chance <= 1) || math.IsNaN(m.MUF) || math.IsNaN(m.LossDB) || math.IsNaN(m.ElevationDeg) {
				t.Fatalf("%+v", m)
			}
		}
		d := h.Digital(&b, Window{TimeMs: 3, SpreadHz: 2, RatioDB: 10})
		if !(d.Overall >= 0 && d.Overall <= 1) {
			t.Fatalf("digital %+v", d)
		}
	})
}
