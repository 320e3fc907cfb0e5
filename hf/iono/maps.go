package iono

import (
	"bytes"
	"compress/flate"
	_ "embed"
	"encoding/binary"
	"io"
	"math"
	"sync"

	"farhail/hf/earth"
)

// A series is one numerical map as we keep it: polynomials orthonormal on the
// sphere in place of powers of sin μ, the months as Fourier components, the
// activity as a middle and a slope (tables/ionomaps).
type series struct {
	name   string
	packed []byte
	q      []int // highest power of sin μ, by order of longitude
	h      int   // diurnal harmonics
	mid    float64

	once sync.Once
	amp  []float64 // [part 2][k][j][season 12]
}

//go:embed data/fof2.bin
var foF2Bin []byte

//go:embed data/m3000.bin
var m3000Bin []byte

//go:embed data/fof2b.bin
var foF2bBin []byte

//go:embed data/foes50.bin
var foEs50Bin []byte

//go:embed data/foes10.bin
var foEs10Bin []byte

//go:embed data/foes90.bin
var foEs90Bin []byte

// Highest powers of sin μ for each order of longitude.
// Source: ITU-R P.1239-3 §2, as in our notes (cross-checked); foEs: Leftin et al. (1968).
var (
	foF2Series  = &series{name: "fof2", packed: foF2Bin, q: []int{11, 11, 8, 4, 1, 0, 0, 0, 0}, h: 6, mid: 60}
	m3000Series = &series{name: "m3000", packed: m3000Bin, q: []int{6, 7, 5, 2, 1, 0, 0}, h: 4, mid: 60}
	foF2bSeries = &series{name: "fof2b", packed: foF2bBin, q: foF2Series.q, h: 6, mid: 60}
	foEs50      = &series{name: "foes50", packed: foEs50Bin, q: []int{10, 12, 6, 2, 0, 0}, h: 3, mid: 95}
	foEs10      = &series{name: "foes10", packed: foEs10Bin, q: []int{10, 11, 5, 2, 0}, h: 2, mid: 95}
	foEs90      = &series{name: "foes90", packed: foEs90Bin, q: []int{10, 12, 6, 0, 0}, h: 2, mid: 95}
)

const (
	foF2Functions, foF2Diurnal   = 76, 13
	m3000Functions, m3000Diurnal = 49, 9
	maxPower                     = 12
	maxOrder                     = 8
)

func (s *series) functions() int {
	n := s.q[0] + 1
	for _, q := range s.q[1:] {
		n += 2 * (q + 1)
	}
	return n
}

func (s *series) diurnal() int { return 2*s.h + 1 }

func (s *series) decode() []float64 {
	s.once.Do(func() {
		raw, err := io.ReadAll(flate.NewReader(bytes.NewReader(s.packed)))
		if err != nil {
			panic("iono: " + s.name + ": " + err.Error())
		}
		step, n := binary.Uvarint(raw)
		raw = raw[n:]
		s.amp = make([]float64, 2*s.functions()*s.diurnal()*12)
		for i := range s.amp {
			v, n := binary.Varint(raw)
			if n <= 0 {
				panic("iono: " + s.name + " is short")
			}
			raw, s.amp[i] = raw[n:], float64(v)*float64(step)*1e-9
		}
	})
	return s.amp
}

// month adds w times the coefficients of a month at an index to c[j][k], j the
// diurnal term and k the place function, each times the function's norm.
func (s *series) month(c []float64, month int, index, w float64) {
	var season [12]float64
	season[0] = 1
	for n := 1; n <= 5; n++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(n*(month-1)) / 12)
		season[2*n-1], season[2*n] = math.Sqrt2*cos, math.Sqrt2*sin
	}
	season[11] = float64(1 - 2*((month-1)%2))

	amp, nk, nj := s.decode(), s.functions(), s.diurnal()
	for part, x := range [2]float64{w, w * (index - s.mid) / 50} {
		at := amp[part*nk*nj*12:]
		for k := range nk {
			for j := range nj {
				sum := 0.0
				for i, v := range at[:12] {
					sum += v * season[i]
				}
				at = at[12:]
				if j > 0 {
					sum *= math.Sqrt2
				}
				c[j*nk+k] += x * sum
			}
		}
	}
}

// geometry is the part of the place functions two maps share.
type geometry struct {
	sinμ float64
	trig [2 * maxOrder]float64 // 2 cosᵖφ cos pλ, 2 cosᵖφ sin pλ for p = 1, 2 …
}

func newGeometry(p earth.Point, μ float64) geometry {
	g := geometry{sinμ: math.Sin(μ)}
	cosφ := math.Cos(p.Lat.Rad())
	sin1, cos1 := math.Sincos(p.Lon.Rad())
	c, s := 2.0, 0.0
	for i := 0; i < len(g.trig); i += 2 {
		c, s = cosφ*(c*cos1-s*sin1), cosφ*(s*cos1+c*sin1)
		g.trig[i], g.trig[i+1] = c, s
	}
	return g
}

// polynomials are the recurrence factors and norms of the orthonormal polynomials
// of weight (1−s²)^p:  s P_j = a_{j+1} P_{j+1} + a_j P_{j−1},  ∫ (1−s²)^p P_j² ds = 1.
type polynomials struct {
	p0 float64
	a  [maxPower + 2]float64
}

var legendre = sync.OnceValue(func() *[maxOrder + 1]polynomials {
	t := new([maxOrder + 1]polynomials)
	norm2 := 2.0
	for p := range t {
		if p > 0 {
			norm2 *= float64(2*p) / float64(2*p+1)
		}
		t[p].p0 = 1 / math.Sqrt(norm2)
		for j := 1; j < len(t[p].a); j++ {
			t[p].a[j] = math.Sqrt(float64(j*(j+2*p)) / float64((2*j+2*p-1)*(2*j+2*p+1)))
		}
	}
	return t
})

// fill writes the place functions of powers q into out.
func (g *geometry) fill(out []float64, q []int) {
	t := legendre()
	k := 0
	for p, top := range q {
		u := &t[p]
		P, before := u.p0, 0.0
		if p == 0 {
			P *= math.Sqrt2
		}
		for j := 0; ; j++ {
			if p == 0 {
				out[k] = P
				k++
			} else {
				out[k], out[k+1] = P*g.trig[2*p-2], P*g.trig[2*p-1]
				k += 2
			}
			if j == top {
				break
			}
			P, before = (g.sinμ*P-u.a[j]*before)/u.a[j+1], P
		}
	}
}

// sums multiplies out c[j][k] G[k] into one number a diurnal term.
func sums(dst, c, G []float64) {
	n := len(G)
	for j := range dst {
		row := c[j*n : j*n+n : j*n+n]
		var a, b float64
		i := 0
		for ; i+1 < n; i += 2 {
			a += row[i] * G[i]
			b += row[i+1] * G[i+1]
		}
		if i < n {
			a += row[i] * G[i]
		}
		dst[j] = a + b
	}
}

// IndexCap is where the maps stop growing with the index.
// Source: ITU-R P.533-14 §2, as in our notes (from memory, high).
const IndexCap = 160

// A Mix names the monthly maps behind a day: two neighbouring months, each with its
// own index, the second weighted W. A plain month has W = 0.
type Mix struct {
	MonthA, MonthB int
	IndexA, IndexB float64
	W              float64
}

// Month is the mix of the middle of a month.
func Month(month int, index float64) Mix { return Mix{month, month, index, index, 0} }

// Day is the mix of a calendar day: linear between days 15 of neighbouring months.
// The indices are asked for by year and month. The interpolation is ours; the maps
// are monthly.
func Day(year, month, day int, index func(year, month int) float64) Mix {
	y0, m0, y1, m1 := year, month, year, month
	if day < 15 {
		if m0--; m0 == 0 {
			y0, m0 = year-1, 12
		}
	} else if m1++; m1 == 13 {
		y1, m1 = year+1, 1
	}
	a, b := earth.JulianDay(y0, m0, 15), earth.JulianDay(y1, m1, 15)
	w := (earth.JulianDay(year, month, day) - a) / (b - a)
	return Mix{m0, m1, index(y0, m0), index(y1, m1), w}
}

func (s *series) mix(c []float64, m Mix) {
	s.month(c, m.MonthA, min(m.IndexA, IndexCap), 1-m.W)
	if m.W != 0 {
		s.month(c, m.MonthB, min(m.IndexB, IndexCap), m.W)
	}
}

// Maps are foF2 and M(3000)F2 of one day over the world.
//
//	Ω(φ, λ, T) = Σ_k G_k(φ, λ, μ) [ c0_k + Σ_j (s_jk sin jT + c_jk cos jT) ]
//
// Source: ITU-R P.1239-3 §2–3; Jones and Gallet (1962, 1965). Accuracy against the
// published coefficients: docs/accuracy.md.
type Maps struct {
	f [foF2Diurnal * foF2Functions]float64
	m [m3000Diurnal * m3000Functions]float64
}

// Set chooses the coefficients of foF2.
type Set int

const (
	CCIR Set = iota // the Recommendation's own
	URSI            // Rush et al. (1989): another fit of the same quantity
)

// NewMaps combines the coefficients of a day.
func NewMaps(set Set, mix Mix) *Maps {
	m := new(Maps)
	if set == URSI {
		foF2bSeries.mix(m.f[:], mix)
	} else {
		foF2Series.mix(m.f[:], mix)
	}
	m3000Series.mix(m.m[:], mix)
	return m
}

// Place is the daily course of foF2 and M(3000)F2 at one place.
type Place struct {
	f [foF2Diurnal]float64
	m [m3000Diurnal]float64
}

// Place evaluates the maps at a point of modified dip μ (radians), for all hours.
func (m *Maps) Place(p earth.Point, μ float64) (pl Place) {
	g := newGeometry(p, μ)
	var G [foF2Functions]float64
	g.fill(G[:], foF2Series.q)
	sums(pl.f[:], m.f[:], G[:])
	g.fill(G[:m3000Functions], m3000Series.q)
	sums(pl.m[:], m.m[:], G[:m3000Functions])
	return pl
}

// Hour is a moment of the day as the maps want it: 1, sin T, cos T, sin 2T …
type Hour [foF2Diurnal]float64

// AtUTC prepares a UT hour.
func AtUTC(h float64) (d Hour) {
	T := (15*h - 180) * math.Pi / 180
	d[0] = 1
	sin1, cos1 := math.Sincos(T)
	s, c := 0.0, 1.0
	for n := 1; n <= 6; n++ {
		s, c = s*cos1+c*sin1, c*cos1-s*sin1
		d[2*n-1], d[2*n] = s, c
	}
	return d
}

// The maps never fall this low (accuracy tests); the floors keep the formulas that
// divide by foF2 and M(3000)F2 total if an index is extrapolated far.
const floorFoF2MHz, floorM3000 = 0.2, 1.5

// FoF2 returns the monthly median critical frequency, MHz.
func (p *Place) FoF2(d *Hour) float64 {
	v := 0.0
	for i, x := range p.f {
		v += x * d[i]
	}
	return max(v, floorFoF2MHz)
}

// M3000 returns the monthly median of M(3000)F2.
func (p *Place) M3000(d *Hour) float64 {
	v := 0.0
	for i, x := range p.m {
		v += x * d[i]
	}
	return max(v, floorM3000)
}

// Coefficients returns the maps of a month in the Recommendation's own basis: foF2
// [level 0, 100][k 76][j 13] and M(3000)F2 [level][k 49][j 9], in the published
// order of k and j. It is what the embedded form stands for, for checks.
func Coefficients(set Set, month int) (f [2][][]float64, m [2][][]float64) {
	s := foF2Series
	if set == URSI {
		s = foF2bSeries
	}
	for level, index := range [2]float64{0, 100} {
		f[level] = s.published(month, index)
		m[level] = m3000Series.published(month, index)
	}
	return f, m
}

// EsCoefficients returns those of foEs exceeded on 90, 50 and 10 per cent of days, likewise.
func EsCoefficients(month int) (lower, median, upper [2][][]float64) {
	for level, index := range [2]float64{0, 100} {
		lower[level] = foEs90.published(month, index)
		median[level] = foEs50.published(month, index)
		upper[level] = foEs10.published(month, index)
	}
	return lower, median, upper
}

// published turns the orthonormal form of a month back into powers of sin μ.
func (s *series) published(month int, index float64) [][]float64 {
	nk, nj := s.functions(), s.diurnal()
	c := make([]float64, nj*nk)
	s.month(c, month, index, 1)
	out := make([][]float64, nk)
	for k := range out {
		out[k] = make([]float64, nj)
	}
	k := 0
	for p, q := range s.q {
		u := &legendre()[p]
		pair, norm := 2, 2.0
		if p == 0 {
			pair, norm = 1, math.Sqrt2
		}
		power := make([][]float64, q+2) // power[j][i]: P_j = Σ_i power[j][i] sⁱ
		power[0] = make([]float64, q+2)
		power[0][0] = u.p0 * norm
		for j := 0; j < q; j++ {
			power[j+1] = make([]float64, q+2)
			for i := range q + 1 {
				power[j+1][i+1] += power[j][i] / u.a[j+1]
				if j > 0 {
					power[j+1][i] -= u.a[j] * power[j-1][i] / u.a[j+1]
				}
			}
		}
		for half := range pair {
			for j := 0; j <= q; j++ {
				for i := 0; i <= q; i++ {
					for d := range nj {
						out[k+pair*i+half][d] += power[j][i] * c[d*nk+k+pair*j+half]
					}
				}
			}
		}
		k += pair * (q + 1)
	}
	return out
}
