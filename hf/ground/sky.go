package ground

import "math"

// FadingRegion says which of ground and sky wave rules, or that neither does.
type FadingRegion int

const (
	GroundAlone  FadingRegion = iota // K > 10 dB
	Fading                           // |K| ≤ 10 dB: the two beat against each other
	SevereFading                     // |K| ≤ 6 dB
	SkyAlone                         // K < −10 dB
)

func (r FadingRegion) String() string {
	switch r {
	case GroundAlone:
		return "ground wave"
	case Fading:
		return "fading"
	case SevereFading:
		return "severe fading"
	}
	return "sky wave"
}

// meanOverMedian of a Rayleigh-fading power: −10 log₁₀(ln 2) = 1.592 dB.
var meanOverMedian = -10 * math.Log10(math.Ln2)

// WithSky combines received powers of a steady ground wave and a sky wave's median.
// −Inf stands for a wave that is not there.
//
//	P = 10 log₁₀(10^{Pg/10} + 10^{Ps/10})          medians [dBW]
//	K = Pg − Ps,mean,  Ps,mean = Ps + 1.59         Rice's factor [dB]
//
// Beyond |K| = 10 dB the stronger wave is to be treated as alone; the sum goes on,
// so that nothing steps.
//
// Source:   notes §10.
// Accuracy: the sum of medians is up to 0.4 dB above the median of the sum (K = 0).
func WithSky(groundDBW, skyMedianDBW float64) (totalDBW, kDB float64, fading FadingRegion) {
	totalDBW = powerSum(groundDBW, skyMedianDBW)
	if math.IsInf(groundDBW, -1) {
		kDB = math.Inf(-1) // also where there is no sky wave either
	} else {
		kDB = groundDBW - (skyMedianDBW + meanOverMedian)
	}
	switch {
	case kDB > 10:
		fading = GroundAlone
	case math.Abs(kDB) <= 6:
		fading = SevereFading
	case math.Abs(kDB) <= 10:
		fading = Fading
	default:
		fading = SkyAlone
	}
	return totalDBW, kDB, fading
}

// powerSum adds powers given in dB.
func powerSum(aDB, bDB float64) float64 {
	hi, lo := max(aDB, bDB), min(aDB, bDB)
	if math.IsInf(lo, -1) {
		return hi
	}
	return hi + 10*math.Log10(1+math.Pow(10, (lo-hi)/10))
}

// Mix is the received power of ground and sky wave together as it fades within
// the hour: what is exceeded in 50, 90 and 99 % of the time.
type Mix struct {
	MeanDBW                   float64
	At50DBW, At90DBW, At99DBW float64
}

// Mixture returns the levels of a steady ground wave and a Rayleigh-fading sky wave;
// arguments as for WithSky.
func Mixture(groundDBW, skyMedianDBW float64) Mix {
	_, K, _ := WithSky(groundDBW, skyMedianDBW)
	mean := powerSum(groundDBW, skyMedianDBW+meanOverMedian)
	l := riceLevels(K)
	return Mix{mean, mean + l[0], mean + l[1], mean + l[2]}
}

// riceLevels returns the levels exceeded in 50, 90 and 99 % of the time, in dB above
// the total mean power, of a steady wave K dB above the mean of a Rayleigh-fading one.
//
// Source:   Rice's distribution; the table of notes §10 in steps of 1 dB and with more
// digits, checked by integration.
// Domain:   all K; below −10 dB as there, above 30 dB the levels shrink as the fading's
// amplitude, 10^{−K/20}, the median as its power.
// Accuracy: 0.04 dB.
func riceLevels(K float64) [3]float64 {
	last := len(riceTable) - 1
	at := min(max(K-riceFrom, 0), float64(last))
	i := min(int(at), last-1)
	part := at - float64(i)
	var l [3]float64
	for n := range l {
		l[n] = riceTable[i][n]*(1-part) + riceTable[i+1][n]*part
	}
	if beyond := K - riceFrom - float64(last); beyond > 0 {
		shrink := math.Pow(10, -beyond/20)
		l[0] *= shrink * shrink
		l[1] *= shrink
		l[2] *= shrink
	}
	return l
}

// DelayMs returns how much later the sky wave comes, in milliseconds.
//
//	(P′ − d)/c      P′ [km] the sky wave's slant range, d [km] along the ground
//
// Source: notes §10.
func DelayMs(slantKm, dKm float64) float64 { return (slantKm - dKm) / (cMs / 1e6) }
