package modem

import (
	"math"
	"testing"
)

// Bit error rates of our notes on links, §1.1 (each computed there in two ways).
func TestErrorRatesOnAWGN(t *testing.T) {
	fsk := func(M int) func(float64) float64 {
		return func(γb float64) float64 {
			return fskError(M, γb*math.Log2(float64(M))) * float64(M/2) / float64(M-1)
		}
	}
	for _, c := range []struct {
		name string
		bit  func(γb float64) float64
		want map[float64]float64 // γb dB
	}{
		{"DBPSK", dbpskError, map[float64]float64{0: 1.839e-1, 4: 4.056e-2, 8: 9.094e-4, 10: 2.270e-5, 12: 6.544e-8}},
		{"DQPSK", func(γb float64) float64 { return phaseStepTail(2*γb, math.Pi/4) + phaseStepTail(2*γb, 3*math.Pi/4) },
			map[float64]float64{0: 1.639e-1, 4: 4.875e-2, 8: 3.643e-3, 10: 3.432e-4, 12: 9.053e-6, 14: 3.198e-8}},
		{"2-FSK", fsk(2), map[float64]float64{0: 3.033e-1, 4: 1.424e-1, 8: 2.132e-2, 10: 3.369e-3, 12: 1.809e-4, 14: 1.756e-6}},
		{"4-FSK", fsk(4), map[float64]float64{0: 2.293e-1, 4: 6.156e-2, 8: 1.684e-3, 10: 4.437e-5, 12: 1.305e-7}},
		{"8-FSK", fsk(8), map[float64]float64{0: 1.947e-1, 4: 3.076e-2, 8: 1.445e-4, 10: 6.043e-7, 12: 9.46e-11}},
		{"16-FSK", fsk(16), map[float64]float64{0: 1.747e-1, 4: 1.625e-2, 8: 1.254e-5, 10: 8.200e-9}},
	} {
		for dB, want := range c.want {
			near(t, c.name+" error rate over the notes'", c.bit(math.Pow(10, dB/10))/want, 1, 1e-3)
		}
	}
}

// Mean error rates on slow Rayleigh fading, §1.2, one branch: closed forms there, the
// average over fades here.
func TestErrorRatesOnRayleigh(t *testing.T) {
	faded := func(fails func(float64) float64, γdB float64) float64 {
		n := int((curveHi-curveLo)/curveStep) + 1
		f := make([]float64, n)
		for i := range n {
			f[i] = math.Log(max(1e-300, fails(math.Pow(10, (curveLo+float64(i)*curveStep)/10))))
		}
		return meanOverFades(deepestFades(0), f, (γdB-curveLo)/curveStep, 1)
	}
	two := func(γs float64) float64 { return fskError(2, γs) }
	eight := func(γb float64) float64 { return fskError(8, 3*γb) * 4 / 7 }
	for _, c := range []struct {
		name      string
		fails     func(float64) float64
		dB, want  float64
		tolerance float64 // relative: f is straight in 0.25 dB, deep fades are lumped
	}{
		{"DBPSK", dbpskError, 10, 4.545e-2, 2e-3},
		{"DBPSK", dbpskError, 20, 4.950e-3, 2e-3},
		{"2-FSK", two, 10, 8.333e-2, 2e-3},
		{"2-FSK", two, 20, 9.804e-3, 2e-3},
		{"2-FSK", two, 30, 9.980e-4, 5e-3},
		{"8-FSK", eight, 10, 4.544e-2, 2e-3},
		{"8-FSK", eight, 20, 4.897e-3, 2e-3},
	} {
		near(t, c.name+" faded error rate over the notes'", faded(c.fails, c.dB)/c.want, 1, c.tolerance)
	}
}

// Floors of differential keying when the path turns, §1.2: the error rate at endless SNR.
func TestDopplerFloor(t *testing.T) {
	for _, c := range []struct{ spreadHz, baud, want float64 }{
		{1, 100, 2.467e-4}, {1, 50, 9.860e-4}, {10, 100, 2.408e-2},
	} {
		γ := dopplerSNR(1e12, c.spreadHz, 1/c.baud)
		near(t, "floor over the notes'", 0.5/(1+γ)/c.want, 1, 1e-3)
	}
	near(t, "no Doppler, no change", dopplerSNR(31.6, 0, 0.01), 31.6, 1e-9)
}
