package noise

import "math"

// rayleighVd is the voltage deviation of Gaussian noise, dB: the least there is.
const rayleighVd = 1.049

// Vd is how impulsive atmospheric noise is at a moment, dB: the rms voltage of its
// envelope over the mean, in a bandwidth; and the standard deviation of that.
//
//	V_d(200 Hz): polynomials in log₁₀ f by local season and block
//	V_d(b) = V_d200 + (0.4679 + 0.2111 V_d200) log₁₀(b/200) , ≥ 1.049 dB
//
// Between block centres as Atmospheric.
//
// Source:   NTIA Report 85-173 p. 151, as in our notes on P.372-17 §5.
// Domain:   0.1–30 MHz, the nearer end outside.
// Departs:  one sign of σVd (tables/noise/SOURCE.md).
func (s *Site) Vd(utcH, fMHz, bandwidthHz float64) (vd, σVd float64) {
	d := deck()
	t := domainVd.chebyshev(min(max(math.Log10(fMHz), domainVd.lo), domainVd.hi))
	local := (s.season + 2*s.south) % seasons
	i, j, w := s.between(utcH)
	V200 := (1-w)*dot5(&d.vd[local][i], &t) + w*dot5(&d.vd[local][j], &t)
	σVd = (1-w)*dot5(&d.σvd[local][i], &t) + w*dot5(&d.σvd[local][j], &t)
	return max(rayleighVd, V200+(0.4679+0.2111*V200)*math.Log10(bandwidthHz/200)), σVd
}
