package noise

import "math"

// A Band is a frequency worked out: the frequency law and the deviations of
// atmospheric noise for every season, hemisphere and block, man-made and galactic
// noise as terms of their sum.
type Band struct {
	MHz float64

	law      [seasons][2][blocks]law
	man      [len(manMade)]term
	galactic term
}

// law is what a frequency makes of the 1 MHz value: Fam = slope·Fam1 + offset.
type law struct {
	slope, offset float64
	dev           [deviations]float64
}

// Range of the frequency law: that over which tables/noise measures its rounding.
const minMHz, maxMHz = 1.0, 30.0

// u is the frequency law's own scale; u(1 MHz) = −0.75.
func u(fMHz float64) float64 { return (8*math.Exp2(math.Log10(fMHz)) - 11) / 4 }

// NewBand works out a frequency.
//
//	u(f) = (8·2^{log₁₀ f} − 11)/4
//	z    = Fam1·(2 − p(−0.75)) − q(−0.75)
//	Fam  = z·p(u) + q(u)
//	     = Fam1·(2 − p(−0.75)) p(u)  +  q(u) − q(−0.75) p(u)
//	Du, Dl, σDu, σDl, σFam: polynomials in x = log₁₀ f, σFam with x ≤ 1
//
// p and q differ by season, hemisphere and block.
//
// Source:   NTIA Report 85-173, as in our notes on P.372-17 §5.
// Domain:   1–30 MHz; outside, atmospheric noise stays what it is at the nearer end.
// Accuracy: at 1 MHz the law returns the map within 0.35 dB, as published.
// Departs:  no.
func NewBand(fMHz float64) Band {
	d, b := deck(), Band{MHz: fMHz}
	f := min(max(fMHz, minMHz), maxMHz)
	x := math.Log10(f)
	tu, tx, tx10 := domainU.chebyshev(u(f)), domainX.chebyshev(x), domainX10.chebyshev(min(x, 1))
	for s := range seasons {
		for h := range 2 {
			for k := range blocks {
				p, q := dot7(&d.p[s][h][k], &tu), dot7(&d.q[s][h][k], &tu)
				l := &b.law[s][h][k]
				l.slope = (2 - d.p1[s][h][k]) * p
				l.offset = q - d.q1[s][h][k]*p
				dev := &d.dev[s][h][k]
				for i := range σfam {
					l.dev[i] = dot5(&dev[i], &tx)
				}
				l.dev[σfam] = dot5(&dev[σfam], &tx10)
			}
		}
	}
	for e := range b.man {
		s := ManMade(Environment(e), fMHz)
		b.man[e].set(&s)
	}
	s := Galactic(fMHz)
	b.galactic.set(&s)
	return b
}
