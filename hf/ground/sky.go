package ground

import "math"

// FadingRegion says which of ground and sky wave rules, or that neither does.
type FadingRegion int

const (
	GroundAlone FadingRegion = iota
	Fading
	SevereFading
	SkyAlone
)

// Within so many dB of each other, the sky wave taken by its mean, the two waves fade
// against each other. Two steady waves 10 dB apart beat between 2.4 dB up and 3.3 dB down, 6 dB
// apart down to half the amplitude and less (6 dB): at that the deepest hundredth of the
// time lies 11 dB under the median where one wave alone would be steady.
//
// Source: notes §10.
const (
	FadingWithinDB = 10.0
	SevereWithinDB = 6.0
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

// rayleigh holds the power a Rayleigh-fading wave exceeds in 50, 90 and 99 % of the time,
// dB above its mean: 10 log₁₀(−ln q).
var rayleigh = [3]float64{10 * math.Log10(-math.Log(0.50)), 10 * math.Log10(-math.Log(0.90)), 10 * math.Log10(-math.Log(0.99))}

// powerSum adds powers given in dB.
func powerSum(aDB, bDB float64) float64 {
	hi, lo := max(aDB, bDB), min(aDB, bDB)
	if math.IsInf(lo, -1) {
		return hi
	}
	return hi + 10*math.Log10(1+math.Pow(10, (lo-hi)/10))
}

// Mix is the received power of ground and sky wave together as it fades within
// the hour: its mean, and what is exceeded in 50, 90 and 99 % of the time.
type Mix struct {
	MeanDBW                   float64
	At50DBW, At90DBW, At99DBW float64
	KDB                       float64 // Rice's factor: the ground wave over the sky wave's mean
	Region                    FadingRegion
}

// Mixture adds a steady ground wave and a Rayleigh-fading sky wave, given by its median.
// −Inf stands for a wave that is not there.
//
//	Ps,mean = Ps + 1.59 ,  K = Pg − Ps,mean      [dB]
//	mean    = 10 log₁₀(10^{Pg/10} + 10^{Ps,mean/10}) ,  levels by Rice's distribution
//
// Source:   notes §10.
// Accuracy: the levels 0.04 dB.
// Departs:  the notes add medians, which lies up to 0.4 dB above the median of the sum.
func Mixture(groundDBW, skyMedianDBW float64) Mix {
	skyMean := skyMedianDBW - rayleigh[0]
	K := math.Inf(-1) // also where there is no wave at all
	if !math.IsInf(groundDBW, -1) {
		K = groundDBW - skyMean
	}
	m := Mix{MeanDBW: powerSum(groundDBW, skyMean), KDB: K}
	switch {
	case K > FadingWithinDB:
		m.Region = GroundAlone
	case math.Abs(K) <= SevereWithinDB:
		m.Region = SevereFading
	case math.Abs(K) <= FadingWithinDB:
		m.Region = Fading
	default:
		m.Region = SkyAlone
	}
	l := riceLevels(K)
	m.At50DBW, m.At90DBW, m.At99DBW = m.MeanDBW+l[0], m.MeanDBW+l[1], m.MeanDBW+l[2]
	return m
}

// Share is how much of a sky wave's fading is left, by the depth of the worst tenth of
// the time: 1 for the sky wave alone, 0 for a steady one.
func (m Mix) Share() float64 {
	l := riceLevels(m.KDB)
	return (l[0] - l[1]) / (rayleigh[0] - rayleigh[1])
}

// riceLevels returns the levels exceeded in 50, 90 and 99 % of the time, in dB above
// the total mean power, of a steady wave K dB above the mean of a Rayleigh-fading one.
//
// Source:   Rice's distribution; the table of notes §10 in steps of 1 dB and with more
// digits, checked by integration.
// Domain:   all K; below −10 dB what parts them from Rayleigh's shrinks as the steady
// wave's power, above 30 dB the levels shrink as the fading's amplitude, 10^{−K/20}, the
// median as its power.
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
	if K < riceFrom {
		shrink := math.Pow(10, (K-riceFrom)/10)
		for n := range l {
			l[n] = rayleigh[n] + (l[n]-rayleigh[n])*shrink
		}
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
