package antenna

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// What goes up, read back from the finished pattern over the whole hemisphere, is
// what the loss says: (1/4π) ∫ G dΩ = P_up/P_in. An independent sum (midpoints).
func TestEnergyIsConserved(t *testing.T) {
	for _, s := range []Spec{
		{Kind: Dipole, Height: 5, Ground: earth.Sea},
		{Kind: InvertedV, Height: 25, Length: 30, Ground: earth.Dry, TunerLoss: 1},
		{Kind: Wire, Height: 3, Top: 14, Length: 12.5, Ground: earth.Sea, TunerLoss: 2.5},
		{Kind: Wire, Height: 3, Top: 14, Length: 12.5, Ground: earth.Sea, EarthLead: true},
		{Kind: Vertical},
		{Kind: Whip, Length: 3, Ground: earth.Wet},
	} {
		for _, f := range []unit.Freq{2 * unit.MHz, 7 * unit.MHz, 18 * unit.MHz} {
			p := solve(t, s, f)
			sum := 0.0
			const n, m = 300, 48
			for i := range n {
				Δ := math.Pi / 2 * (float64(i) + 0.5) / n
				for j := range m {
					sum += math.Cos(Δ) * p.exact(360*float64(j)/m, Δ*180/math.Pi)
				}
			}
			share := sum * math.Pi / 2 / n * 2 * math.Pi / m / (4 * math.Pi)
			if d := 10*math.Log10(share) + p.LossDB(); math.Abs(d) > 0.001 {
				t.Errorf("%s at %g MHz: the pattern holds %.5f of the power, the loss says %.5f (%.4f dB off)",
					s.Kind, f.MHz(), share, unit.DB(-p.LossDB()).Ratio(), d)
			}
			if p.LossDB() < 0 {
				t.Errorf("%s at %g MHz: loss of %g dB is a gain", s.Kind, f.MHz(), p.LossDB())
			}
		}
	}
}

// Over a perfect conductor, with a perfect earth connection, nothing is lost.
func TestNothingLostWithoutLosses(t *testing.T) {
	for _, s := range []Spec{
		{Kind: Dipole, Height: 8},
		{Kind: InvertedV, Height: 15},
		{Kind: Wire, Height: 3, Top: 14, Length: 12.5},
		{Kind: Wire, Height: 3, Top: 14, Length: 12.5, EarthLead: true},
		{Kind: Vertical, Length: 5},
	} {
		s.Ground, s.EarthOhm = perfect, lossless
		p := solve(t, s, 10*unit.MHz)
		if p.LossDB() < 0 || p.LossDB() > 0.002 {
			t.Errorf("%s: loses %g dB", s.Kind, p.LossDB())
		}
		if d := p.DirectivityDBi(40, 30) - p.GainDBi(40, 30); math.Abs(d-p.LossDB()) > 1e-9 {
			t.Errorf("%s: directivity is %g dB over the gain, loss %g dB", s.Kind, d, p.LossDB())
		}
	}
}

// A tuner, an earth connection and a coil take from the gain what they add to the
// loss, and leave the directivity as it is.
func TestLossesLeaveTheDirectivity(t *testing.T) {
	for _, c := range []struct {
		name      string
		good, bad Spec
	}{
		{"tuner", Spec{Kind: Wire, Height: 3, Top: 14, Length: 12.5}, Spec{Kind: Wire, Height: 3, Top: 14, Length: 12.5, TunerLoss: 2.5}},
		{"earth", Spec{Kind: Vertical, EarthOhm: 2}, Spec{Kind: Vertical, EarthOhm: 60}},
		{"coil", Spec{Kind: Whip, Length: 2.5, CoilQ: 300}, Spec{Kind: Whip, Length: 2.5, CoilQ: 60}},
		{"wire", Spec{Kind: Dipole, Height: 6}, Spec{Kind: Dipole, Height: 6, Radius: 5e-4, SigmaWireSm: 1.4e6}},
	} {
		a, b := solve(t, c.good, 4*unit.MHz), solve(t, c.bad, 4*unit.MHz)
		lost := b.LossDB() - a.LossDB()
		if lost < 0.1 {
			t.Errorf("%s: loses only %g dB more", c.name, lost)
		}
		for _, el := range []float64{0, 12, 50} {
			if d := a.GainDBi(70, el) - b.GainDBi(70, el); math.Abs(d-lost) > 1e-9 {
				t.Errorf("%s at %g deg: gain falls by %g dB, loss rises by %g", c.name, el, d, lost)
			}
			if d := a.DirectivityDBi(70, el) - b.DirectivityDBi(70, el); math.Abs(d) > 1e-9 {
				t.Errorf("%s at %g deg: directivity moves by %g dB", c.name, el, d)
			}
		}
	}
	tuned := solve(t, Spec{Kind: Dipole, Height: 6, TunerLoss: 1.5}, 4*unit.MHz)
	plain := solve(t, Spec{Kind: Dipole, Height: 6}, 4*unit.MHz)
	if d := tuned.LossDB() - plain.LossDB(); math.Abs(d-1.5) > 1e-9 {
		t.Errorf("a tuner of 1.5 dB adds %g dB", d)
	}
}

// Turning an antenna turns its pattern; a dipole is the same at both ends and on
// both sides; every antenna here is the same left and right of its own axis.
func TestSymmetry(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, s := range []Spec{
		{Kind: Dipole, Height: 9}, {Kind: InvertedV, Height: 11}, {Kind: Wire, Height: 3, Top: 14, Length: 12.5}, {Kind: Vertical},
	} {
		north := solve(t, s, 9*unit.MHz)
		s.Bearing = 73 * unit.Degree
		turned := solve(t, s, 9*unit.MHz)
		for range 200 {
			az, el := r.Float64()*720-360, r.Float64()*90
			g := north.GainDBi(az, el)
			if h := turned.GainDBi(az+73, el); math.Abs(g-h) > 1e-9 {
				t.Fatalf("%s turned by 73 deg: %g dBi becomes %g at %g/%g", s.Kind, g, h, az, el)
			}
			if h := north.GainDBi(-az, el); math.Abs(g-h) > 1e-9 {
				t.Fatalf("%s: %g dBi right, %g left at %g/%g", s.Kind, g, h, az, el)
			}
			if h := north.GainDBi(180-az, el); s.Kind != Wire && math.Abs(g-h) > 1e-9 {
				t.Fatalf("%s: %g dBi at one end, %g at the other at %g/%g", s.Kind, g, h, az, el)
			}
		}
	}
	// By the formulas too, where the grid was mirrored.
	p := solve(t, Spec{Kind: InvertedV, Height: 11}, 9*unit.MHz)
	if a, b := p.exact(30, 25), p.exact(150, 25); math.Abs(a/b-1) > 1e-12 {
		t.Errorf("inverted V by the formulas: %g at 30 deg, %g at 150", a, b)
	}
	// A backstay leaning north over the sea is a little stronger to the south, low down (§12).
	b := solve(t, backstay(false), 8*unit.MHz)
	if b.GainDBi(180, 10) <= b.GainDBi(0, 10) {
		t.Errorf("backstay: %g dBi behind, %g ahead", b.GainDBi(180, 10), b.GainDBi(0, 10))
	}
}

// A flat inverted V is a dipole; a wire that stands is a vertical wire at all azimuths.
func TestOneAntennaTwoNames(t *testing.T) {
	a := solve(t, Spec{Kind: Dipole, Height: 7}, 7*unit.MHz)
	b := solve(t, Spec{Kind: InvertedV, Height: 7, Apex: 180 * unit.Degree}, 7*unit.MHz)
	if a.GainDBi(20, 30) != b.GainDBi(20, 30) || a.LossDB() != b.LossDB() {
		t.Errorf("dipole %g dBi, flat inverted V %g", a.GainDBi(20, 30), b.GainDBi(20, 30))
	}
	up := solve(t, Spec{Kind: Wire, Height: 2, Top: 10, Length: 8}, 7*unit.MHz)
	if d := up.GainDBi(10, 30) - up.GainDBi(190, 30); math.Abs(d) > 1e-9 {
		t.Errorf("a standing wire differs by %g dB round the compass", d)
	}
	// With its lead the standing wire is a vertical of the whole length.
	lead := solve(t, Spec{Kind: Wire, Height: 2, Top: 10, Length: 8, EarthLead: true}, 7*unit.MHz)
	whole := solve(t, Spec{Kind: Vertical, Length: 10}, 7*unit.MHz)
	if d := lead.GainDBi(0, 20) - whole.GainDBi(0, 20); math.Abs(d) > 0.002 {
		t.Errorf("standing wire with lead %g dBi, vertical %g", lead.GainDBi(0, 20), whole.GainDBi(0, 20))
	}
}

// Lower and lower the soil takes more and more, without a jump; the operator is
// told where the model stops being safe.
func TestDipoleComingDown(t *testing.T) {
	λ := c0 / 7.0
	last := 0.0
	for h := 0.12 * λ; h > minHeightM; h *= 0.9 {
		p := solve(t, Spec{Kind: Dipole, Height: unit.Length(h)}, 7*unit.MHz)
		if p.LossDB() <= last || last > 0 && p.LossDB() > last+1.5 {
			t.Fatalf("at %.3f λ the loss is %.3f dB, a little higher %.3f", h/λ, p.LossDB(), last)
		}
		last = p.LossDB()
		if unsafe := h < 0.04*λ; unsafe != (len(p.Notes()) > 0) {
			t.Fatalf("at %.3f λ the notes are %q", h/λ, p.Notes())
		}
	}
	if last < 15 { // from 3 dB at 0.12 λ; without the near field of the soil it would be under 9
		t.Errorf("a dipole at %g m loses only %g dB", minHeightM, last)
	}
}

// Near a current node the power stays finite and continuous though R does not.
func TestAcrossTheCurrentNode(t *testing.T) {
	var before float64
	for i := range 101 {
		f := unit.Freq(11.9+0.002*float64(i)) * unit.MHz // half a wave of 12.5 m is 11.99 MHz
		p := solve(t, Spec{Kind: Wire, Height: 3, Top: 14, Length: 12.5, Ground: earth.Sea}, f)
		g := p.GainDBi(0, 20)
		if i > 0 && math.Abs(g-before) > 0.005 {
			t.Fatalf("at %.4f MHz the gain jumps from %g to %g dBi", f.MHz(), before, g)
		}
		before = g
	}
}

// The ends of the scale: NaN in, NaN out; below the horizon as at it; no dead null.
func TestCorners(t *testing.T) {
	p := solve(t, Spec{Kind: Dipole, Height: 10, Bearing: 30 * unit.Degree}, 7*unit.MHz)
	top := p.topDBi()
	for _, c := range []struct{ az, el float64 }{{math.NaN(), 10}, {10, math.NaN()}, {math.Inf(1), 10}} {
		if g := p.GainDBi(c.az, c.el); !math.IsNaN(g) {
			t.Errorf("gain at %g/%g is %g, want NaN", c.az, c.el, g)
		}
	}
	for az := -720.0; az <= 720; az += 7.5 {
		for _, el := range []float64{-90, -3, 0, 1e-12, 45, 89.999999, 90, 95, 180} {
			if g := p.GainDBi(az, el); !(g >= top-nullFloorDB-1e-9 && g <= top+1e-9) {
				t.Fatalf("gain at %g/%g is %g dBi, outside %g to %g", az, el, g, top-nullFloorDB, top)
			}
		}
		if p.GainDBi(az, -5) != p.GainDBi(az, 0) {
			t.Fatalf("below the horizon %g dBi, at it %g", p.GainDBi(az, -5), p.GainDBi(az, 0))
		}
		// Overhead all azimuths are one direction; the interpolation knows it to 0.002 dB.
		if d := p.GainDBi(az, 90) - p.GainDBi(0, 90); math.Abs(d) > 0.002 {
			t.Fatalf("overhead the gain turns with azimuth by %g dB", d)
		}
	}
	iso := solve(t, Spec{Kind: Isotropic}, 7*unit.MHz)
	for _, el := range []float64{-10, 0, 90} {
		if iso.GainDBi(10, el) != 0 || iso.DirectivityDBi(10, el) != 0 || iso.LossDB() != 0 || iso.GroundWaveDBi(0) != 0 {
			t.Errorf("isotropic at %g deg is not 0 dBi without loss", el)
		}
	}
	if g := iso.MaxGainDBi(0, 0, 90); g != 0 {
		t.Errorf("isotropic at most %g dBi", g)
	}
}

func TestMaxGain(t *testing.T) {
	p := solve(t, Spec{Kind: Dipole, Height: 21.4}, 7*unit.MHz) // half a wave high: a lobe at 28° or so
	for _, c := range [][2]float64{{0, 90}, {0, 8}, {60, 20}, {29, 31}, {85, 85}} {
		want := math.Inf(-1)
		for el := min(c[0], c[1]); el <= max(c[0], c[1]); el += 0.01 {
			want = max(want, p.GainDBi(90, el))
		}
		if g := p.MaxGainDBi(90, c[0], c[1]); math.Abs(g-want) > 0.01 {
			t.Errorf("greatest gain from %g to %g deg is %.4f dBi, by steps of 0.01 deg %.4f", c[0], c[1], g, want)
		}
	}
}

// A horizontal wire sends along the ground only by the tilt of the wave: end-on so
// many dB below a vertical of the same moment, broadside nothing.
// Source: "groundwave.md, as in our notes", §8, 5 MHz.
func TestGroundWaveOfHorizontalWire(t *testing.T) {
	for _, c := range []struct {
		g  earth.Ground
		dB float64
	}{{earth.Sea, -42.5}, {earth.Wet, -16.8}, {earth.Average, -14.1}, {earth.MediumDry, -12.2}, {earth.VeryDry, -6.5}} {
		k := 2 * math.Pi * 5 / c0
		flat := wires{k: k, ε: permittivity(c.g, 5*unit.MHz)}
		flat.add(newArm(k, 5, 1, 0, 0.5, 0.5, 1))
		up := flat
		up.arms[0] = newArm(k, 5, 0, 1, 0.5, 0.5, 1)
		if d := 10 * math.Log10(flat.groundWave(0)/up.groundWave(0)); math.Abs(d-c.dB) > 0.06 {
			t.Errorf("%+v: end-on %.2f dB, notes say %g", c.g, d, c.dB)
		}
		if flat.groundWave(math.Pi/2) > 1e-25*up.groundWave(0) {
			t.Errorf("%+v: broadside is not nothing", c.g)
		}
	}
	p := solve(t, Spec{Kind: Dipole, Height: 8}, 5*unit.MHz)
	if g := p.GroundWaveDBi(90); g != NoGroundWaveDBi {
		t.Errorf("dipole broadside: %g dBi along the ground", g)
	}
	// What a sloping wire sends towards the horizon, divided by what the ground leaves of
	// it there, (1 + ρ_v)/2, tends to its ground wave, tilt and its sign included: a
	// second road through the far field of §2. Close to the ground, where a wave along
	// it has no height gain yet.
	for _, g := range []earth.Ground{earth.Sea, earth.Average, earth.VeryDry} {
		k := 2 * math.Pi * 5 / c0
		w := wires{k: k, ε: permittivity(g, 5*unit.MHz)}
		w.add(newArm(k, 0.01, math.Sqrt(0.75), 0.5, 0.1, 0.1, 1))
		for _, φ := range []float64{0, 1, math.Pi} {
			r := w.ray(1e-6)
			sin, cos := math.Sincos(φ)
			m := w.moments(&r, cos, sin)
			sky := w.perN2() * abs2(m.θd+r.ρv*m.θi) / abs2((1+r.ρv)/2)
			if d := 10 * math.Log10(sky/w.groundWave(φ)); math.Abs(d) > 0.02 {
				t.Errorf("%+v, φ = %g: ground wave %.3f dB from the far field's limit", g, φ, d)
			}
		}
	}
}

// A short vertical by its simple formula, another road to the same gain.
//
//	G = 3 η cos²Δ |(1 + ρ_v)/2|²,   η = R_r/(R_r + R_g + R_c)
//
// Source: antennas.md §6, as in our notes, for h < 0.1 λ: a form for a vanishing
// height; over land it is off in proportion to kh, 0.01 dB at h = 0.008 λ.
func TestShortVertical(t *testing.T) {
	for _, g := range []earth.Ground{earth.Sea, earth.Average, earth.Dry} {
		p := solve(t, Spec{Kind: Vertical, Length: 0.5, Ground: g, EarthOhm: 5}, 5*unit.MHz)
		η := (p.Resistance() - 5) / p.Resistance()
		for _, el := range []float64{5, 20, 45, 60} {
			sin, cos := math.Sincos(el * math.Pi / 180)
			ρv, _ := fresnel(permittivity(g, 5*unit.MHz), sin)
			want := 10 * math.Log10(3*η*cos*cos*abs2((1+ρv)/2))
			if got := p.GainDBi(0, el); math.Abs(got-want) > 0.012 {
				t.Errorf("%+v, %g deg: %.4f dBi, by the short formula %.4f", g, el, got, want)
			}
		}
	}
}
