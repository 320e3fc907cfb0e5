package circuit

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/hf/earth"
	"farhail/hf/noise"
)

// esSky is a day with sporadic E in it.
func esSky(month int, r Reading) *Sky {
	return NewSkyWith(Date{2026, month, 0}, Constant(60), r, Options{SporadicE: true})
}

// Off by default, and a bonus: MUFs and noise stay, no signal gets weaker, and beyond
// 4,000 km nothing changes at all.
func TestSporadicEIsABonus(t *testing.T) {
	var plain, more Hour
	var a, b Prediction
	better, named := 0, 0
	for month, r := range map[int]Reading{6: Field, 12: Strict} {
		off, on := NewSky(Date{2026, month, 0}, Constant(60), r), esSky(month, r)
		for i, c := range mixed(150) {
			p, q := off.Path(c), on.Path(c)
			utc := math.Mod(float64(i)*5.3, 24)
			p.At(utc, &plain)
			q.At(utc, &more)
			if len(plain.SporadicE(10)) != 0 {
				t.Fatal("modes by sporadic E that nobody asked for")
			}
			for _, f := range []float64{2.2, 5.35, 10.1, 18.1, 28.5} {
				band := NewBand(f)
				plain.Predict(&band, &a)
				more.Predict(&band, &b)
				if plain.BasicMUF != more.BasicMUF || plain.OWF != more.OWF || a.Noise != b.Noise || b.SNR < a.SNR-1e-9 {
					t.Errorf("%+v, %g h, %g MHz: without %+v, with %+v", c, utc, f, a, b)
				}
				if p.DKm > hopMax && (a.SNR != b.SNR || a.Mode != b.Mode || len(more.SporadicE(f)) != 0) {
					t.Errorf("%.0f km: without %+v, with %+v", p.DKm, a, b)
				}
				if b.SNR > a.SNR+1 {
					better++
				}
				if b.Mode&^15 == layerEs {
					named++
				}
			}
		}
	}
	t.Logf("more than 1 dB better in %d of 1,500 cases, the strongest mode in %d", better, named)
	if better < 40 || named < 20 {
		t.Errorf("sporadic E helps in %d and rules in %d of 1,500 cases", better, named)
	}
}

// More foEs never weakens a signal nor lowers a chance; a layer of nothing is no layer.
func TestSporadicEGrowsWithFoEs(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 34))
	for range 200 {
		at := randomPoint(rng)
		φ, λ := literalAlong(at.Lat.Deg(), at.Lon.Deg(), 360*rng.Float64(), 20+3980*rng.Float64())
		c := sample(at, earth.At(φ, λ))
		var h Hour
		utc := 24 * rng.Float64()
		esSky(1+rng.IntN(12), Field).Path(c).At(utc, &h)
		band := NewBand(2 * math.Pow(14, rng.Float64()))
		last, lastChance := math.Inf(-1), -1.0
		var off, r Prediction
		for foes := 0.0; foes < 20; foes = foes*1.05 + 0.1 {
			for k := range h.es {
				h.es[k] = foEs{foes / 2, foes, foes * 1.7}
			}
			h.Predict(&band, &r)
			chance := h.SporadicE(band.MHz)[0].Chance
			if foes == 0 {
				off = r
				if r.Mode&^15 == layerEs || chance != 0 {
					t.Errorf("%+v: %+v of a layer of 0 MHz, chance %g", c, r, chance)
				}
			}
			if r.Signal < last-1e-9 || chance < lastChance {
				t.Errorf("%+v, %g MHz: %.6f dBW at foEs %g, %.6f at less; chance %g, %g", c, band.MHz, r.Signal, foes, last, chance, lastChance)
			}
			last, lastChance = r.Signal, chance
		}
		if !(last > off.Signal-1e-9) {
			t.Errorf("%+v: %g dBW without, %g at foEs 20", c, off.Signal, last)
		}
	}
}

// The chance is what the maps of foEs mean: nine tenths of days at the lower value, half
// at the median, a tenth at the upper; no spread is a step; it falls with frequency.
func TestSporadicEChance(t *testing.T) {
	e := foEs{2, 3, 6}
	for x, want := range map[float64]float64{2: 0.9, 3: 0.5, 6: 0.1} {
		if got := e.reached(x); math.Abs(got-want) > 1e-12 {
			t.Errorf("foEs 2, 3, 6 reaches %g on %g of days, want %g", x, got, want)
		}
	}
	for x := 0.1; x < 30; x += 0.1 {
		if e.reached(x+0.1) > e.reached(x) {
			t.Errorf("reached more often at %g than at %g MHz", x+0.1, x)
		}
	}
	for _, c := range []struct {
		e       foEs
		x, want float64
	}{{foEs{3, 3, 3}, 2.9, 1}, {foEs{3, 3, 3}, 3.1, 0}, {foEs{0, 3, 6}, 1, 0.5}, {foEs{0, 0, 6}, 1, 0}} {
		if got := c.e.reached(c.x); got != c.want {
			t.Errorf("%+v reaches %g on %g of days, want %g", c.e, c.x, got, c.want)
		}
	}
}

// By the triangle of earth's centre, station and mirror, by another road than the
// engine's: the longest hop leaves level at 2 R0 acos(R0/(R0 + 110)) = 2,351 km, and sec i
// is there (R0 + h)/√(h (2 R0 + h)); overhead it is 1. The MUF of a hop is foEs sec i.
func TestSporadicEGeometry(t *testing.T) {
	longest := 2 * r0Km * math.Acos(r0Km/(r0Km+hE))
	if math.Abs(longest-2351) > 1 {
		t.Errorf("longest hop %.1f km", longest)
	}
	for _, c := range []struct{ d, Δ, sec float64 }{
		{longest, 0, (r0Km + hE) / math.Sqrt(hE*(2*r0Km+hE))},
		{0.01, 90, 1},
	} {
		e, ok := newEsHop(c.d, 1)
		if !ok || math.Abs(e.y.elevationDeg()-c.Δ) > 0.01 || math.Abs(e.y.sec-c.sec) > 1e-6 {
			t.Errorf("%g km: elevation %.4f°, sec i %.6f, want %g° and %.6f", c.d, e.y.elevationDeg(), e.y.sec, c.Δ, c.sec)
		}
	}
	// Any hop between: the law of cosines and of sines.
	for d := 50.0; d < longest; d += 50 {
		θ := d / 2 / r0Km
		slant := math.Sqrt(r0Km*r0Km + (r0Km+hE)*(r0Km+hE) - 2*r0Km*(r0Km+hE)*math.Cos(θ))
		sec := 1 / math.Sqrt(1-math.Pow(r0Km*math.Sin(θ)/slant, 2))
		if e, _ := newEsHop(d, 1); math.Abs(e.y.sec-sec) > 1e-9*sec || math.Abs(e.y.p-2*slant) > 1e-6 {
			t.Errorf("%g km: sec i %.9f, slant %.6f km, want %.9f and %.6f", d, e.y.sec, e.y.p, sec, 2*slant)
		}
	}
	// The horizon takes 100 dB where hops are no longer looked at: none is cut off loudly.
	if e, ok := newEsHop(esReachKm, 1); !ok || math.Abs(e.horizon-100) > 1e-9 {
		t.Errorf("longest hop looked at: %v, horizon %g dB", ok, e.horizon)
	}
}

// With sporadic E answers step at the method's own places only.
func TestContinuityWithSporadicE(t *testing.T) {
	rounds := 12
	if testing.Short() {
		rounds = 2
	}
	continuity(t, rounds, Options{SporadicE: true})
}

// From 1 to 3,999 km on a summer night on 10 MHz, where sporadic E rules: no metre steps
// but at 2,000 km, the method's own.
func TestSporadicEOverDistance(t *testing.T) {
	sky := esSky(6, Field)
	var a answer
	s := spot{36, 140, 200, 0, 14, 18, noise.Rural}
	last, ruled := math.NaN(), 0
	for d := 20.0; d < hopMax; d += 0.5 {
		s.dKm = d
		s.ask(sky, &a)
		if a.out.Mode&^15 == layerEs {
			ruled++
		}
		// The steepest is where the horizon's term fades: exp[(d−1660)/280]/280 dB a km.
		if d > 20 && math.Abs(d-eMax) > 1 && math.Abs(d-2500) > 1 && math.Abs(a.out.Field-last) > 0.35 {
			t.Errorf("%g km: field %.3f dB, %.3f half a km before (%v)", d, a.out.Field, last, a.out.Mode)
		}
		last = a.out.Field
	}
	if ruled < 2000 {
		t.Errorf("sporadic E rules at %d of 7,960 distances", ruled)
	}
}

func BenchmarkBatchWithSporadicE(b *testing.B) {
	batch := benchBatch()
	batch.Sky = esSky(6, Field)
	predict1000(b, batch)
}
