package noise

// Coefficients are the tables of atmospheric noise as evaluated here, in the form in
// which they were published. Seasons from December, blocks from 00 h; hemisphere 0 is
// north. Polynomials have the highest power first.
//
//	θ = φ + 90° , ℓ = λ/2 (0…180°) , in radians
//	g_j  = Map[15][j−1] + Σ_{k=1…15} Map[k−1][j−1] sin kℓ
//	Fam1 = Alpha + Beta θ + Σ_{j=1…29} g_j sin jθ
//
//	u    = (8·2^{log₁₀ f} − 11)/4 ,  p(u) from A, q(u) from B ,  f in MHz
//	z    = Fam1 (2 − p(−0.75)) − q(−0.75)
//	Fam  = z p(u) + q(u)
//
//	x    = log₁₀ f ;  Deviations: Du, Dl, σDu, σDl, σFam (this with x ≤ 1)
//
// Source:   NTIA Report 85-173 by way of tables/noise; our notes on P.372-17 §5.
// Accuracy: rounding against the deck as published: tables/noise/SOURCE.md.
type Coefficients struct {
	Alpha, Beta [4][6]float64
	Map         [4][6][16][29]float64
	A, B        [4][2][6][7]float64
	Deviations  [4][2][6][5][5]float64
}

// Deck returns the tables, for checks written apart.
func Deck() *Coefficients {
	d, out := deck(), new(Coefficients)
	out.Alpha, out.Beta = d.α, d.β
	for s := range seasons {
		for b := range blocks {
			for j := range latTerms {
				for k := range lonTerms {
					out.Map[s][b][k][j] = d.c[s][j][k][b]
				}
			}
			for h := range 2 {
				domainU.powers(out.A[s][h][b][:], d.p[s][h][b][:])
				domainU.powers(out.B[s][h][b][:], d.q[s][h][b][:])
				for i := range deviations {
					domainOf(i).powers(out.Deviations[s][h][b][i][:], d.dev[s][h][b][i][:])
				}
			}
		}
	}
	return out
}

func domainOf(deviation int) domain {
	if deviation == σfam {
		return domainX10
	}
	return domainX
}

// powers writes the Chebyshev series c as a polynomial in x, highest power first.
func (d domain) powers(dst, c []float64) {
	a, m := 2/(d.hi-d.lo), -(d.hi+d.lo)/(d.hi-d.lo) // z = a x + m
	before, now := make([]float64, len(c)), make([]float64, len(c))
	now[0] = 1 // T₀, lowest power first
	for n, v := range c {
		if n > 0 {
			next := make([]float64, len(c))
			scale := 2.0
			if n == 1 {
				scale = 1
			}
			for i := range next {
				next[i] = scale * m * now[i]
				if i > 0 {
					next[i] += scale * a * now[i-1]
				}
				next[i] -= before[i]
			}
			before, now = now, next
		}
		for i, x := range now {
			dst[len(dst)-1-i] += v * x
		}
	}
}
