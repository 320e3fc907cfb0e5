//go:build ignore

// Gen writes the smoothed solar indices hf/iono embeds: IG12 and R12 as observed,
// rounded to 0.1, then our own continuation to December 2030, and prints the fits.
//
// Continuation: the six declines 1958–2020 are laid over one another from the month
// that lies as far after their maximum as the last observed month lies after the
// present one, as shares of the value there, and one curve is fitted to all,
//
//	R12(L) = Rm + (R12(0) − Rm) exp(−(L/τ)^p),    L months after the last observed,
//
// Rm the mean of the minima. IG12 follows by a quadratic fitted over the observed
// months, its present departure fading with 6 months.
//
//	go run tables/indices/gen.go ../shared/data
package main

import (
	"encoding/binary"
	"encoding/csv"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
	"strconv"
)

const firstYear, lastYear = 1958, 2030

func main() {
	log.SetFlags(0)
	if len(os.Args) != 2 {
		log.Fatal("usage: gen DATA-FOLDER")
	}
	var ig, r []float64
	for _, w := range table(filepath.Join(os.Args[1], "indices", "ig12_r12_monthly.csv")) {
		if w["year"] == "1957" || w["status"] != "observed" {
			continue
		}
		ig, r = append(ig, num(w["ig12"])), append(r, num(w["r12_v1_scale"]))
	}
	n := len(r)
	fmt.Printf("observed: %d months from %d-01\n", n, firstYear)
	flux := make([]float64, n)
	fluxYear := make([]float64, n)
	for i := range flux {
		flux[i], fluxYear[i] = math.NaN(), math.NaN()
	}
	for _, w := range table(filepath.Join(os.Args[1], "indices", "solar_monthly.csv")) {
		i := (int(num(w["year"]))-firstYear)*12 + int(num(w["month"])) - 1
		if i >= 0 && i < n {
			flux[i], fluxYear[i] = num(w["f107_obs_monthly"]), num(w["f107_obs_smoothed13"])
		}
	}

	// IG12 from R12
	q := quadratic(r, ig, 0, n)
	fmt.Printf("IG12 = %.3f %+.4f R12 %+.6f R12²: rms %.1f over %d months\n", q[0], q[1], q[2], rms(q, r, ig, 0, n), n)

	// maxima and minima of R12
	type cycle struct{ max, min int }
	var cycles []cycle
	for _, c := range []struct{ from, to int }{{0, 60}, {100, 150}, {250, 290}, {370, 430}, {490, 540}, {650, 700}} {
		m := c.from
		for i := c.from; i < c.to; i++ {
			if r[i] > r[m] {
				m = i
			}
		}
		lo := m
		for i := m; i < min(m+120, n); i++ {
			if r[i] < r[lo] {
				lo = i
			}
		}
		cycles = append(cycles, cycle{m, lo})
	}
	top := 760
	for i := 760; i < n; i++ {
		if r[i] > r[top] {
			top = i
		}
	}
	phase, ahead := n-1-top, (lastYear-firstYear+1)*12-n
	Rm := 0.0
	for _, c := range cycles {
		Rm += r[c.min] / float64(len(cycles))
	}
	share := func(c cycle, L int) float64 {
		a := c.max + phase
		return (r[a+L] - Rm) / (r[a] - Rm)
	}
	best, bτ, bp := math.Inf(1), 0.0, 0.0
	for τ := 10.0; τ < 90; τ += 0.25 {
		for p := 0.6; p < 3; p += 0.05 {
			s := 0.0
			for _, c := range cycles {
				for L := 1; L <= ahead && c.max+phase+L <= c.min; L++ {
					d := share(c, L) - math.Exp(-math.Pow(float64(L)/τ, p))
					s += d * d
				}
			}
			if s < best {
				best, bτ, bp = s, τ, p
			}
		}
	}
	fmt.Printf("present maximum %d-%02d, last observed %d months after it; Rm %.1f, τ %.2f months, p %.2f\n", firstYear+top/12, top%12+1, phase, Rm, bτ, bp)
	for _, L := range []int{1, 3, 6, 12, 24, 36, 48, 60} {
		s := 0.0
		for _, c := range cycles {
			a := c.max + phase
			d := r[a+L] - (Rm + (r[a]-Rm)*math.Exp(-math.Pow(float64(L)/bτ, bp)))
			s += d * d
		}
		fmt.Printf("  %2d months ahead: rms of the six cycles about the curve %.1f in R12\n", L, math.Sqrt(s/float64(len(cycles))))
	}
	off := ig[n-1] - at(q, r[n-1])
	for L := 1; L <= ahead; L++ {
		R := Rm + (r[n-1]-Rm)*math.Exp(-math.Pow(float64(L)/bτ, bp))
		r = append(r, R)
		ig = append(ig, at(q, R)+off*math.Exp(-float64(L)/6))
	}

	// a flux heard on the air
	f := quadratic(flux, ig, 0, n)
	fmt.Printf("IG12 = %.3f %+.5f Φ %+.7f Φ² of the month's flux: rms %.1f\n", f[0], f[1], f[2], rms(f, flux, ig, 0, n))
	fy := quadratic(fluxYear, ig, 0, n)
	fmt.Printf("IG12 = %.3f %+.5f Φ %+.7f Φ² of the year's flux: rms %.1f\n", fy[0], fy[1], fy[2], rms(fy, fluxYear, ig, 0, n))
	fr := quadratic(flux, r, 0, n)
	fmt.Printf("R12  = %.3f %+.5f Φ %+.7f Φ² of the month's flux: rms %.1f\n", fr[0], fr[1], fr[2], rms(fr, flux, r, 0, n))

	out := binary.AppendUvarint(nil, uint64(n))
	out = binary.AppendUvarint(out, uint64(len(r)-n))
	for _, s := range [][]float64{ig, r} {
		last := int64(0)
		for _, v := range s {
			x := int64(math.Round(v * 10))
			out = binary.AppendVarint(out, x-last)
			last = x
		}
	}
	if err := os.WriteFile("hf/iono/data/index.bin", out, 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("hf/iono/data/index.bin: %d bytes; last observed IG12 %.1f R12 %.1f; 2026-11 IG12 %.1f R12 %.1f; 2030-12 IG12 %.1f R12 %.1f\n",
		len(out), ig[n-1], r[n-1], ig[68*12+10], r[68*12+10], ig[len(ig)-1], r[len(r)-1])
}

func at(q [3]float64, x float64) float64 { return q[0] + x*(q[1]+x*q[2]) }

func rms(q [3]float64, x, y []float64, from, to int) float64 {
	s, n := 0.0, 0.0
	for i := from; i < to; i++ {
		if !math.IsNaN(x[i]) {
			d := y[i] - at(q, x[i])
			s, n = s+d*d, n+1
		}
	}
	return math.Sqrt(s / n)
}

// quadratic is the least-squares parabola of y on x.
func quadratic(x, y []float64, from, to int) (q [3]float64) {
	var a [3][4]float64
	for i := from; i < to; i++ {
		if math.IsNaN(x[i]) {
			continue
		}
		v := [3]float64{1, x[i] / 100, x[i] * x[i] / 1e4}
		for j := range 3 {
			for k := range 3 {
				a[j][k] += v[j] * v[k]
			}
			a[j][3] += v[j] * y[i]
		}
	}
	for j := range 3 {
		for k := j + 1; k < 3; k++ {
			f := a[k][j] / a[j][j]
			for l := range 4 {
				a[k][l] -= f * a[j][l]
			}
		}
	}
	for j := 2; j >= 0; j-- {
		q[j] = a[j][3]
		for k := j + 1; k < 3; k++ {
			q[j] -= a[j][k] * q[k]
		}
		q[j] /= a[j][j]
	}
	q[1] /= 100
	q[2] /= 1e4
	return q
}

func table(file string) (out []map[string]string) {
	f, err := os.Open(file)
	if err != nil {
		log.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		log.Fatal(err)
	}
	for _, row := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func num(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}
