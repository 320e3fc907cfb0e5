package noise

import (
	"bytes"
	"compress/flate"
	_ "embed"
	"encoding/binary"
	"io"
	"math"
	"sync"
)

//go:embed data/deck.bin
var deckBin []byte

const (
	seasons, blocks = 4, 6
	lonTerms        = 16 // k = 1…15 of sin(kλ/2), and a constant
	latTerms        = 29 // j = 1…29 of sin jθ
)

// Kinds of deviation, in the order of the deck.
const (
	du = iota
	dl
	σdu
	σdl
	σfam
	deviations
)

// A domain is the range of a Chebyshev series; tables/noise has the same ones.
type domain struct{ lo, hi float64 }

var (
	domainU   = domain{u(1), u(30)}
	domainX   = domain{0, math.Log10(30)}
	domainX10 = domain{0, 1} // σFam ends at 10 MHz
)

// tables is the deck as it is evaluated. The map has its six blocks innermost, for one
// place is always wanted in all of them. Polynomials are Chebyshev series, T₀ first.
type tables struct {
	α, β   [seasons][blocks]float64
	c      [seasons][latTerms][lonTerms][blocks]float64
	p, q   [seasons][2][blocks][7]float64 // hemisphere N, S
	p1, q1 [seasons][2][blocks]float64    // p(u) and q(u) at 1 MHz
	dev    [seasons][2][blocks][deviations][5]float64
}

// deck decodes the embedded tables once. A bad embed is a broken build, so it panics.
//
// The file is four groups of tables over season and block: a quantum, then for each of
// the 4 × 6 Fourier components one number a table (tables/noise).
var deck = sync.OnceValue(func() *tables {
	raw, err := io.ReadAll(flate.NewReader(bytes.NewReader(deckBin)))
	if err != nil {
		panic("noise: read deck: " + err.Error())
	}
	d := new(tables)
	next := func(n int) (t [][seasons][blocks]float64) {
		t, raw = group(raw, n)
		return t
	}
	place := func(t [][seasons][blocks]float64, put func(i, s, b int, v float64)) {
		for i := range t {
			for s := range seasons {
				for b := range blocks {
					put(i, s, b, t[i][s][b])
				}
			}
		}
	}
	maps := next(2 + latTerms*lonTerms)
	d.α, d.β = maps[0], maps[1]
	place(maps[2:], func(i, s, b int, v float64) { d.c[s][i/lonTerms][i%lonTerms][b] = v })
	place(next(2*7), func(i, s, b int, v float64) { d.p[s][i/7][b][i%7] = v })
	place(next(2*7), func(i, s, b int, v float64) { d.q[s][i/7][b][i%7] = v })
	place(next(2*deviations*5), func(i, s, b int, v float64) { d.dev[s][i/(deviations*5)][b][i/5%deviations][i%5] = v })
	if len(raw) != 0 {
		panic("noise: the deck is too long")
	}
	t := domainU.chebyshev(u(1))
	for s := range seasons {
		for h := range 2 {
			for b := range blocks {
				d.p1[s][h][b] = dot7(&d.p[s][h][b], &t)
				d.q1[s][h][b] = dot7(&d.q[s][h][b], &t)
			}
		}
	}
	return d
})

// group decodes n tables and returns what is left of raw.
func group(raw []byte, n int) ([][seasons][blocks]float64, []byte) {
	nano, w := binary.Uvarint(raw)
	raw = raw[w:]
	t := make([][seasons][blocks]float64, n)
	fs, fb := fourier(seasons), fourier(blocks)
	for i := range seasons {
		for j := range blocks {
			for k := range t {
				v, w := binary.Varint(raw)
				if w <= 0 {
					panic("noise: the deck is short")
				}
				raw = raw[w:]
				x := float64(v) * float64(nano) * 1e-9
				for s := range seasons {
					for b := range blocks {
						t[k][s][b] += fs[i][s] * fb[j][b] * x
					}
				}
			}
		}
	}
	return t, raw
}

// fourier returns the orthonormal components [component][index] of n values round a
// circle, n even: mean; cosine and sine of each harmonic; the alternating one.
func fourier(n int) [][]float64 {
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
		h := (i + 1) / 2
		scale := math.Sqrt(2 / float64(n))
		if h == 0 || 2*h == n {
			scale = math.Sqrt(1 / float64(n))
		}
		for k := range m[i] {
			sin, cos := math.Sincos(2 * math.Pi * float64(h*k) / float64(n))
			m[i][k] = scale * cos
			if i > 0 && i%2 == 0 {
				m[i][k] = scale * sin
			}
		}
	}
	return m
}

// chebyshev returns T₀…T₆ at x.
func (d domain) chebyshev(x float64) (t [7]float64) {
	z := (2*x - d.lo - d.hi) / (d.hi - d.lo)
	t[0], t[1] = 1, z
	for n := 2; n < len(t); n++ {
		t[n] = 2*z*t[n-1] - t[n-2]
	}
	return t
}

func dot7(c, t *[7]float64) float64 {
	return c[0]*t[0] + c[1]*t[1] + c[2]*t[2] + c[3]*t[3] + c[4]*t[4] + c[5]*t[5] + c[6]*t[6]
}

func dot5(c *[5]float64, t *[7]float64) float64 {
	return c[0]*t[0] + c[1]*t[1] + c[2]*t[2] + c[3]*t[3] + c[4]*t[4]
}
