package antenna

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// rows reads a check table: columns of words, # for comments.
func rows(t *testing.T, name string, want int) (rs [][]string) {
	t.Helper()
	f, err := os.Open("testdata/" + name + ".txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for sc := bufio.NewScanner(f); sc.Scan(); {
		if l := sc.Text(); !strings.HasPrefix(l, "#") {
			rs = append(rs, strings.Fields(l))
		}
	}
	if len(rs) != want {
		t.Fatalf("%s has %d rows, want %d", name, len(rs), want)
	}
	return rs
}

func num(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// perfect stands in for a perfect conductor.
var perfect = earth.Ground{SigmaSm: 1e9, EpsR: 1}

func ground(t *testing.T, name string) earth.Ground {
	t.Helper()
	if name == "perfect" {
		return perfect
	}
	g, ok := earth.GroundByName(name)
	if !ok {
		t.Fatalf("no ground %q", name)
	}
	return g
}

func solve(t testing.TB, s Spec, f unit.Freq) *Pattern {
	t.Helper()
	p, err := Solve(s, f)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// lossless is an earth connection too good to matter (0 would mean the default).
const lossless = 1e-9

// printed is how far a figure of two decimals may be off: its rounding and ours.
const printed = 0.0075

// cut compares a row of gains with the formulas and, where no null is filled, with the lookup.
func cut(t *testing.T, what string, p *Pattern, az float64, els []float64, want []string, addDB float64) {
	t.Helper()
	top := float64(unit.RatioDB(p.top))
	for i, el := range els {
		w := num(t, want[i])
		direct := float64(unit.RatioDB(p.exact(az, el))) + addDB
		if !(math.Abs(direct-w) < printed) {
			t.Errorf("%s, azimuth %g, elevation %g: %.3f dBi by the formulas, notes say %.2f, tolerance %g", what, az, el, direct, w, printed)
		}
		if g := p.GainDBi(az, el) + addDB; w-addDB > top-nullFloorDB+0.1 && !(math.Abs(g-w) < 0.02) {
			t.Errorf("%s, azimuth %g, elevation %g: %.3f dBi looked up, notes say %.2f, tolerance 0.02", what, az, el, g, w)
		}
	}
}

var nine = []float64{5, 10, 15, 20, 30, 45, 60, 75, 90}

// Source: antennas.md §12, as in our notes; also the three overhead figures
// (6.0, 4.4 and −0.4 dBi at 7 MHz over average ground) are rows of it.
func TestDipoleTable(t *testing.T) {
	for _, r := range rows(t, "dipole", 72) {
		f := unit.Freq(num(t, r[2])) * unit.MHz
		h := num(t, r[0]) * c0 / f.MHz()
		p := solve(t, Spec{Kind: Dipole, Height: unit.Length(h), Ground: ground(t, r[1])}, f)
		halfWave(t, strings.Join(r[:3], " "), p, r)
	}
}

// Source: antennas.md §12, as in our notes.
func TestInvertedVTable(t *testing.T) {
	for _, r := range rows(t, "inverted-v", 24) {
		f := unit.Freq(num(t, r[2])) * unit.MHz
		h := 0.2 * c0 / f.MHz()
		p := solve(t, Spec{Kind: InvertedV, Height: unit.Length(h), Apex: unit.Angle(num(t, r[0])) * unit.Degree, Ground: ground(t, r[1])}, f)
		halfWave(t, strings.Join(r[:3], " "), p, r)
	}
}

func halfWave(t *testing.T, what string, p *Pattern, r []string) {
	t.Helper()
	if R := num(t, r[3]); !(math.Abs(p.Resistance()-R) < 0.0075) {
		t.Errorf("%s: R = %.4f ohm, notes say %.2f", what, p.Resistance(), R)
	}
	if η := num(t, r[4]); !(math.Abs(-p.LossDB()-η) < printed) {
		t.Errorf("%s: η = %.4f dB, notes say %.2f", what, -p.LossDB(), η)
	}
	cut(t, what, p, 90, nine, r[5:14], 0)
	cut(t, what, p, 0, nine[:8], r[14:22], 0)
}

// Source: antennas.md §12 and §6, as in our notes.
func TestVerticalTable(t *testing.T) {
	for _, r := range rows(t, "vertical", 12) {
		f := unit.Freq(num(t, r[1])) * unit.MHz
		p := solve(t, Spec{Kind: Vertical, EarthOhm: lossless, Ground: ground(t, r[0])}, f)
		what := strings.Join(r[:2], " ")
		if η := num(t, r[2]); !(math.Abs(-p.LossDB()-η) < printed) {
			t.Errorf("%s: P_up/P_r = %.4f dB, notes say %.2f", what, -p.LossDB(), η)
		}
		if g := p.MaxGainDBi(0, 0, 90); math.Abs(g-num(t, r[3])) > 0.01 {
			t.Errorf("%s: maximum %.3f dBi, notes say %s", what, g, r[3])
		}
		at := num(t, r[4])
		if p.GainDBi(0, at) < p.GainDBi(0, at-2) || p.GainDBi(0, at) < p.GainDBi(0, at+2) {
			t.Errorf("%s: no maximum near %g deg", what, at)
		}
		cut(t, what, p, 0, nine[:8], r[5:13], 0)
	}
	p := solve(t, Spec{Kind: Vertical, EarthOhm: lossless, Ground: perfect}, 7*unit.MHz)
	cut(t, "perfect", p, 0, nine[:8], strings.Fields("5.11 4.97 4.72 4.38 3.40 1.12 -2.42 -8.53"), 0)
}

// Source: antennas.md §12, as in our notes.
func TestWhipTable(t *testing.T) {
	for _, r := range rows(t, "whip", 8) {
		f := unit.Freq(num(t, r[1])) * unit.MHz
		cut(t, strings.Join(r[:2], " "), whip(t, f, ground(t, r[0])), 0, nine[:8], r[2:], 0)
	}
	// "R_r 0.3376 Ω, η −15.97 dB at 3.5 MHz; 1.3688 Ω, −10.21 dB at 7 MHz"
	for _, c := range []struct{ mhz, R, η float64 }{{3.5, 0.3376, -15.97}, {7, 1.3688, -10.21}} {
		p := whip(t, unit.Freq(c.mhz)*unit.MHz, perfect)
		if R := p.Resistance() - 13; math.Abs(R-c.R) > 1e-4 || math.Abs(-p.LossDB()-c.η) > printed {
			t.Errorf("%g MHz: R_r %.5f ohm, η %.3f dB; notes say %g, %g", c.mhz, R, -p.LossDB(), c.R, c.η)
		}
	}
}

// whip is 2.5 m high with R_c = 3 Ω and R_g = 10 Ω.
func whip(t *testing.T, f unit.Freq, g earth.Ground) *Pattern {
	X := whipReactance(2*math.Pi*f.MHz()/c0, 2.5, 3e-3)
	return solve(t, Spec{Kind: Whip, Length: 2.5, CoilQ: math.Abs(X) / 3, EarthOhm: 10, Ground: g}, f)
}

// backstay is a wire of 10 m at 60° over the sea with its feed at 2 m.
func backstay(lead bool) Spec {
	return Spec{Kind: Wire, Height: 2, Length: 10, Top: unit.Length(2 + 10*math.Sin(math.Pi/3)), Ground: earth.Sea, EarthLead: lead, EarthOhm: lossless}
}

// Source: antennas.md §12, as in our notes. Wires lean towards azimuth 0.
func TestBackstayTable(t *testing.T) {
	for _, r := range rows(t, "backstay", 9) {
		p := solve(t, backstay(false), unit.Freq(num(t, r[0]))*unit.MHz)
		what := r[0] + " MHz"
		// Two decimals, and our quadratures' 1e-4.
		if R := num(t, r[2]); math.Abs(p.Resistance()-R) > 0.006+1e-4*R {
			t.Errorf("%s: R = %.4f ohm, notes say %.2f", what, p.Resistance(), R)
		}
		if η := num(t, r[3]); math.Abs(-p.LossDB()-η) > printed {
			t.Errorf("%s: η = %.4f dB, notes say %.2f", what, -p.LossDB(), η)
		}
		cut(t, what, p, num(t, r[1]), nine, r[4:], p.LossDB())
	}
}

// Source: antennas.md §12, last paragraph, as in our notes.
func TestBackstayWithEarthLead(t *testing.T) {
	for _, c := range []struct {
		mhz, up, perfect float64
		d                string
	}{
		{4, 9.06, 9.71, "4.57 4.69 4.59 4.37 3.64 1.84 -1.07 -5.79 -10.90"},
		{8, 66.62, 73.52, "4.57 4.75 4.62 4.34 3.44 1.46 -1.04 -3.50 -4.62"},
		{12, 5701.77, 6494.01, "4.76 4.90 4.60 4.08 2.65 0.41 -0.67 -0.83 -0.81"},
	} {
		p := solve(t, backstay(true), unit.Freq(c.mhz)*unit.MHz)
		if R := p.Resistance(); math.Abs(R-c.perfect) > 0.006+1e-5*R {
			t.Errorf("%g MHz: R over perfect ground %.3f ohm, notes say %g", c.mhz, R, c.perfect)
		}
		if up := p.Resistance() / unit.DB(p.LossDB()).Ratio(); math.Abs(up-c.up) > 0.006+1e-5*up {
			t.Errorf("%g MHz: R_up %.3f ohm, notes say %g", c.mhz, up, c.up)
		}
		cut(t, "lead", p, 0, nine, strings.Fields(c.d), p.LossDB())
	}
}

// Other lengths at 0.25 λ, average ground, 7 MHz. Source: antennas.md §4, as in our notes.
func TestDipoleLengths(t *testing.T) {
	λ := c0 / 7.0
	for _, c := range []struct {
		L, Rm, η       float64
		broadside, end string
	}{
		{.25, 7.55, -1.13, "-4.07 1.19 3.70 5.36 5.81 5.75", "-13.41 -8.55 -3.82 1.27 4.06"},
		{.75, 210.53, -1.01, "-3.21 2.05 4.56 6.21 6.67 6.60", "-18.12 -12.69 -7.11 -.54 3.63"},
		{1, 230.71, -.94, "-2.24 3.02 5.53 7.19 7.64 7.58", "-45.61 -28.64 -16.81 -4.75 2.48"},
		{1.25, 126.83, -1.08, "-1.01 4.25 6.76 8.42 8.87 8.80", "-11.90 -7.80 -4.74 -6.95 -4.70"},
	} {
		p := solve(t, Spec{Kind: Dipole, Height: unit.Length(λ / 4), Length: unit.Length(c.L * λ)}, 7*unit.MHz)
		if math.Abs(p.LoopResistance()-c.Rm) > 0.006 || math.Abs(-p.LossDB()-c.η) > printed {
			t.Errorf("L = %g λ: R_m %.3f ohm, η %.3f dB; notes say %g, %g", c.L, p.LoopResistance(), -p.LossDB(), c.Rm, c.η)
		}
		els := []float64{10, 20, 30, 45, 60, 90}
		cut(t, "length", p, 90, els, strings.Fields(c.broadside), 0)
		cut(t, "length", p, 0, els[:5], strings.Fields(c.end), 0)
	}
}

// Vertical half-wave dipole in the air. Source: antennas.md §11 and §3, as in our notes.
func TestVerticalDipoleInTheAir(t *testing.T) {
	for _, c := range []struct {
		ground string
		centre float64 // λ
		R      float64
		η      float64
		gains  string
	}{
		{"average", 0.3, 83.84310, -5.45, "-2.90 .34 1.06 -1.21 -8.12 -13.71"},
		{"sea", 0.3, 87.6317, -.68, "6.49 6.30 4.38 .75 -9.60 -23.47"},
		{"dry", 0.5, 70.92958, math.NaN(), ""},
	} {
		f := 7 * unit.MHz
		λ := c0 / f.MHz()
		k := 2 * math.Pi / λ
		w := wires{k: k, ε: permittivity(ground(t, c.ground), f), axial: true}
		h, l := c.centre*λ, λ/4
		w.add(newArm(k, h, 0, 1, l, l, 1))
		w.add(newArm(k, h, 0, -1, l, l, -1))
		w.feedI = 1
		_, up, _ := w.sample(1)
		total := up + w.intoGround(1)
		if math.Abs(2*total/c.R-1) > 2e-4 {
			t.Errorf("centre at %g λ over %s ground: R %.5f ohm, notes say %g", c.centre, c.ground, 2*total, c.R)
		}
		if c.gains == "" {
			continue
		}
		p := &Pattern{w: w, pin: total}
		if η := 10 * math.Log10(up/total); math.Abs(η-c.η) > printed {
			t.Errorf("%s: η %.4f dB, notes say %g", c.ground, η, c.η)
		}
		for i, el := range []float64{5, 10, 20, 30, 45, 60} {
			want := num(t, strings.Fields(c.gains)[i])
			if g := float64(unit.RatioDB(p.exact(0, el))); math.Abs(g-want) > printed {
				t.Errorf("%s, %g deg: %.3f dBi, notes say %g", c.ground, el, g, want)
			}
		}
	}
}
