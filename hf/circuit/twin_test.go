package circuit

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/hf/earth"
	"farhail/hf/noise"
	"farhail/unit"
)

// engine answers a literal question by the engine.
func engine(t testing.TB, in literalIn) (Hour, Prediction) {
	t.Helper()
	env, err := noise.ParseEnvironment(in.Env)
	if err != nil {
		t.Fatal(err)
	}
	r := Field
	if in.Strict {
		r = Strict
	}
	c := Circuit{From: earth.At(in.FromLat, in.FromLon), To: earth.At(in.ToLat, in.ToLon), Long: in.Long,
		Power: unit.Power(in.PowerW), Bandwidth: unit.Freq(in.BandwidthHz), NeedSNR: unit.DB(in.NeedSNR), Noise: env}
	p := NewSkyWith(Date{in.Year, in.Month, 0}, Constant(in.SSN), r, Options{SporadicE: in.Es}).Path(c)
	var h Hour
	p.At(in.UTC, &h)
	b := NewBand(in.FMHz)
	var out Prediction
	h.Predict(&b, &out)
	return h, out
}

// The fast engine against the slow literal one, which was written from the notes alone
// by another hand and shares nothing with it but tables: equal to 1e-9 × max(1, |x|) on
// random circuits, both readings, both ways round, with sporadic E and without, inputs on
// a threshold left out.
func TestEngineAgainstLiteralTwin(t *testing.T) {
	n := 4000
	if testing.Short() {
		n = 400
	}
	rng := rand.New(rand.NewPCG(2026, 11))
	compared, withEs, worst := 0, 0, 0.0
	bad := 0
	for i := range n {
		in := literalRandom(rng)
		in.Long = i%7 == 0
		in.Es = i%2 == 1
		w := literal(in)
		if w.NearThreshold {
			continue
		}
		compared++
		h, r := engine(t, in)
		type pair struct {
			name      string
			got, want float64
		}
		pairs := []pair{{"basic MUF", h.BasicMUF, w.BasicMUF}, {"operational MUF", h.OperationalMUF, w.OperationalMUF}, {"OWF", h.OWF, w.OWF}, {"noise", r.Noise, w.NoiseDBW},
			{"distance", h.p.DKm, w.DistanceKm}}
		if !in.Strict {
			pairs = append(pairs, pair{"support", h.Support(in.FMHz), w.Support})
		}
		if r.Mode.String() != w.Mode {
			t.Errorf("%+v: mode %q, literal %q", in, r.Mode, w.Mode)
			bad++
		} else if r.Arrives() {
			pairs = append(pairs, pair{"field", r.Field, w.FieldDBuVm}, pair{"signal", r.Signal, w.SignalDBW}, pair{"SNR", r.SNR, w.SNR},
				pair{"upper decile", r.Upper, w.SNRUpper}, pair{"lower decile", r.Lower, w.SNRLower}, pair{"reliability", r.Reliability, w.Reliability},
				pair{"delay spread", r.DelaySpread, w.DelayMs})
			if r.Mode != LongMode {
				pairs = append(pairs, pair{"elevation", r.ElevationDeg, w.ElevationDeg})
				if n := float64(r.Mode & 15); w.ElevationDeg > -1 { // the ray by the twin's road
					pairs = append(pairs, pair{"slant", r.SlantKm(h.p.DKm), literalSlant(int(n), w.DistanceKm/n, w.ElevationDeg)})
				}
			}
		}
		es := h.SporadicE(in.FMHz)
		if len(es) != len(w.Es) {
			t.Fatalf("%+v: %d modes by sporadic E, literal %d", in, len(es), len(w.Es))
		}
		for k, m := range es {
			x := w.Es[k]
			withEs++
			pairs = append(pairs, pair{"Es MUF", m.MUF, x.MUF}, pair{"Es loss", m.LossDB, x.lossDB}, pair{"Es chance", m.Chance, x.chance}, pair{"Es elevation", m.ElevationDeg, x.Δ},
				pair{"Es hops", float64(m.Mode & 15), float64(x.n)})
		}
		for _, p := range pairs {
			d := math.Abs(p.got-p.want) / math.Max(1, math.Abs(p.want))
			worst = max(worst, d)
			if !(d <= 1e-9) {
				t.Errorf("%+v (%.0f km): %s %.12g, literal %.12g", in, w.DistanceKm, p.name, p.got, p.want)
				bad++
			}
		}
		if bad > 30 {
			t.Fatal("and so on")
		}
	}
	t.Logf("%d of %d circuits compared, %d modes by sporadic E, worst difference %.2g", compared, n, withEs, worst)
	if compared < n*9/10 || withEs < n/2 {
		t.Errorf("only %d of %d compared, %d modes by sporadic E", compared, n, withEs)
	}
}
