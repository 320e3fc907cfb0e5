package circuit_test

import (
	"fmt"

	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/hf/noise"
	"farhail/unit"
)

// P.842-5 Table 1, worked in our notes on it (§2): deciles of 8, 5, 6.9 dB above and 12,
// 8, 8.5 dB below, 10 dB needed. 90 % at one lower deviation above it, 50 % at it.
func ExampleReliability() {
	for _, snr := range []float64{35, 27, 20, 10, 5, -5} {
		fmt.Printf("%3.0f dB %6.3f %%\n", snr, 100*circuit.Reliability(snr, 10, 11.68803, 16.74067))
	}
	// Output:
	//  35 dB 97.915 %
	//  27 dB 90.307 %
	//  20 dB 79.917 %
	//  10 dB 50.000 %
	//   5 dB 26.031 %
	//  -5 dB  5.036 %
}

// P.533-14 §3.6, worked in our notes on it (§4): basic MUF 14 MHz, deciles 0.85, 1.15.
func ExampleSupport() {
	for _, f := range []float64{8, 11.9, 13, 14, 15, 16.1, 18} {
		fmt.Printf("%4.1f MHz %6.2f %%\n", f, 100*circuit.Support(f, 14, 0.85, 1.15))
	}
	// Output:
	//  8.0 MHz 100.00 %
	// 11.9 MHz  90.00 %
	// 13.0 MHz  75.81 %
	// 14.0 MHz  50.00 %
	// 15.0 MHz  24.19 %
	// 16.1 MHz  10.00 %
	// 18.0 MHz   0.00 %
}

// P.533-14 Attachment 1, worked in our notes on it (§14): magnetic dip latitude, local
// time, R12, month.
func ExampleScatterProbability() {
	fmt.Printf("%.5f\n", circuit.ScatterProbability(5, 22, 100, 3))
	fmt.Printf("%.5f\n", circuit.ScatterProbability(18, 21, 60, 4))
	fmt.Printf("%.5f\n", circuit.ScatterProbability(10, 19.5, 120, 9))
	fmt.Printf("%.5f\n", circuit.ScatterProbability(5, 4, 30, 12))
	fmt.Printf("%.5f\n", circuit.ScatterProbability(5, 12, 100, 3))
	// Output:
	// 0.90000
	// 0.35241
	// 0.50000
	// 0.02869
	// 0.00000
}

// The share of the main arrival's power that comes later by scatter, p_T of P.533-14
// Attachment 1 with p_m = 1 and T = 1 ms.
func ExampleScatterTime() {
	for _, ms := range []float64{0, 1, 2, 3} {
		fmt.Printf("%.0f ms %.5f\n", ms, circuit.ScatterTime(ms))
	}
	// Output:
	// 0 ms 0.05600
	// 1 ms 0.03397
	// 2 ms 0.00758
	// 3 ms 0.00062
}

// yacht is an invented circuit: a yacht off the Azores to a station in Ireland.
func yacht() circuit.Circuit {
	return circuit.Circuit{
		From: earth.At(38.5, -28.6), To: earth.At(52.1, -10.3),
		Power: 100 * unit.Watt, Bandwidth: 3 * unit.KHz, NeedSNR: 6, Noise: noise.Rural,
	}
}

// One path, one hour: what the sky carries, then one frequency. The figures are ours,
// equal to a literal second engine; no publication has them.
func ExampleSky_Path() {
	sky := circuit.NewSky(circuit.Date{Year: 2026, Month: 11}, circuit.Constant(80), circuit.Field)
	c := yacht()
	if err := c.Check(); err != nil {
		fmt.Println(err)
		return
	}
	path := sky.Path(c)
	var hour circuit.Hour
	path.At(18, &hour)
	fmt.Printf("%.0f km at %.0f°\n", path.DKm, path.Arc.Azimuth.Deg())
	fmt.Printf("basic MUF %.1f, operational %.1f, OWF %.1f MHz\n", hour.BasicMUF, hour.OperationalMUF, hour.OWF)

	band := circuit.NewBand(10.145)
	var p circuit.Prediction
	hour.Predict(&band, &p)
	fmt.Printf("%s at %.0f°: SNR %.0f dB, 8 times of 10 between %.0f and %.0f, %.0f %% of the time enough\n",
		p.Mode, p.ElevationDeg, p.SNR, p.Lower, p.Upper, 100*p.Reliability)
	// Output:
	// 2071 km at 37°
	// basic MUF 20.2, operational 25.2, OWF 21.2 MHz
	// 1F2 at 6°: SNR 15 dB, 8 times of 10 between 1 and 24, 81 % of the time enough
}

// Many paths over the same hours and frequencies fill the caller's own slices.
func ExampleBatch() {
	b := circuit.Batch{
		Sky:   circuit.NewSky(circuit.Date{Year: 2026, Month: 11}, circuit.Constant(80), circuit.Field),
		Hours: []float64{6, 12, 18},
		Bands: []circuit.Band{circuit.NewBand(5.35), circuit.NewBand(14.1)},
	}
	circuits := []circuit.Circuit{yacht()}
	out := make([]circuit.Prediction, b.Size(len(circuits)))
	if err := b.Run(circuits, out, nil); err != nil {
		fmt.Println(err)
		return
	}
	for j, utc := range b.Hours {
		for k, band := range b.Bands {
			p := out[j*len(b.Bands)+k]
			fmt.Printf("%02.0f UT %5.2f MHz %3s %4.0f dB\n", utc, band.MHz, p.Mode, p.SNR)
		}
	}
	// Output:
	// 06 UT  5.35 MHz 1F2   14 dB
	// 06 UT 14.10 MHz 1F2  -13 dB
	// 12 UT  5.35 MHz 3F2  -26 dB
	// 12 UT 14.10 MHz 1F2   13 dB
	// 18 UT  5.35 MHz 2F2    7 dB
	// 18 UT 14.10 MHz 1F2   16 dB
}

// The ionosphere over one place at one moment.
func ExampleSky_Overhead() {
	sky := circuit.NewSky(circuit.Date{Year: 2026, Month: 6}, circuit.Constant(80), circuit.Field)
	o := sky.Overhead(earth.At(45, 0), 12)
	fmt.Printf("foF2 %.1f MHz, M(3000)F2 %.2f, foE %.2f MHz, hmF2 %.0f km, Sun %.0f° from the zenith\n",
		o.FoF2MHz, o.M3000F2, o.FoEMHz, o.HmF2Km, o.ZenithDeg)
	// Output:
	// foF2 6.8 MHz, M(3000)F2 2.87, foE 3.62 MHz, hmF2 266 km, Sun 22° from the zenith
}
