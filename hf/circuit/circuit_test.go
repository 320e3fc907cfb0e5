package circuit

import (
	"math"
	"testing"

	"farhail/hf/earth"
	"farhail/hf/noise"
	"farhail/unit"
)

// Worked values of P.533-14 §3 (our notes): MUF from foF2, foE, M(3000)F2, fH.
func TestF2MUFWorked(t *testing.T) {
	for _, c := range []struct{ d, foF2, foE, M, fH, B, dmax, Cd, C3000, muf float64 }{
		{0, 8, 3, 3.0, 1.2, 3.00429, 5193.334, 0, 0.82194, 8.6000},
		{500, 6.5, 3.3, 3.1, 1.1, 3.12253, 5138.893, 0.06652, 0.82760, 8.1054},
		{1000, 8, 3, 3.0, 1.2, 3.00429, 5193.334, 0.22904, 0.82194, 12.9526},
		{2000, 8, 3, 3.0, 1.2, 3.00429, 5193.334, 0.58110, 0.82194, 19.7048},
		{3000, 8, 3, 3.0, 1.2, 3.00429, 5193.334, 0.82194, 0.82194, 24.2877},
		{3000, 4, 0.6, 2.9, 1.2, 2.85522, 5377.093, 0.80293, 0.80293, 11.6861},
	} {
		m := newF2(c.foF2, c.foE, c.M, c.fH)
		if math.Abs(m.B-c.B) > 6e-6 || math.Abs(m.dmax-c.dmax) > 6e-4 || math.Abs(m.C3000-c.C3000) > 6e-6 || math.Abs(m.muf(c.d)-c.muf) > 6e-5 {
			t.Errorf("%+v: B %.6f dmax %.4f C3000 %.6f MUF %.5f", c, m.B, m.dmax, m.C3000, m.muf(c.d))
		}
	}
}

// Worked values of P.533-14 §5.1 (our notes): mirror heights in all branches.
func TestMirrorHeightWorked(t *testing.T) {
	for _, c := range []struct{ f, foF2, foE, M, R12, d, H, hr float64 }{
		{14, 7, 1.5, 3.0, 50, 2000, 169.168, 295.366}, {10, 7, 1.5, 3.0, 50, 800, 169.168, 390.394}, {20, 7, 1.5, 3.0, 50, 3000, 169.168, 407.864},
		{4, 7, 1.5, 3.0, 50, 500, 169.168, 216.902}, {7, 8, 3.2, 3.0, 100, 1000, 147.938, 320.525}, {14, 8, 3.2, 3.0, 100, 2000, 147.938, 340.481},
		{5, 5, 2.9, 3.2, 20, 1500, 92.577, 314.844},
	} {
		m := newMirror(c.foF2, c.foE, c.M, c.R12)
		if h := m.height(c.d, c.f); math.Abs(m.H-c.H) > 6e-4 || math.Abs(h-c.hr) > 2e-3 {
			t.Errorf("%+v: H %.4f h_r %.4f km", c, m.H, h)
		}
	}
}

// Geometry table of P.533-14 §3.3 (our notes): one hop.
func TestHopWorked(t *testing.T) {
	for _, c := range []struct{ d, h, Δ, sec, p float64 }{
		{250, 110, 40.5407, 1.50428, 334.63}, {1000, 110, 10.0500, 3.98140, 1032.06}, {2000, 110, 1.7147, 5.38206, 2027.10},
		{100, 300, 80.0942, math.NaN(), 608.66}, {1000, 300, 28.1176, math.NaN(), 1185.98}, {4000, 300, -0.7235, math.NaN(), 4120.23},
	} {
		hop := newHop(c.d, 1)
		r := hop.at(c.h)
		if math.Abs(r.elevationDeg()-c.Δ) > 6e-5 || math.Abs(r.p-c.p) > 6e-3 || !math.IsNaN(c.sec) && math.Abs(r.sec-c.sec) > 6e-6 {
			t.Errorf("%+v: Δ %.5f sec %.6f p′ %.3f", c, r.elevationDeg(), r.sec, r.p)
		}
	}
}

// Worked values of P.842-5 (our notes): deciles at ratios, reliability.
func TestReliabilityWorked(t *testing.T) {
	for _, c := range [][5]float64{{0.9, 10, 7, 13.5, 10}, {1.1, 12.5, 10, 16.5, 11.5}, {1.5, 9, 12.5, 12, 12.5}, {2.5, 7.5, 8.5, 10, 8.5}, {0.1, 8, 6, 11, 9}, {9, 5, 7, 7, 7}} {
		l, u := dayToDayAt(c[0], false)
		lh, uh := dayToDayAt(c[0], true)
		if math.Abs(l-c[1])+math.Abs(u-c[2])+math.Abs(lh-c[3])+math.Abs(uh-c[4]) > 1e-9 {
			t.Errorf("at %g: %g %g %g %g", c[0], l, u, lh, uh)
		}
	}
	for _, c := range [][2]float64{{35, 0.97915}, {27, 0.90307}, {20, 0.79917}, {10, 0.5}, {5, 0.26031}, {-5, 0.05036}} {
		if r := Reliability(c[0], 10, 11.68803, 16.74067); math.Abs(r-c[1]) > 6e-6 {
			t.Errorf("S/N %g: %.6f, want %.5f", c[0], r, c[1])
		}
	}
}

// Equatorial scatter, P.533-14 Attachment 1 (our notes).
func TestScatterWorked(t *testing.T) {
	for _, c := range []struct {
		λ, T, R float64
		m       int
		want    float64
	}{{5, 22, 100, 3, 0.9}, {18, 21, 60, 4, 0.35241}, {10, 19.5, 120, 9, 0.5}, {5, 4, 30, 12, 0.02869}, {5, 12, 100, 3, 0}} {
		if p := ScatterProbability(c.λ, c.T, c.R, c.m); math.Abs(p-c.want) > 6e-6 {
			t.Errorf("%+v: %.6f", c, p)
		}
	}
}

// Within-the-month support, P.533-14 §3.6 (our notes): fb 14, deciles 0.85 and 1.15.
func TestSupportWorked(t *testing.T) {
	for _, c := range [][2]float64{{8, 1}, {11.9, 0.9}, {13, 0.7581}, {15, 0.2419}, {16.1, 0.1}, {18, 0}} {
		if p := Support(c[0], 14, 0.85, 1.15); math.Abs(p-c[1]) > 6e-5 {
			t.Errorf("f %g: %.5f, want %.4f", c[0], p, c[1])
		}
	}
}

func sample(from, to earth.Point) Circuit {
	return Circuit{From: from, To: to, Power: 100 * unit.Watt, Bandwidth: 3 * unit.KHz, NeedSNR: 6, Noise: noise.Rural}
}
