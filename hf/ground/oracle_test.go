package ground

import (
	"math"
	"math/big"
	"math/cmplx"
	"testing"
)

// flat is Norton's attenuation of the flat earth,
//
//	F(p) = 1 − j√(πp) e^{−p} erfc(j√p) = 1 − √π u E(u),  u = j√p, E(u) = e^{u²} erfc(u)
//
// Source: notes §3, with the branch of u up to 135°.
func flat(p complex128) complex128 {
	u := 1i * cmplx.Sqrt(p)
	if real(u) < 0 {
		return 1 - rtπ*u*(2*cmplx.Exp(u*u)-scaledErfc(-u))
	}
	if cmplx.Abs(u) < 4.3 {
		return 1 - rtπ*u*scaledErfc(u)
	}
	F, term := complex128(0), complex128(1)
	for n := 1; n < 40; n++ {
		next := term * complex(-float64(2*n-1), 0) / (2 * u * u)
		if cmplx.Abs(next) > cmplx.Abs(term) {
			break
		}
		term = next
		F -= term
	}
	return F
}

// scaledErfc is E(u) = Σ (−u)ⁿ/Γ(n/2+1) for |u| < 4.3, Re u ≥ 0.
func scaledErfc(u complex128) complex128 {
	even, odd := complex128(1), -2*u/rtπ
	E := even + odd
	for k := 0.0; k < 200; k++ {
		even *= u * u / complex(k+1, 0)
		odd *= u * u / complex(k+1.5, 0)
		E += even + odd
		if cmplx.Abs(even)+cmplx.Abs(odd) < 1e-17*cmplx.Abs(E) {
			break
		}
	}
	return E
}

// The F table of notes §3; the contour without curvature must give the same. |F| of the
// last row is printed 1.03040130 there, against 1.03040128 from its own parts.
func TestFlatEarth(t *testing.T) {
	for _, r := range []struct {
		absp, b float64 // p = |p| e^{−jb}, degrees
		want    complex128
		abs     float64
	}{
		{0.1, 0, .812814906 - .507160578i, .9580605},
		{1, 0, -.076159014 - .652049332i, .65648193},
		{5, 0, -.157050889 - .026704689i, .15930512},
		{20, 0, -.027163577 - .000000016i, .02716358},
		{1, 45, .104188825 - .391545071i, .40517015},
		{5, 45, -.052927908 - .101624192i, .11458115},
		{1, 90, .190474518 - .232199390i, .30032832},
		{20, 90, .001836262 - .024774136i, .02484209},
		{100, 60, -.002460594 - .004395019i, .00503694},
		{1, -30, -.293558884 - .987699333i, 1.03040128},
	} {
		p := cmplx.Rect(r.absp, -r.b*math.Pi/180)
		F := theContour().sum(1i*cmplx.Sqrt(p), 0)
		nearC(t, "F(p) by the contour", F, r.want, 1.1e-9)
		near(t, "|F(p)|", cmplx.Abs(F), r.abs, 6e-9)
		// Norton's form is good to 7·10⁻⁸ of E where its branches meet, |u| = 4.3.
		nearC(t, "F(p)", flat(p), r.want, 2e-8)
	}
}

// curved adds to the flat earth the two small-curvature terms of notes §3.
func curved(Q, X complex128) complex128 {
	u := Q * cmplx.Sqrt(X)
	F, u2 := flat(-u*u), u*u
	Q3 := Q * Q * Q
	return F + (1-rtπ*u-(1-2*u2)*F)/(4*Q3) +
		(1-rtπ*u*(1+u2)+2*u2+5./6*u2*u2+(u2*u2/2-1)*F)/(4*Q3*Q3)
}

// Norton with curvature is another road to the near field: within 3·10⁻⁶ dB at x = 0.05
// and 3·10⁻⁵ at 0.1, as the notes tabulate.
func TestNearAgainstFlatWithCurvature(t *testing.T) {
	for _, r := range checkTable {
		c := curve(r.fMHz, r.g)
		for x, tol := range map[float64]float64{0.01: 3e-6, 0.05: 4e-6, 0.1: 4e-5} {
			want := curved(c.Q, complex(x, 0)*e30)
			if off := 20 * math.Log10(cmplx.Abs(c.near(x))/cmplx.Abs(want)); !(math.Abs(off) < tol) {
				t.Errorf("%v, %g MHz, x = %g: contour − flat with curvature = %.2g dB, want below %g", r.g, r.fMHz, x, off, tol)
			}
		}
	}
}

// The contour as the notes write it, term by term; near must be the same sum.
func TestNearIsTheContourAsWritten(t *testing.T) {
	const α = 0.52
	for _, r := range checkTable {
		c := curve(r.fMHz, r.g)
		for _, x := range []float64{1e-4, 0.01, 0.2, 0.4} {
			X := complex(x, 0) * e30
			var sum complex128
			for n := -30; n <= 30; n++ {
				t := 0.1 * float64(n)
				σ := 6 * complex(1-math.Sin(α)*math.Cosh(t), math.Cos(α)*math.Sinh(t))
				dσ := 6 * complex(-math.Sin(α)*math.Sinh(t), math.Cos(α)*math.Cosh(t))
				z := σ / X
				var G complex128
				for m, c := range riccati {
					G += complex(c, 0) * cmplx.Pow(z, complex(0.5-1.5*float64(m), 0))
				}
				sum += cmplx.Exp(σ) * dσ / (c.Q + G)
			}
			want := cmplx.Sqrt(math.Pi/X) * 0.1 / (2i * math.Pi) * sum
			if got := c.near(x); cmplx.Abs(got-want) > 1e-12*cmplx.Abs(want)+1e-13 {
				t.Errorf("%v, %g MHz, x = %g: W = %v, as written %v", r.g, r.fMHz, x, got, want)
			}
		}
	}
}

// The power series about the transmitter, exact at every distance given digits
// enough, knows nothing of contour or roots:
//
//	W = √π Σ b_n X^{n/2}/Γ((n+1)/2),  b_0 = 1, b_n = −Q b_{n−1} − c_1 b_{n−3} − c_2 b_{n−6} − …
//
// Source: notes §4. Here with β_n = b_n X^{n/2}, in 300-bit arithmetic.
func powerSeries(Q complex128, x float64) complex128 {
	X12 := cmplx.Rect(math.Sqrt(x), math.Pi/12)
	u, Y := exact(Q*X12), exact(X12*X12*X12)
	c := riccatiExact(250)
	cY := make([]bigC, len(c)) // c_m Y^m
	power := exact(1)
	for m := range c {
		cY[m] = power.scale(c[m])
		power = power.mul(Y)
	}
	β := []bigC{exact(1)}
	// √π/Γ((n+1)/2): 1, √π, then by twos.
	factor := []*big.Float{number(1), new(big.Float).SetPrec(bits).Sqrt(parsed(piDigits))}
	W, small := exact(0), 0
	for n := 0; ; n++ {
		if n > 0 {
			b := u.mul(β[n-1])
			for m := 1; 3*m <= n; m++ {
				b = b.add(cY[m].mul(β[n-3*m]))
			}
			β = append(β, b.scale(number(-1)))
		}
		if n > 1 {
			factor = append(factor, quotient(new(big.Float).Mul(factor[n-2], number(2)), number(float64(n-1))))
		}
		term := β[n].scale(factor[n])
		W = W.add(term)
		if cmplx.Abs(term.near()) < 1e-18*cmplx.Abs(W.near()) {
			small++
		} else {
			small = 0
		}
		if small == 12 { // for Q = 0 two of three terms are nothing
			return W.near()
		}
		if 3*len(cY) <= n+3 {
			return cmplx.NaN() // not settled with the c_m at hand
		}
	}
}

func TestAgainstPowerSeries(t *testing.T) {
	n, byContour, worst := 0, 0, 0.0
	for i, r := range checkTable {
		if i%2 == 1 {
			continue
		}
		c := curve(r.fMHz, r.g)
		for _, x := range []float64{0.003, 0.02, 0.1, 0.25, 0.39, 0.41, 0.6, 1, 1.6, 3} {
			if q := cmplx.Abs(c.Q); q*q*x > 25 {
				continue
			}
			got, want := c.attenuationDB(x), 20*math.Log10(cmplx.Abs(powerSeries(c.Q, x)))
			if !(math.Abs(got-want) < 5e-6) {
				t.Errorf("%v, %g MHz, x = %g: %.7f dB, power series %.7f, want within 5e-6", r.g, r.fMHz, x, got, want)
			}
			worst = max(worst, math.Abs(got-want))
			n++
			if x < contourTo {
				byContour++
			}
		}
	}
	if byContour < 20 || n-byContour < 20 {
		t.Fatalf("%d places checked, %d of them near; want 20 on either side", n, byContour)
	}
	t.Logf("%d places, %d of them by the contour; largest difference %.2g dB", n, byContour, worst)
}

// The perfect sphere is the hardest for the roots' start: Q = 0.
func TestPerfectSphereAgainstPowerSeries(t *testing.T) {
	c := at(0)
	for _, x := range []float64{0.05, 0.3, 0.5, 1, 2, 4} {
		near(t, "20 log|W|", c.attenuationDB(x), 20*math.Log10(cmplx.Abs(powerSeries(0, x))), 2e-6)
	}
}

// Very dry ground far out is beyond the power series, its limit is not: for Q → ∞ one
// mode is left, and it decays by the first zero of Ai.
func TestFarLimit(t *testing.T) {
	c := at(cmplx.Rect(1e6, math.Pi/6))
	slope := c.attenuationDB(21) - c.attenuationDB(20) - 10*math.Log10(21./20)
	near(t, "dB per x", slope, 20*math.Log10E*-2.338107410*math.Cos(math.Pi/6), 1e-5)
}

const bits = 300

const piDigits = "3.14159265358979323846264338327950288419716939937510582097494459230781640628620899862803482534211706798"

type bigC struct{ re, im *big.Float }

func number(x float64) *big.Float { return new(big.Float).SetPrec(bits).SetFloat64(x) }
func exact(z complex128) bigC     { return bigC{number(real(z)), number(imag(z))} }

func parsed(s string) *big.Float {
	x, _, err := big.ParseFloat(s, 10, bits, big.ToNearestEven)
	if err != nil {
		panic(err)
	}
	return x
}

func quotient(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(bits).Quo(a, b) }

func (a bigC) near() complex128 {
	re, _ := a.re.Float64()
	im, _ := a.im.Float64()
	return complex(re, im)
}

func (a bigC) add(b bigC) bigC {
	return bigC{new(big.Float).Add(a.re, b.re), new(big.Float).Add(a.im, b.im)}
}

func (a bigC) scale(r *big.Float) bigC {
	return bigC{new(big.Float).Mul(a.re, r), new(big.Float).Mul(a.im, r)}
}

func (a bigC) mul(b bigC) bigC {
	m := func(x, y *big.Float) *big.Float { return new(big.Float).Mul(x, y) }
	rr, ii, ri, ir := m(a.re, b.re), m(a.im, b.im), m(a.re, b.im), m(a.im, b.re)
	return bigC{rr.Sub(rr, ii), ri.Add(ri, ir)}
}

// riccatiExact is the recurrence of riccati for as many c_m as are asked for.
func riccatiExact(n int) []*big.Float {
	c := []*big.Float{number(1)}
	for m := 1; m < n; m++ {
		sum := new(big.Float).Mul(c[m-1], number((4-3*float64(m))/2))
		for i := 1; i < m; i++ {
			sum.Sub(sum, new(big.Float).Mul(c[i], c[m-i]))
		}
		c = append(c, sum.Mul(sum, number(0.5)))
	}
	return c
}

func TestRiccati(t *testing.T) {
	for m, want := range riccatiExact(len(riccati)) {
		w, _ := want.Float64()
		near(t, "c_m", riccati[m], w, 5e-11)
	}
}
