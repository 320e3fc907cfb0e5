package circuit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// literalRandom draws a circuit: a third to 500 km, a third to 4000, a third anywhere.
func literalRandom(rng *rand.Rand) literalIn {
	anywhere := func() (φ, λ float64) {
		return math.Asin(2*rng.Float64()-1) / literalDeg, 360*rng.Float64() - 180
	}
	in := literalIn{
		Year: 2000 + rng.IntN(30), Month: 1 + rng.IntN(12), UTC: 24 * rng.Float64(), SSN: -10 + 210*rng.Float64(),
		FMHz: 2 * math.Pow(15, rng.Float64()), PowerW: math.Pow(10, 3.5*rng.Float64()), BandwidthHz: 3000, NeedSNR: 6,
		Env: []string{"city", "residential", "rural", "quiet-rural"}[rng.IntN(4)],
	}
	in.FromLat, in.FromLon = anywhere()
	in.ToLat, in.ToLon = anywhere()
	if limit := [3]float64{500, 4000, 0}[rng.IntN(3)]; limit > 0 {
		in.ToLat, in.ToLon = literalAlong(in.FromLat, in.FromLon, 360*rng.Float64(), limit*(0.02+0.98*rng.Float64()))
	}
	in.Strict = rng.IntN(2) == 0
	return in
}

// Laws that hold whatever the constants: valid inputs give numbers; the MUF and the
// strongest mode do not know which end sends; ten times the power is 10 dB where no
// Rop changes hands; ten times the bandwidth is 10 dB of noise.
func TestLiteralLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(20, 26))
	arrived := 0
	for range 150 {
		in := literalRandom(rng)
		out := literal(in)
		if out.NearThreshold {
			continue
		}
		numbers := []float64{out.DistanceKm, out.AzimuthDeg, out.BasicMUF, out.OperationalMUF, out.OWF, out.NoiseDBW}
		if out.Arrives {
			arrived++
			numbers = append(numbers, out.FieldDBuVm, out.SignalDBW, out.SNR, out.SNRUpper, out.SNRLower, out.Reliability, out.DelayMs)
			if out.Mode != "long" {
				numbers = append(numbers, out.ElevationDeg)
			}
		}
		for i, x := range numbers {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%+v: number %d is %g in %+v", in, i, x, out)
			}
		}
		if out.Arrives && !(out.SNRLower < out.SNR && out.SNR < out.SNRUpper && out.Reliability >= 0 && out.Reliability <= 1) {
			t.Errorf("%+v: deciles out of order in %+v", in, out)
		}

		back := in
		back.FromLat, back.FromLon, back.ToLat, back.ToLon = in.ToLat, in.ToLon, in.FromLat, in.FromLon
		if other := literal(back); !other.NearThreshold {
			literalCheck(t, "basic MUF the other way", other.BasicMUF, out.BasicMUF, 1e-8)
			if out.Arrives {
				literalCheck(t, "field the other way", other.FieldDBuVm, out.FieldDBuVm, 1e-6)
			}
		}

		strong, wide := in, in
		strong.PowerW *= 10
		wide.BandwidthHz *= 10
		if out.Arrives {
			literalCheck(t, "SNR at ten times the power", literal(strong).SNR, out.SNR+10, 1e-9*math.Max(1, math.Abs(out.SNR)))
			literalCheck(t, "SNR in ten times the bandwidth", literal(wide).SNR, out.SNR-10, 1e-9*math.Max(1, math.Abs(out.SNR)))
		}
	}
	if arrived < 75 {
		t.Errorf("%d of 150 random circuits arrive, want most", arrived)
	}
}

// The way round the other side: same ends, the rest of the circle, and only the
// long-path method.
func TestLiteralLongWay(t *testing.T) {
	in := literalIn{FromLat: 52, FromLon: -10, ToLat: 40, ToLon: -60, Year: 2026, Month: 3, UTC: 9.5, SSN: 70,
		FMHz: 14, PowerW: 100, BandwidthHz: 3000, NeedSNR: 0, Env: "rural"}
	short := literal(in)
	in.Long = true
	long := literal(in)
	literalCheck(t, "both ways together", short.DistanceKm+long.DistanceKm, 2*math.Pi*literalR0, 1e-9)
	literalCheck(t, "azimuths", math.Mod(long.AzimuthDeg-short.AzimuthDeg+360, 360), 180, 1e-9)
	if long.Mode != "long" || !math.IsNaN(long.ElevationDeg) || !long.Arrives {
		t.Errorf("long way: mode %q, elevation %g, arrives %v", long.Mode, long.ElevationDeg, long.Arrives)
	}
}

// What lies on a branch is reported: a path of 2500 km, where Lh changes its table, and
// a frequency at the MUF.
func TestLiteralNear(t *testing.T) {
	in := literalIn{FromLat: 10, FromLon: 20, ToLat: 30, ToLon: 40, Year: 2026, Month: 4, UTC: 10.3, SSN: 70,
		FMHz: 7, PowerW: 100, BandwidthHz: 3000, NeedSNR: 0, Env: "rural"}
	if out := literal(in); out.NearThreshold {
		t.Error("an ordinary circuit is taken to lie on a branch")
	}
	at := in
	at.ToLat, at.ToLon = literalAlong(at.FromLat, at.FromLon, 33, 2500)
	if out := literal(at); !out.NearThreshold {
		t.Error("2500 km is not seen as a branch of Lh")
	}
	at = in
	at.FMHz = literal(in).BasicMUF
	if out := literal(at); !out.NearThreshold {
		t.Error("a frequency at the MUF is not seen as a branch of Lm")
	}
}

// The LUF is the first rung of its ladder that carries, and is not moved by the
// question's own frequency.
func TestLiteralLUF(t *testing.T) {
	in := literalIn{FromLat: 38.5, FromLon: -28.6, ToLat: 52.1, ToLon: -10.3, Year: 2026, Month: 11, UTC: 12, SSN: 80,
		FMHz: 25, PowerW: 100, BandwidthHz: 3000, NeedSNR: 6, Env: "rural"}
	mhz, ok := literalLUF(in)
	if !ok {
		t.Fatal("no LUF at noon over 2,071 km")
	}
	in.FMHz = mhz
	if out := literal(in); !(out.SNR >= 6) {
		t.Errorf("SNR at the LUF of %g MHz = %g dB, want 6 or more", mhz, out.SNR)
	}
	in.FMHz = mhz - 0.1
	if out := literal(in); out.SNR >= 6 {
		t.Errorf("SNR 0.1 MHz below the LUF of %g MHz = %g dB, want less than 6", mhz, out.SNR)
	}
	in.NeedSNR = 200
	if mhz, ok := literalLUF(in); ok {
		t.Errorf("LUF for 200 dB = %g MHz, want none", mhz)
	}
}
