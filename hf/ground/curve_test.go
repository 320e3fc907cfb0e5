package ground

import (
	"math"
	"math/cmplx"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// Every kind of ground that has a name, and the ends of the ground class map.
var someGrounds = []earth.Ground{
	earth.Sea, earth.SeaLow, earth.GoodLand, earth.Wet, earth.Average, earth.FreshWater, earth.MediumDry, earth.Dry, earth.VeryDry, earth.Ice,
	{SigmaSm: 4, EpsR: 81}, {SigmaSm: 1e-5, EpsR: 5},
}

var someMHz = []float64{1.6, 2, 2.8, 3.5, 5, 7, 10, 14, 18, 22, 26, 30}

func curve(fMHz float64, g earth.Ground) *Curve { return NewCurve(unit.Freq(fMHz)*unit.MHz, g) }

// at stands in for a curve where only Q matters.
func at(Q complex128) *Curve {
	c := &Curve{Q: Q, contour: theContour()}
	c.findRoots()
	return c
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.7g, want %.7g ± %g", what, got, want, tol)
	}
}

func nearC(t *testing.T, what string, got, want complex128, tol float64) {
	t.Helper()
	if !(cmplx.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g ± %g", what, got, want, tol)
	}
}

// All 315 values of notes §11: half a unit of the last digit, and the 1.1·10⁻⁶ dB
// that double precision costs there.
func TestCheckTable(t *testing.T) {
	n, worst := 0, 0.0
	for _, r := range checkTable {
		c := curve(r.fMHz, r.g)
		near(t, "|Q|", cmplx.Abs(c.Q), r.absQ, 0.00051)
		near(t, "arg Q", cmplx.Phase(c.Q)*180/math.Pi, r.argQ, 0.0051)
		for i, dKm := range checkKm {
			got := c.FieldDBuVm(dKm)
			if off := math.Abs(got - r.E[i]); !(off <= 0.0005011) {
				t.Errorf("%v, %g MHz, %g km: %.5f dBµV/m, want %.3f ± 0.0005", r.g, r.fMHz, dKm, got, r.E[i])
			} else {
				worst = max(worst, off)
			}
			n++
		}
	}
	if n != 315 {
		t.Fatalf("%d values checked, want 315", n)
	}
	t.Logf("315 values, largest difference %.6f dB", worst)
}

// Notes §7, effective radius.
func TestEffectiveRadius(t *testing.T) {
	for _, r := range kappaTable {
		for κ, want := range r.E {
			got := newCurve(unit.Freq(r.fMHz)*unit.MHz, r.g, κ).FieldDBuVm(r.dKm)
			if math.Abs(got-want) > 0.0005011 {
				t.Errorf("%v, %g MHz, %g km, κ %.4g: %.5f, want %.3f ± 0.0005", r.g, r.fMHz, r.dKm, κ, got, want)
			}
		}
	}
}

// Intermediate values of notes §11.
func TestIntermediateValues(t *testing.T) {
	c := curve(5, earth.Average)
	near(t, "ν", c.ν, 76.351078, 5e-7)
	nearC(t, "Δ", c.Δ, .193587388+.043000773i, 1e-9)
	nearC(t, "Q", c.Q, 11.158802+10.233599i, 1e-6)
	near(t, "x(1 km)", c.xPerKm, .00898812, 5e-9)
	near(t, "x(100 km)", c.xPerKm*100, .89881193, 5e-9)
	u := c.Q * cmplx.Sqrt(complex(c.xPerKm, 0)*e30)
	nearC(t, "p(1 km)", -u*u, .8723334-1.8667174i, 1e-7)
	nearC(t, "F(1 km)", flat(-u*u), .03523728-.21622610i, 1e-8)
	nearC(t, "W(1 km)", c.near(c.xPerKm), .03514104-.21618333i, 1e-8)
	nearC(t, "W(10 km)", c.near(c.xPerKm*10), -.00921050-.02282147i, 1e-8)
	W, exponent := c.far(c.xPerKm * 100)
	nearC(t, "W(100 km)", W*complex(math.Exp(exponent), 0), -.00123316501-.00087169191i, 1e-11)

	c = curve(10, earth.Sea)
	nearC(t, "sea Q", c.Q, .26648888+.97906502i, 1e-8)
	near(t, "sea x(100 km)", c.xPerKm*100, 1.13243208, 5e-9)
	W, exponent = c.far(c.xPerKm * 100)
	// The notes print an imaginary part of −.34796623; 30-digit arithmetic with their Q
	// and x, as here, gives −.34796620345.
	nearC(t, "sea W(100 km)", W*complex(math.Exp(exponent), 0), -.29817149124-.34796620345i, 1e-10)
	nearC(t, "sea W(100 km)", W*complex(math.Exp(exponent), 0), -.29817149-.34796623i, 4e-8)
}

// 20 log|W| by reduced distance alone, notes §11. One value there is wrong: −25.4080616 for
// Q = 10∠50° at x = 0.1, where the power series in 60 digits and the contour with true
// Airy functions both give −25.4125928 (80 residues are not enough there).
func TestSphereByReducedDistance(t *testing.T) {
	xs := [...]float64{0.1, 0.3, 0.5, 1, 2, 5}
	for _, r := range []struct {
		Q    complex128
		want [6]float64
	}{
		{0, [6]float64{-0.0860623, -0.4471530, -0.9618078, -2.7131193, -7.5440000, -26.5182155}},
		{cmplx.Rect(10, 50*math.Pi/180), [6]float64{-25.4125928, -35.9515099, -41.3619262, -50.5674403, -65.6233573, -111.856818}},
	} {
		c := at(r.Q)
		for i, x := range xs {
			near(t, "20 log|W|", c.attenuationDB(x), r.want[i], 5.5e-7)
		}
	}
}

// Notes §8: a horizontal wire end-on is |Δ| below a vertical one, at 5 MHz.
func TestWaveTilt(t *testing.T) {
	for _, r := range []struct {
		g    earth.Ground
		want float64
	}{{earth.Sea, -42.5}, {earth.Wet, -16.8}, {earth.Average, -14.1}, {earth.MediumDry, -12.2}, {earth.VeryDry, -6.5}} {
		near(t, "20 log|Δ|", 20*math.Log10(cmplx.Abs(curve(5, r.g).Δ)), r.want, 0.051)
	}
}

// The two methods must meet: within 5·10⁻⁶ dB, as notes §6 has it.
func TestSeam(t *testing.T) {
	var worst float64
	for _, g := range someGrounds {
		for _, fMHz := range someMHz {
			c := curve(fMHz, g)
			for _, x := range []float64{0.35, contourTo, 0.42} {
				W, exponent := c.far(x)
				step := 20 * math.Log10(cmplx.Abs(W)*math.Exp(exponent)/cmplx.Abs(c.near(x)))
				bound := 5e-6
				if x < contourTo {
					bound = 5e-5 // 80 residues are no longer quite enough here
				}
				if !(math.Abs(step) < bound) {
					t.Errorf("%v, %g MHz, x = %g: residues − contour = %.2g dB, want below %g", g, fMHz, x, step, bound)
				}
				if x == contourTo {
					worst = max(worst, math.Abs(step))
				}
			}
			d := contourTo / c.xPerKm
			if step := c.FieldDBuVm(d*(1-1e-9)) - c.FieldDBuVm(d*(1+1e-9)); !(math.Abs(step) < 1e-5) {
				t.Errorf("%v, %g MHz: field steps by %g dB at %g km", g, fMHz, step, d)
			}
		}
	}
	t.Logf("largest step at x = %g: %.2g dB", contourTo, worst)
}

// Over one kind of ground the field falls with distance, to the antipode.
func TestFieldFalls(t *testing.T) {
	for _, g := range someGrounds {
		for _, fMHz := range someMHz {
			c := curve(fMHz, g)
			last := math.Inf(1)
			for d := leastKm; d < mostKm; d *= 1.01 {
				E := c.FieldDBuVm(d)
				if !(E < last) {
					t.Fatalf("%v, %g MHz: %g dBµV/m at %g km, not below %g before", g, fMHz, E, d, last)
				}
				last = E
			}
		}
	}
}

// The poorer the conductor, the less of it: sea above all land at every distance.
func TestSeaIsBest(t *testing.T) {
	for _, fMHz := range someMHz {
		sea := curve(fMHz, earth.Sea)
		for _, g := range []earth.Ground{earth.Wet, earth.Average, earth.MediumDry, earth.VeryDry} {
			land := curve(fMHz, g)
			for d := leastKm; d < FarKm; d *= 1.3 {
				if !(sea.FieldDBuVm(d) > land.FieldDBuVm(d)) {
					t.Errorf("%g MHz, %g km: sea %.3f not above %v %.3f", fMHz, d, sea.FieldDBuVm(d), g, land.FieldDBuVm(d))
				}
			}
		}
	}
}

func TestFieldCorners(t *testing.T) {
	c := curve(5, earth.Sea)
	for _, r := range []struct{ d, as float64 }{{0, leastKm}, {-3, leastKm}, {1e-300, leastKm}, {1e9, mostKm}, {math.Inf(1), mostKm}} {
		if got, want := c.FieldDBuVm(r.d), c.FieldDBuVm(r.as); got != want || math.IsNaN(got) {
			t.Errorf("field at %g km = %g, want that at %g km, %g", r.d, got, r.as, want)
		}
	}
	// Close by and over the best ground it is the field over a perfect plane.
	near(t, "sea, 1.6 MHz, 0.1 km", curve(1.6, earth.Sea).FieldDBuVm(0.1), 20*math.Log10(3e6), 0.01)
	if !math.IsNaN(c.FieldDBuVm(math.NaN())) {
		t.Error("no distance, yet a field")
	}
	for _, g := range []earth.Ground{{}, {SigmaSm: -1, EpsR: 5}, {SigmaSm: 1, EpsR: math.Inf(1)}, {SigmaSm: math.NaN(), EpsR: 5}} {
		if E := curve(5, g).FieldDBuVm(10); !math.IsNaN(E) {
			t.Errorf("ground %v gives %g, want NaN", g, E)
		}
	}
	if E := NewCurve(0, earth.Sea).FieldDBuVm(10); !math.IsNaN(E) {
		t.Errorf("0 Hz gives %g, want NaN", E)
	}
}

func FuzzField(f *testing.F) {
	f.Add(5.0, 3e-3, 22.0, 100.0)
	f.Add(30.0, 5.0, 70.0, 2000.0)
	f.Add(1.6, 0.0, 1.0, 0.0)
	f.Add(30.0, 1e7, 1.0, 20000.0)
	f.Add(1.6, 0.0, 1e9, 400.0)
	f.Fuzz(func(t *testing.T, fMHz, σ, εr, dKm float64) {
		if !(fMHz >= 1.6 && fMHz <= 30 && σ >= 0 && σ <= 1e8 && εr >= 1 && εr <= 1e6 && dKm >= 0) {
			return
		}
		c := curve(fMHz, earth.Ground{SigmaSm: σ, EpsR: εr})
		E := c.FieldDBuVm(dKm)
		if math.IsNaN(E) || math.IsInf(E, 0) || E > 230 {
			t.Fatalf("%g MHz, σ %g, ε_r %g, %g km: %g dBµV/m", fMHz, σ, εr, dKm, E)
		}
		if farther := c.FieldDBuVm(dKm * 1.01); farther > E+1e-5 {
			t.Fatalf("%g MHz, σ %g, ε_r %g: %g dBµV/m at %g km, more 1 %% farther: %g", fMHz, σ, εr, E, dKm, farther)
		}
	})
}

func BenchmarkNewCurve(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		NewCurve(5*unit.MHz, earth.Average)
	}
}

func BenchmarkField(b *testing.B) {
	c := curve(5, earth.Average)
	for _, r := range []struct {
		name string
		dKm  float64
	}{{"contour 30 km", 30}, {"residues 45 km", 45}, {"residues 300 km", 300}, {"residues 2000 km", 2000}} {
		b.Run(r.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				c.FieldDBuVm(r.dKm)
			}
		})
	}
}
