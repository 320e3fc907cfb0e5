//go:build ignore

// Gen re-expresses the numerical maps of foF2, M(3000)F2 and foEs as hf/iono
// embeds them.
//
// The published series use powers of the sine of the modified dip, which nearly
// cancel one another: hundreds of megahertz add up to five. Here every power series
// is turned into the polynomials that are orthonormal on the sphere (associated
// Legendre functions without their cosine factor), the months into their twelve
// Fourier components, the two levels of activity into a middle and a slope. Numbers
// in that form are amplitudes in MHz that can be rounded one by one: each is
// quantised with one step a map, and deflated.
//
//	go run tables/ionomaps/gen.go ../shared/data
package main

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

// A spec is one map: highest powers of sin μ a longitude order, diurnal harmonics,
// the two levels of the index, the quantum.
type spec struct {
	name   string
	q      []int
	h      int
	lo, hi float64 // index of the two levels
	step   float64
	data   [12][2][][]float64 // [month][level][k][j] as published
}

var foF2Q, m3000Q = []int{11, 11, 8, 4, 1, 0, 0, 0, 0}, []int{6, 7, 5, 2, 1, 0, 0}

func main() {
	log.SetFlags(0)
	if len(os.Args) != 2 {
		log.Fatal("usage: gen DATA-FOLDER")
	}
	dir := os.Args[1]
	f := spec{name: "fof2", q: foF2Q, h: 6, hi: 100, step: 1e-5}
	m := spec{name: "m3000", q: m3000Q, h: 4, hi: 100, step: 2e-6}
	u := spec{name: "fof2b", q: foF2Q, h: 6, hi: 100, step: 1e-4}
	for month := range 12 {
		ccir := numbers(filepath.Join(dir, "ccir", fmt.Sprintf("ccir%d.asc", month+11)), 2858)
		ccir = f.take(month, ccir)
		m.take(month, ccir)
		u.take(month, numbers(filepath.Join(dir, "ccir", fmt.Sprintf("ursi%d.asc", month+11)), 1976))
	}
	es := map[string]*spec{
		"median": {name: "foes50", q: []int{10, 12, 6, 2, 0, 0}, h: 3, lo: 10, hi: 180, step: 1e-4},
		"upper":  {name: "foes10", q: []int{10, 11, 5, 2, 0}, h: 2, lo: 10, hi: 180, step: 1e-4},
		"lower":  {name: "foes90", q: []int{10, 12, 6, 0, 0}, h: 2, lo: 10, hi: 180, step: 1e-4},
	}
	readEs(filepath.Join(dir, "foes", "foes_coefficients.txt"), es)
	for _, s := range []*spec{&f, &m, &u, es["median"], es["upper"], es["lower"]} {
		s.write()
	}
	checks(dir, &f, &m, &u, es)
}

// value is the published series added up as printed: the slow way, for checks.
func (s *spec) value(month int, lat, lon, ut, index, modip float64) float64 {
	rad := math.Pi / 180
	sμ, cosφ := math.Sin(modip*rad), math.Cos(lat*rad)
	T := (15*ut - 180) * rad
	var G []float64
	for p, q := range s.q {
		for i := 0; i <= q; i++ {
			x := math.Pow(sμ, float64(i)) * math.Pow(cosφ, float64(p))
			if p == 0 {
				G = append(G, x)
			} else {
				G = append(G, x*math.Cos(float64(p)*lon*rad), x*math.Sin(float64(p)*lon*rad))
			}
		}
	}
	var y [2]float64
	for level := range y {
		for k, g := range G {
			c := s.data[month-1][level][k]
			sum := c[0]
			for h := 1; h <= s.h; h++ {
				sum += c[2*h-1]*math.Sin(float64(h)*T) + c[2*h]*math.Cos(float64(h)*T)
			}
			y[level] += g * sum
		}
	}
	return y[0] + (y[1]-y[0])*(index-s.lo)/(s.hi-s.lo)
}

// checks evaluates the published coefficients where the sets' own check values lie,
// compares, and leaves the points for the tests of hf/iono.
func checks(dir string, f, m, u *spec, es map[string]*spec) {
	rows := func(file string) (out [][]float64) {
		b, err := os.ReadFile(filepath.Join(dir, file))
		if err != nil {
			log.Fatal(err)
		}
		for _, line := range strings.Split(strings.TrimSpace(string(b)), "\n")[1:] {
			var r []float64
			for _, w := range strings.Split(line, ",") {
				v, err := strconv.ParseFloat(strings.TrimSpace(w), 64)
				if err != nil {
					v = math.NaN()
				}
				r = append(r, v)
			}
			out = append(out, r)
		}
		return out
	}
	var b strings.Builder
	worst := 0.0
	b.WriteString("# lat lon month ut index modip | foF2 M3000 foF2(second set); evaluated from the published coefficients by tables/ionomaps/gen.go\n")
	for _, r := range rows("ccir/check_values.csv") {
		lat, lon, month, ut, index, modip := r[1], r[2], int(r[3]), r[4], r[5], r[7]
		v := [3]float64{}
		for i, s := range []*spec{f, m, u} {
			v[i] = s.value(month, lat, lon, ut, index, modip)
			worst = max(worst, math.Abs(v[i]-r[8+i]))
		}
		fmt.Fprintf(&b, "%g %g %d %g %g %g %.6f %.6f %.6f\n", lat, lon, month, ut, index, modip, v[0], v[1], v[2])
	}
	save("hf/iono/testdata/maps.txt", b.String(), worst)
	b.Reset()
	worst = 0
	b.WriteString("# lat lon month ut r12 modip | foEs exceeded 90, 50, 10 % of the time; evaluated by tables/ionomaps/gen.go\n")
	for _, r := range rows("foes/check_values.csv") {
		lat, lon, month, ut, index, modip := r[0], r[1], int(r[2]), r[3], r[4], r[5]
		v := [3]float64{}
		for i, kind := range []string{"lower", "median", "upper"} {
			v[i] = es[kind].value(month, lat, lon, ut, index, modip)
			worst = max(worst, math.Abs(v[i]-r[6+i]))
		}
		fmt.Fprintf(&b, "%g %g %d %g %g %g %.6f %.6f %.6f\n", lat, lon, month, ut, index, modip, v[0], v[1], v[2])
	}
	save("hf/iono/testdata/foes.txt", b.String(), worst)
}

func save(file, text string, worst float64) {
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s: the sets' own check values are met to %.2g\n", file, worst)
}

var number = regexp.MustCompile(`[-+]?\d*\.\d+E[-+]\d+`)

func numbers(file string, want int) []float64 {
	b, err := os.ReadFile(file)
	if err != nil {
		log.Fatal(err)
	}
	var out []float64
	for _, w := range number.FindAllString(string(b), -1) {
		v, err := strconv.ParseFloat(strings.TrimSpace(w), 64)
		if err != nil {
			log.Fatal(err)
		}
		out = append(out, v)
	}
	if len(out) != want {
		log.Fatalf("%s: %d numbers, want %d", file, len(out), want)
	}
	return out
}

func (s *spec) functions() int {
	n := s.q[0] + 1
	for _, q := range s.q[1:] {
		n += 2 * (q + 1)
	}
	return n
}

func (s *spec) take(month int, v []float64) []float64 {
	for level := range 2 {
		for range s.functions() {
			n := 2*s.h + 1
			s.data[month][level] = append(s.data[month][level], v[:n])
			v = v[n:]
		}
	}
	return v
}

func readEs(file string, es map[string]*spec) {
	b, err := os.ReadFile(file)
	if err != nil {
		log.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(b)), "\n")
	for i := 0; i < len(lines); {
		w := strings.Fields(lines[i])
		i++
		if w[0] == "#" || strings.HasPrefix(w[0], "#") {
			continue
		}
		month, _ := strconv.Atoi(w[0])
		nk, _ := strconv.Atoi(w[3])
		s := es[w[1]]
		level := map[string]int{"min": 0, "max": 1}[w[2]]
		if s == nil || nk != s.functions() {
			log.Fatalf("block %v does not fit", w)
		}
		for range nk {
			var row []float64
			for _, x := range strings.Fields(lines[i]) {
				v, err := strconv.ParseFloat(x, 64)
				if err != nil {
					log.Fatal(err)
				}
				row = append(row, v)
			}
			if len(row) != 2*s.h+1 {
				log.Fatalf("line %d: %d numbers, want %d", i+1, len(row), 2*s.h+1)
			}
			s.data[month-1][level] = append(s.data[month-1][level], row)
			i++
		}
	}
}

// powersIn returns T with s^i = Σ_j T[i][j] P_j(s): P_j orthonormal on −1…1 with
// weight (1−s²)^p, built by the three-term recurrence x P_j = a_{j+1} P_{j+1} + a_j P_{j−1}.
func powersIn(p, q int) [][]float64 {
	a := func(j int) float64 {
		return math.Sqrt(float64(j*(j+2*p)) / float64((2*j+2*p-1)*(2*j+2*p+1)))
	}
	norm := 1.0 // ∫ (1−s²)^p ds = norm²
	n2 := 2.0
	for k := 1; k <= p; k++ {
		n2 *= float64(2*k) / float64(2*k+1)
	}
	norm = math.Sqrt(n2)
	T := make([][]float64, q+1)
	T[0] = make([]float64, q+1)
	T[0][0] = norm
	for i := 1; i <= q; i++ {
		T[i] = make([]float64, q+1)
		for j := 0; j <= q; j++ { // s · s^(i−1)
			if j > 0 {
				T[i][j] += a(j) * T[i-1][j-1]
			}
			if j < q {
				T[i][j] += a(j+1) * T[i-1][j+1]
			}
		}
	}
	return T
}

// orthonormal turns c[k] (one diurnal term, powers of sin μ) into amplitudes.
func (s *spec) orthonormal(c []float64) []float64 {
	out := make([]float64, len(c))
	k := 0
	for p, q := range s.q {
		T := powersIn(p, q)
		pair := 2
		if p == 0 {
			pair = 1
		}
		// rms over longitude of cos pλ is 1/√2; of the polynomial part 1/√2
		scale := 0.5
		if p == 0 {
			scale = math.Sqrt2 / 2
		}
		for half := range pair {
			for i := 0; i <= q; i++ {
				for j := 0; j <= q; j++ {
					out[k+pair*j+half] += c[k+pair*i+half] * T[i][j] * scale
				}
			}
		}
		k += pair * (q + 1)
	}
	return out
}

func (s *spec) write() {
	nk, nj := s.functions(), 2*s.h+1
	// middle of the level range, and the change over 100 of index
	mid := 60.0
	if s.lo != 0 {
		mid = (s.lo + s.hi) / 2
	}
	var amp [12][2][][]float64 // [month][mid, slope][j][k]
	for month := range 12 {
		for part := range 2 {
			amp[month][part] = make([][]float64, nj)
			for j := range nj {
				c := make([]float64, nk)
				for k := range nk {
					lo, hi := s.data[month][0][k][j], s.data[month][1][k][j]
					slope := (hi - lo) / (s.hi - s.lo)
					if part == 0 {
						c[k] = lo + slope*(mid-s.lo)
					} else {
						c[k] = slope * 50
					}
				}
				a := s.orthonormal(c)
				if j > 0 {
					for k := range a {
						a[k] *= math.Sqrt2 / 2
					}
				}
				amp[month][part][j] = a
			}
		}
	}
	raw := binary.AppendUvarint(nil, uint64(math.Round(s.step*1e9)))
	nonzero := 0
	for part := range 2 {
		for k := range nk {
			for j := range nj {
				for _, v := range seasons(func(m int) float64 { return amp[m][part][j][k] }) {
					n := int64(math.Round(v / s.step))
					if n != 0 {
						nonzero++
					}
					raw = binary.AppendVarint(raw, n)
				}
			}
		}
	}
	var out bytes.Buffer
	w, _ := flate.NewWriter(&out, flate.BestCompression)
	w.Write(raw)
	w.Close()
	file := "hf/iono/data/" + s.name + ".bin"
	if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s: %d of %d numbers not zero, %d bytes\n", file, nonzero, 24*nk*nj, out.Len())
}

// seasons returns the twelve real Fourier components of a year: mean, then cos and
// sin of 1…5 cycles, then the alternating term; amplitudes are rms.
func seasons(v func(month int) float64) [12]float64 {
	var out [12]float64
	for m := range 12 {
		x := v(m) / 12
		out[0] += x
		for c := 1; c <= 5; c++ {
			s, k := math.Sincos(2 * math.Pi * float64(c*m) / 12)
			out[2*c-1] += math.Sqrt2 * x * k
			out[2*c] += math.Sqrt2 * x * s
		}
		out[11] += x * float64(1-2*(m%2))
	}
	return out
}
