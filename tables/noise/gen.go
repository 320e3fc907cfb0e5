//go:build ignore

// Gen re-expresses the world of atmospheric radio noise as hf/noise embeds it, and
// leaves check points, evaluated from the published coefficients, for its tests.
//
// Every number of the deck belongs to a season and a four-hour block: 554 tables of
// 4 × 6. Each table is turned into its orthonormal Fourier components (season: mean,
// annual cosine and sine, alternating; block: the same with two harmonics), after the
// polynomials in frequency have been turned into Chebyshev series over the range in
// use. Such amplitudes can be rounded one by one; they are quantised with one step a
// group, written as zigzag varints and deflated.
//
//	go run tables/noise/gen.go ../shared/data
package main

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"encoding/csv"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

const (
	seasons, blocks    = 4, 6
	lonTerms, latTerms = 16, 29
)

// deck holds the numbers as published; polynomials highest power first.
type deck struct {
	alpha, beta [seasons][blocks]float64
	c           [seasons][blocks][lonTerms][latTerms]float64
	a, b        [seasons][2][blocks][7]float64    // hemisphere N, S
	dev         [seasons][2][blocks][5][5]float64 // Du, Dl, σDu, σDl, σFam
}

func main() {
	log.SetFlags(0)
	if len(os.Args) != 2 {
		log.Fatal("usage: gen DATA-FOLDER")
	}
	dir := filepath.Join(os.Args[1], "noise")
	d := read(dir)
	packed, back := pack(d)
	file := "hf/noise/data/deck.bin"
	if err := os.WriteFile(file, packed, 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s: %d bytes\n", file, len(packed))
	compare(d, back)
	checks(dir, d)
}

// read takes the five files; every row must be there, once.
func read(dir string) *deck {
	d := new(deck)
	count := 0
	put := func(dst []float64, src []float64) {
		if len(dst) != len(src) {
			log.Fatalf("a row has %d numbers, want %d", len(src), len(dst))
		}
		for i, v := range src {
			if dst[i] != 0 {
				log.Fatal("a row comes twice")
			}
			dst[i] = v
		}
		count += len(dst)
	}
	hemi := map[string]int{"N": 0, "S": 1}
	quantity := map[string]int{"Du": 0, "Dl": 1, "sDu": 2, "sDl": 3, "sFam": 4}
	for _, r := range rows(dir, "1mhz_linear.csv") {
		s, b, v := index(r[0], seasons), index(r[1], blocks), floats(r[2:])
		put([]float64{d.alpha[s][b], d.beta[s][b]}, v)
		d.alpha[s][b], d.beta[s][b] = v[0], v[1]
	}
	for _, r := range rows(dir, "1mhz_map.csv") {
		put(d.c[index(r[0], seasons)][index(r[1], blocks)][index(r[2], lonTerms)][:], floats(r[3:]))
	}
	for _, r := range rows(dir, "frequency.csv") {
		s, h, b := index(r[0], seasons), hemi[r[1]], index(r[2], blocks)
		put(d.a[s][h][b][:], floats(r[3:10]))
		put(d.b[s][h][b][:], floats(r[10:]))
	}
	for _, r := range rows(dir, "variability.csv") {
		put(d.dev[index(r[0], seasons)][hemi[r[1]]][index(r[2], blocks)][quantity[r[3]]][:], floats(r[4:]))
	}
	if count != 13056 {
		log.Fatalf("%d numbers, want 13056", count)
	}
	return d
}

func rows(dir, name string) [][]string {
	f, err := os.Open(filepath.Join(dir, name))
	if err != nil {
		log.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		log.Fatalf("read %s: %v", name, err)
	}
	return all[1:]
}

func index(s string, n int) int {
	i, err := strconv.Atoi(s)
	if err != nil || i < 1 || i > n {
		log.Fatalf("%q is not 1 to %d", s, n)
	}
	return i - 1
}

func floats(w []string) (v []float64) {
	for _, s := range w {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			log.Fatal(err)
		}
		v = append(v, x)
	}
	return v
}

// The exact evaluation, as printed in the report; nothing shared with hf/noise.

func horner(c []float64, x float64) float64 {
	y := 0.0
	for _, v := range c {
		y = y*x + v
	}
	return y
}

func (d *deck) oneMHz(s, b int, latDeg, lonDeg float64) float64 {
	θ := (latDeg + 90) * math.Pi / 180
	ℓ := math.Mod(lonDeg+720, 360) / 2 * math.Pi / 180
	F := d.alpha[s][b] + d.beta[s][b]*θ
	for j := 1; j <= latTerms; j++ {
		g := d.c[s][b][lonTerms-1][j-1]
		for k := 1; k < lonTerms; k++ {
			g += d.c[s][b][k-1][j-1] * math.Sin(float64(k)*ℓ)
		}
		F += g * math.Sin(float64(j)*θ)
	}
	return F
}

func u(fMHz float64) float64 { return (8*math.Pow(2, math.Log10(fMHz)) - 11) / 4 }

func (d *deck) fam(s, h, b int, Fam1, fMHz float64) float64 {
	p := func(u float64) float64 { return horner(d.a[s][h][b][:], u) }
	q := func(u float64) float64 { return horner(d.b[s][h][b][:], u) }
	z := Fam1*(2-p(-0.75)) - q(-0.75)
	return z*p(u(fMHz)) + q(u(fMHz))
}

func (d *deck) deviation(s, h, b, i int, fMHz float64) float64 {
	x := math.Log10(fMHz)
	if i == 4 {
		x = math.Min(x, 1)
	}
	return horner(d.dev[s][h][b][i][:], x)
}

// at returns Fam1, Fam and the five deviations between block centres.
func (d *deck) at(latDeg, lonDeg float64, month int, ut, fMHz float64) (lt float64, v [7]float64) {
	lt = math.Mod(ut+lonDeg/15+48, 24)
	pos := math.Mod(lt-2+24, 24) / 4
	b, w := int(pos), pos-math.Floor(pos)
	s, h := month%12/3, 0
	if latDeg < 0 {
		h = 1
	}
	for _, e := range []struct {
		b int
		w float64
	}{{b, 1 - w}, {(b + 1) % 6, w}} {
		Fam1 := d.oneMHz(s, e.b, latDeg, lonDeg)
		v[0] += e.w * Fam1
		v[1] += e.w * d.fam(s, h, e.b, Fam1, fMHz)
		for i := range 5 {
			v[2+i] += e.w * d.deviation(s, h, e.b, i, fMHz)
		}
	}
	return lt, v
}

// checks evaluates the published coefficients where the set's own check values lie,
// compares, adds points at the edges, and leaves all of them for the tests.
func checks(dir string, d *deck) {
	var out strings.Builder
	out.WriteString("# lat lon month ut MHz | Fam(1 MHz) Fam Du Dl σDu σDl σFam; evaluated from the published coefficients by tables/noise/gen.go\n")
	write := func(lat, lon float64, month int, ut, f float64) [7]float64 {
		_, v := d.at(lat, lon, month, ut, f)
		fmt.Fprintf(&out, "%g %g %d %g %g", lat, lon, month, ut, f)
		for _, x := range v {
			fmt.Fprintf(&out, " %.5f", x)
		}
		out.WriteByte('\n')
		return v
	}
	worst, n := 0.0, 0
	for _, r := range rows(dir, "check_values.csv") {
		c := floats(r)
		v := write(c[0], c[1], int(c[2]), c[3], c[4])
		for i, x := range v {
			worst = max(worst, math.Abs(x-c[6+i]))
		}
		n++
	}
	if n != 400 || worst > 0.00051 {
		log.Fatalf("%d check values, met to %.2g dB", n, worst)
	}
	edges := 0
	for i, lat := range []float64{-90, -89.9, -0.01, 0, 0.01, 45.3, 90} {
		for j, lon := range []float64{-180, -179.99, -0.01, 0, 0.01, 179.99, 180} {
			write(lat, lon, 1+(5*i+7*j)%12, []float64{0, 2, 5.99, 13.25, 21.999, 23.5}[(i+j)%6], []float64{1, 1.6, 4.3, 9.99, 10.01, 22, 30}[(2*i+j)%7])
			edges++
		}
	}
	file := "hf/noise/testdata/checks.txt"
	if err := os.WriteFile(file, []byte(out.String()), 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s: %d rows and %d at the edges; the set's own check values are met to %.2g dB\n", file, n, edges, worst)
}

// The compact form. A group is 4 × 6 tables with one quantum.
type group struct {
	step   float64
	tables []*[seasons][blocks]float64
}

// Ranges of the Chebyshev series: u(1)…u(30), log10 of 1…30 MHz, and 0…1 for σFam.
// hf/noise has the same numbers.
var (
	rangeU  = [2]float64{u(1), u(30)}
	rangeX  = [2]float64{0, math.Log10(30)}
	rangeX1 = [2]float64{0, 1}
)

// groups lists every number of the deck by the place it has in the file. Polynomials
// must be in Chebyshev form.
func (d *deck) groups() []group {
	table := func(at func(s, b int) *float64) *[seasons][blocks]float64 {
		t := new([seasons][blocks]float64)
		for s := range seasons {
			for b := range blocks {
				t[s][b] = *at(s, b)
			}
		}
		return t
	}
	var maps, slope, offset, dev group
	maps.step, slope.step, offset.step, dev.step = 1e-5, 1e-7, 1e-6, 1e-6
	maps.tables = append(maps.tables, &d.alpha, &d.beta)
	for j := range latTerms {
		for k := range lonTerms {
			maps.tables = append(maps.tables, table(func(s, b int) *float64 { return &d.c[s][b][k][j] }))
		}
	}
	for h := range 2 {
		for n := range 7 {
			slope.tables = append(slope.tables, table(func(s, b int) *float64 { return &d.a[s][h][b][n] }))
			offset.tables = append(offset.tables, table(func(s, b int) *float64 { return &d.b[s][h][b][n] }))
		}
		for i := range 5 {
			for n := range 5 {
				dev.tables = append(dev.tables, table(func(s, b int) *float64 { return &d.dev[s][h][b][i][n] }))
			}
		}
	}
	return []group{maps, slope, offset, dev}
}

// chebyshev turns every polynomial into Chebyshev coefficients, T0 first.
func (d *deck) chebyshev() *deck {
	e := *d
	for s := range seasons {
		for b := range blocks {
			for h := range 2 {
				series(e.a[s][h][b][:], rangeU)
				series(e.b[s][h][b][:], rangeU)
				for i := range 5 {
					r := rangeX
					if i == 4 {
						r = rangeX1
					}
					series(e.dev[s][h][b][i][:], r)
				}
			}
		}
	}
	return &e
}

// series replaces powers (highest first) by Chebyshev coefficients over r, by the
// sums over Chebyshev's nodes, exact for a polynomial of this degree.
func series(c []float64, r [2]float64) {
	n := len(c)
	out := make([]float64, n)
	for i := range n {
		φ := math.Pi * (float64(i) + 0.5) / float64(n)
		y := horner(c, (r[0]+r[1])/2+(r[1]-r[0])/2*math.Cos(φ))
		for m := range out {
			out[m] += y * math.Cos(float64(m)*φ) * 2 / float64(n)
		}
	}
	out[0] /= 2
	copy(c, out)
}

// The orthonormal components of 4 seasons and of 6 blocks, [component][index].
func fourier(n int) [][]float64 {
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
		for k := range m[i] {
			h := (i + 1) / 2
			φ := 2 * math.Pi * float64(h*k) / float64(n)
			switch {
			case i == 0:
				m[i][k] = math.Sqrt(1 / float64(n))
			case 2*h == n:
				m[i][k] = math.Sqrt(1/float64(n)) * float64(1-2*(k%2))
			case i%2 == 1:
				m[i][k] = math.Sqrt(2/float64(n)) * math.Cos(φ)
			default:
				m[i][k] = math.Sqrt(2/float64(n)) * math.Sin(φ)
			}
		}
	}
	return m
}

// pack returns the file, and the deck (Chebyshev form) as the file gives it back.
func pack(d *deck) ([]byte, *deck) {
	fs, fb := fourier(seasons), fourier(blocks)
	var raw []byte
	var rounded []*[seasons][blocks]float64
	for _, g := range d.chebyshev().groups() {
		raw = binary.AppendUvarint(raw, uint64(math.Round(g.step*1e9)))
		back := make([]*[seasons][blocks]float64, len(g.tables))
		for i := range back {
			back[i] = new([seasons][blocks]float64)
		}
		for i := range seasons {
			for j := range blocks {
				for t, table := range g.tables {
					sum := 0.0
					for s := range seasons {
						for b := range blocks {
							sum += fs[i][s] * fb[j][b] * table[s][b]
						}
					}
					n := math.Round(sum / g.step)
					raw = binary.AppendVarint(raw, int64(n))
					for s := range seasons {
						for b := range blocks {
							back[t][s][b] += fs[i][s] * fb[j][b] * n * g.step
						}
					}
				}
			}
		}
		rounded = append(rounded, back...)
	}
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.BestCompression)
	if err != nil {
		log.Fatal(err)
	}
	if _, err := w.Write(raw); err != nil {
		log.Fatal(err)
	}
	if err := w.Close(); err != nil {
		log.Fatal(err)
	}
	return out.Bytes(), unpack(rounded)
}

// unpack puts tables in the order of groups back where they belong.
func unpack(t []*[seasons][blocks]float64) *deck {
	e := new(deck)
	next := func(at func(s, b int) *float64) {
		for s := range seasons {
			for b := range blocks {
				*at(s, b) = t[0][s][b]
			}
		}
		t = t[1:]
	}
	next(func(s, b int) *float64 { return &e.alpha[s][b] })
	next(func(s, b int) *float64 { return &e.beta[s][b] })
	for j := range latTerms {
		for k := range lonTerms {
			next(func(s, b int) *float64 { return &e.c[s][b][k][j] })
		}
	}
	for _, p := range []*[seasons][2][blocks][7]float64{&e.a, &e.b} {
		for h := range 2 {
			for n := range 7 {
				next(func(s, b int) *float64 { return &p[s][h][b][n] })
			}
		}
	}
	for h := range 2 {
		for i := range 5 {
			for n := range 5 {
				next(func(s, b int) *float64 { return &e.dev[s][h][b][i][n] })
			}
		}
	}
	return e
}

// clenshaw sums Chebyshev coefficients.
func clenshaw(c []float64, x float64, r [2]float64) float64 {
	t := (2*x - r[0] - r[1]) / (r[1] - r[0])
	var b1, b2 float64
	for n := len(c) - 1; n > 0; n-- {
		b1, b2 = 2*t*b1-b2+c[n], b1
	}
	return t*b1 - b2 + c[0]
}

// compare measures what rounding did: every season and block, 400 places each at
// random over the globe (seeded), 13 frequencies of 1.6 to 30 MHz.
func compare(d, e *deck) {
	var one, fam, dev spread
	var freqs []float64
	for f := 1.6; f < 30.1; f *= math.Pow(30/1.6, 1.0/12) {
		freqs = append(freqs, f)
	}
	rng := rand.New(rand.NewPCG(372, 17))
	for s := range seasons {
		for b := range blocks {
			for range 400 {
				φ := math.Asin(2*rng.Float64()-1) * 180 / math.Pi
				λ := 360 * rng.Float64()
				h := 0
				if φ < 0 {
					h = 1
				}
				F, G := d.oneMHz(s, b, φ, λ), e.oneMHz(s, b, φ, λ)
				one.add(G - F)
				for _, f := range freqs {
					p := func(x float64) float64 { return clenshaw(e.a[s][h][b][:], x, rangeU) }
					q := func(x float64) float64 { return clenshaw(e.b[s][h][b][:], x, rangeU) }
					z := G*(2-p(-0.75)) - q(-0.75)
					fam.add(z*p(u(f)) + q(u(f)) - d.fam(s, h, b, F, f))
				}
			}
			for h := range 2 {
				for _, f := range freqs {
					for i := range 5 {
						r, x := rangeX, math.Log10(f)
						if i == 4 {
							r, x = rangeX1, math.Min(x, 1)
						}
						dev.add(clenshaw(e.dev[s][h][b][i][:], x, r) - d.deviation(s, h, b, i, f))
					}
				}
			}
		}
	}
	for _, r := range []struct {
		what string
		*spread
	}{{"Fam at 1 MHz", &one}, {"Fam", &fam}, {"deviations", &dev}} {
		fmt.Printf("%-13s rounding %.1e dB rms, %.1e at most, of %d\n", r.what, math.Sqrt(r.sum2/float64(r.n)), r.peak, r.n)
	}
}

type spread struct {
	n          int
	sum2, peak float64
}

func (s *spread) add(x float64) {
	s.n++
	s.sum2 += x * x
	s.peak = max(s.peak, math.Abs(x))
}
