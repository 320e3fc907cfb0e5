package noise

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"farhail/hf/earth"
)

// The published coefficients of NTIA Report 85-173, evaluated apart by tables/noise at
// 400 places, months and hours at random and 49 at the edges, printed to 1e-5 dB. What
// is embedded is rounded: 3e-5 dB rms (tables/noise/SOURCE.md).
func TestAtmosphericAgainstPublishedCoefficients(t *testing.T) {
	file, err := os.Open("testdata/checks.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var rms [7]float64
	n := 0
	for sc := bufio.NewScanner(file); sc.Scan(); {
		if strings.HasPrefix(sc.Text(), "#") {
			continue
		}
		var lat, lon, ut, f float64
		var month int
		var want [7]float64
		p := []any{&lat, &lon, &month, &ut, &f}
		for i := range want {
			p = append(p, &want[i])
		}
		if _, err := fmt.Sscan(sc.Text(), p...); err != nil {
			t.Fatalf("%q: %v", sc.Text(), err)
		}
		s, b := NewSite(earth.At(lat, lon), month), NewBand(f)
		i, j, w := s.between(ut)
		src, σDu, σDl, σFam := s.Atmospheric(ut, &b)
		got := [7]float64{(1-w)*s.fam1[i] + w*s.fam1[j], src.Fam, src.Du, src.Dl, σDu, σDl, σFam}
		for i := range got {
			d := got[i] - want[i]
			rms[i] += d * d
			if math.Abs(d) > 3e-4 {
				t.Errorf("%q: value %d is %.5f, want %.5f ± 3e-4", sc.Text(), i+1, got[i], want[i])
			}
		}
		n++
	}
	if n != 449 {
		t.Fatalf("%d check points, want 449", n)
	}
	for i, x := range rms {
		x = math.Sqrt(x / float64(n))
		t.Logf("value %d: %.1e dB rms over %d points", i+1, x, n)
		if x > 5e-5 {
			t.Errorf("value %d: %.1e dB rms, want 5e-5 at most", i+1, x)
		}
	}
}

// Our notes on P.372-17 §5, map values at 1 MHz, printed to 0.01 dB.
func TestMapTable(t *testing.T) {
	for _, place := range []struct {
		lat, lon float64
		want     [4]string
	}{
		{51.5, 0, [4]string{"71.19 64.20 27.52 33.98 60.36 68.24", "68.06 44.47 29.59 36.77 51.29 68.75", "67.17 48.07 33.93 38.47 52.38 66.74", "70.39 56.80 33.77 40.23 60.55 71.80"}},
		{40, -105, [4]string{"67.36 62.15 33.09 42.02 59.66 69.01", "79.31 60.80 44.22 53.54 70.57 79.27", "81.74 66.22 53.30 75.76 88.39 88.02", "76.19 64.69 44.14 50.19 71.98 77.01"}},
		{0, 23, [4]string{"90.40 67.25 58.14 68.99 86.93 87.33", "99.02 79.70 86.96 91.06 92.54 101.79", "84.52 65.87 47.97 51.60 71.50 82.40", "96.83 82.04 72.16 85.33 96.52 100.49"}},
		{-10, -55, [4]string{"85.68 72.05 52.53 75.11 89.55 90.38", "86.66 77.83 63.26 74.88 81.84 90.56", "88.61 85.18 57.15 63.29 79.79 87.85", "99.58 84.49 83.80 89.85 91.47 100.52"}},
		{28, -81, [4]string{"72.89 72.57 36.19 46.05 64.31 73.60", "86.47 74.86 49.46 55.33 73.71 86.30", "81.47 73.99 61.51 74.07 83.29 87.31", "84.43 73.76 51.17 54.75 75.08 83.70"}},
		{-34, 151, [4]string{"78.70 55.78 36.26 48.43 73.28 79.21", "71.39 64.79 26.61 41.27 58.67 73.58", "68.90 65.90 26.40 28.95 55.89 66.81", "74.62 56.90 32.43 41.17 59.20 73.64"}},
		{35.5, 139.5, [4]string{"76.09 69.37 36.52 41.23 70.93 79.90", "74.32 56.98 39.78 41.45 61.60 74.01", "79.65 56.34 42.85 54.47 66.63 80.00", "78.77 63.14 41.70 44.88 70.17 80.21"}},
	} {
		for month := 1; month <= 12; month++ {
			s := NewSite(earth.At(place.lat, place.lon), month)
			var want [6]float64
			season := [13]int{0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 0}[month] // Dec–Feb, Mar–May …
			if _, err := fmt.Sscan(place.want[season], &want[0], &want[1], &want[2], &want[3], &want[4], &want[5]); err != nil {
				t.Fatal(err)
			}
			for b, v := range s.fam1 {
				if math.Abs(v-want[b]) > 0.0052 {
					t.Errorf("%g %g, month %d, block %d: %.4f, want %.2f", place.lat, place.lon, month, b+1, v, want[b])
				}
			}
		}
	}
}

// Our notes on P.372-17 §5, end-to-end checks, printed to 0.001.
func TestEndToEndTable(t *testing.T) {
	for _, c := range []struct {
		month           int
		lat, lon, ut, f float64
		want            [7]float64 // LT, Fam, Du, Dl, σDu, σDl, σFam
	}{
		{1, 51.5, 0, 0, 3.5, [7]float64{0, 55.792, 8.502, 6.877, 2.592, 2.486, 3.782}},
		{1, 51.5, 0, 10, 14, [7]float64{10, 30.695, 7.404, 5.728, 3.475, 2.206, 5.478}},
		{7, 51.5, 0, 22, 7, [7]float64{22, 47.514, 4.456, 4.725, 1.257, 1.555, 3.615}},
		{7, -33.9, 18.4, 2, 7, [7]float64{3.227, 46.344, 6.832, 5.616, 2.161, 2.076, 3.577}},
		{4, 40, -105, 6, 10, [7]float64{23, 45.439, 5.709, 5.333, 2.134, 1.797, 3.782}},
		{10, 0, 23, 20, 5, [7]float64{21.533, 67.625, 7.379, 7.046, 2.251, 2.008, 3.548}},
		{7, 28, -80.6, 3.4, 2, [7]float64{22.027, 76.768, 6.828, 6.513, 2.102, 1.818, 4.721}},
		{1, -15, 130, 12, 3.5, [7]float64{20.667, 72.613, 8.472, 8.123, 2.452, 2.398, 4.380}},
	} {
		s, b := NewSite(earth.At(c.lat, c.lon), c.month), NewBand(c.f)
		src, σDu, σDl, σFam := s.Atmospheric(c.ut, &b)
		lt := math.Mod(c.ut+s.lead+24, 24)
		for i, got := range [7]float64{lt, src.Fam, src.Du, src.Dl, σDu, σDl, σFam} {
			if math.Abs(got-c.want[i]) > 0.0006 {
				t.Errorf("%+v: value %d is %.4f, want %.3f", c, i, got, c.want[i])
			}
		}
	}
}

// A standard deviation is positive.
func TestDeviationsPositive(t *testing.T) {
	for _, lat := range []float64{50, -50} {
		for _, month := range []int{1, 4, 7, 10} {
			s := NewSite(earth.At(lat, 0), month)
			for ut := 0.0; ut < 24; ut += 0.5 {
				for f := 1.0; f < 30; f *= 1.1 {
					b := NewBand(f)
					src, σDu, σDl, σFam := s.Atmospheric(ut, &b)
					if min(src.Du, src.Dl, σDu, σDl, σFam) <= 0 {
						t.Fatalf("%g°, month %d, %g UT, %.3g MHz: %+v %g %g %g", lat, month, ut, f, src, σDu, σDl, σFam)
					}
				}
			}
		}
	}
}
