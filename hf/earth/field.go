package earth

import (
	"bytes"
	"compress/flate"
	_ "embed"
	"encoding/binary"
	"io"
	"math"
	"sync"
)

//go:embed data/igrf14.bin
var igrfBin []byte

const (
	fieldDegree = 13
	firstEpoch  = 1955
	lastEpoch   = 2025
	fieldEnd    = 2030 // the secular variation is given to here
	epochs      = (lastEpoch-firstEpoch)/5 + 1
	fieldRows   = fieldDegree * (fieldDegree + 2)
)

// igrf returns the coefficients [row][epoch 1955, 1960 … 2025, then nT a year],
// rows in the order g10 g11 h11 g20 g21 h21 …, nT. A bad embed is a broken build.
var igrf = sync.OnceValue(func() *[fieldRows][epochs + 1]float64 {
	raw, err := io.ReadAll(flate.NewReader(bytes.NewReader(igrfBin)))
	if err != nil {
		panic("earth: igrf14.bin: " + err.Error())
	}
	t := new([fieldRows][epochs + 1]float64)
	for i := range t {
		var n int64
		for j := range t[i] {
			d, k := binary.Varint(raw)
			if k <= 0 {
				panic("earth: igrf14.bin is short")
			}
			if j == epochs {
				n = 0
			}
			n += d
			t[i][j], raw = float64(n)/100, raw[k:]
		}
	}
	return t
})

// IGRF returns the coefficients of a year, in nT, in the order g10 g11 h11 g20 g21
// h21 …: linear between epochs, by the secular variation after 2025. Years outside
// 1955–2030 take the nearest end.
//
// Source: IAGA, IGRF-14 (2024), doi 10.5281/zenodo.14012302.
func IGRF(year float64) [fieldRows]float64 {
	year = min(max(year, firstEpoch), fieldEnd)
	t := igrf()
	var c [fieldRows]float64
	k := int(math.Floor((year - firstEpoch) / 5))
	if k >= epochs-1 {
		for i := range c {
			c[i] = t[i][epochs-1] + (year-lastEpoch)*t[i][epochs]
		}
		return c
	}
	w := (year - firstEpoch - 5*float64(k)) / 5
	for i := range c {
		c[i] = t[i][k]*(1-w) + t[i][k+1]*w
	}
	return c
}

// FieldYears are the years the field model covers.
const FieldFirstYear, FieldLastYear = firstEpoch, fieldEnd

// Field is the main magnetic field at one date.
type Field struct{ gh [fieldRows]float64 }

// FieldAt prepares the field of a decimal year.
func FieldAt(year float64) *Field { return &Field{IGRF(year)} }

// DecimalYear returns a day as a year and its fraction, at noon.
func DecimalYear(year, month, day int) float64 {
	a, b := JulianDay(year, 1, 1), JulianDay(year+1, 1, 1)
	return float64(year) + (JulianDay(year, month, day)+0.5-a)/(b-a)
}

// Vector is the field at a point in the geodetic frame, nT.
type Vector struct{ X, Y, Z float64 } // north, east, down

func (v Vector) H() float64   { return math.Hypot(v.X, v.Y) }
func (v Vector) F() float64   { return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z) }
func (v Vector) Dip() float64 { return math.Atan2(v.Z, v.H()) } // radians, positive down
func (v Vector) Declination() float64 {
	return math.Atan2(v.Y, v.X) // radians, positive east
}

// GyroMHz returns the electron gyrofrequency.
//
//	fH = e B / (2π m_e) = 2.799249e-5 F     [MHz], F [nT]
func (v Vector) GyroMHz() float64 { return 2.799249e-5 * v.F() }

// At returns the field at a geodetic place and height above the WGS-84 ellipsoid.
//
//	V = a Σ (a/r)^(n+1) [g cos mλ + h sin mλ] P_n^m(cos θ),  a = 6371.2 km,
//
// Schmidt semi-normalised, synthesised in geocentric coordinates and turned to
// geodetic north and down. Source: IGRF-14; WGS-84 a = 6378.137 km, f = 1/298.257223563.
func (f *Field) At(p Point, heightKm float64) Vector {
	const A, f84, aRef = 6378.137, 1 / 298.257223563, 6371.2
	const A2, B2 = A * A, A * A * (1 - f84) * (1 - f84)
	sinφ, cosφ := math.Sincos(p.Lat.Rad())
	// geodetic to geocentric
	N := A2 / math.Sqrt(A2*cosφ*cosφ+B2*sinφ*sinφ)
	ρ := (N + heightKm) * cosφ
	z := (N*B2/A2 + heightKm) * sinφ
	r := math.Hypot(ρ, z)
	c, s := z/r, ρ/r // cos θ, sin θ of the geocentric colatitude
	if s < 1e-10 {
		s = 1e-10 // at a pole east is undefined; the limit along the meridian is meant
	}
	// angle from geocentric to geodetic vertical
	sinδ, cosδ := sinφ*s-cosφ*c, cosφ*s+sinφ*c

	var cosm, sinm [fieldDegree + 1]float64
	sin1, cos1 := math.Sincos(p.Lon.Rad())
	cosm[0] = 1
	for m := 1; m <= fieldDegree; m++ {
		cosm[m] = cosm[m-1]*cos1 - sinm[m-1]*sin1
		sinm[m] = sinm[m-1]*cos1 + cosm[m-1]*sin1
	}

	k := schmidt()
	var Bx, By, Bz float64
	var p1, p2, d1, d2 [fieldDegree + 2]float64 // P and dP/dθ of the two rows before
	p1[0] = 1
	q := aRef / r
	power := q * q
	i := 0
	for n := 1; n <= fieldDegree; n++ {
		var pn, dn [fieldDegree + 2]float64
		power *= q
		var x, y, w float64
		for m := 0; m <= n; m++ {
			if m == n {
				u := k.diag[n]
				pn[m] = u * s * p1[m-1]
				dn[m] = u * (s*d1[m-1] + c*p1[m-1])
			} else {
				a, b := k.a[n][m], k.b[n][m]
				pn[m] = a*c*p1[m] - b*p2[m]
				dn[m] = a*(c*d1[m]-s*p1[m]) - b*d2[m]
			}
			g := f.gh[i]
			i++
			h := 0.0
			if m > 0 {
				h = f.gh[i]
				i++
				y += float64(m) * (g*sinm[m] - h*cosm[m]) * pn[m]
			}
			t := g*cosm[m] + h*sinm[m]
			x += t * dn[m]
			w += t * pn[m]
		}
		Bx += power * x
		By += power * y
		Bz -= power * float64(n+1) * w
		p2, d2, p1, d1 = p1, d1, pn, dn
	}
	By /= s
	return Vector{Bx*cosδ + Bz*sinδ, By, Bz*cosδ - Bx*sinδ}
}

type schmidtFactors struct {
	a, b [fieldDegree + 1][fieldDegree + 1]float64
	diag [fieldDegree + 1]float64
}

// schmidt returns the factors of the recursion in n at fixed m:
//
//	P_n^m = [ (2n−1) cos θ P_{n−1}^m − √((n−1)²−m²) P_{n−2}^m ] / √(n²−m²)
//	P_n^n = √(1 − 1/2n) sin θ P_{n−1}^{n−1}      (P_1^1 = sin θ)
var schmidt = sync.OnceValue(func() *schmidtFactors {
	k := new(schmidtFactors)
	for n := 1; n <= fieldDegree; n++ {
		k.diag[n] = math.Sqrt(1 - 1/(2*float64(n)))
		if n == 1 {
			k.diag[n] = 1
		}
		for m := range n {
			r := math.Sqrt(float64(n*n - m*m))
			k.a[n][m] = float64(2*n-1) / r
			k.b[n][m] = math.Sqrt(math.Max(0, float64((n-1)*(n-1)-m*m))) / r
		}
	}
	return k
})

// Modip returns the modified dip μ of a dip I, both in radians.
//
//	tan μ = I / √(cos φ)
//
// Source: ITU-R P.1239-3 §2, as in our notes; Rawer (1963).
func Modip(dip float64, lat float64) float64 {
	return math.Atan2(dip, math.Sqrt(math.Max(0, math.Cos(lat))))
}
