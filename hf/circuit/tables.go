package circuit

import "math"

// auroral is the additional loss Lh, dB: [path ≤ 2500 km, longer][winter, equinox,
// summer][|Gn| ≥ 77.5, 72.5–77.5 … 42.5–47.5][local time 01–04, 04–07 … 22–01].
//
// Source: ITU-R P.533-14 Table 2, as in our notes (from memory, high). The cell of
// winter, > 2500 km, 47.5–52.5°, 22–01 is 0.9 by the law of its column (0.65 × 1.4).
var auroral = [2][3][8][8]float64{
	{
		{ // winter
			{2.0, 6.6, 6.2, 1.5, 0.5, 1.4, 1.5, 1.0},
			{3.4, 8.3, 8.6, 0.9, 0.5, 2.5, 3.0, 3.0},
			{6.2, 15.6, 12.8, 2.3, 1.5, 4.6, 7.0, 5.0},
			{7.0, 16.0, 14.0, 3.6, 2.0, 6.8, 9.8, 6.6},
			{2.0, 4.5, 6.6, 1.4, 0.8, 2.7, 3.0, 2.0},
			{1.3, 1.0, 3.2, 0.3, 0.4, 1.8, 2.3, 0.9},
			{0.9, 0.6, 2.2, 0.2, 0.2, 1.2, 1.5, 0.6},
			{0.4, 0.3, 1.1, 0.1, 0.1, 0.6, 0.7, 0.3},
		},
		{ // equinox
			{1.4, 2.5, 7.4, 3.8, 1.0, 2.4, 2.4, 3.3},
			{3.3, 11.0, 11.6, 5.1, 2.6, 4.0, 6.0, 7.0},
			{6.5, 12.0, 21.4, 8.5, 4.8, 6.0, 10.0, 13.7},
			{6.7, 11.2, 17.0, 9.0, 7.2, 9.0, 10.9, 15.0},
			{2.4, 4.4, 7.5, 5.0, 2.6, 4.8, 5.5, 6.1},
			{1.7, 2.0, 5.0, 3.0, 2.2, 4.0, 3.0, 4.0},
			{1.1, 1.3, 3.3, 2.0, 1.4, 2.6, 2.0, 2.6},
			{0.5, 0.6, 1.6, 1.0, 0.7, 1.3, 1.0, 1.3},
		},
		{ // summer
			{2.2, 2.7, 1.2, 2.3, 2.2, 3.8, 4.2, 3.8},
			{2.4, 3.0, 2.8, 3.0, 2.7, 4.2, 4.8, 4.5},
			{4.9, 4.2, 6.2, 4.5, 3.8, 5.4, 7.7, 7.2},
			{6.5, 4.8, 9.0, 6.0, 4.8, 9.1, 9.5, 8.9},
			{3.2, 2.7, 4.0, 3.0, 3.0, 6.5, 6.7, 5.0},
			{2.5, 1.8, 2.4, 2.3, 2.6, 5.0, 4.6, 4.0},
			{1.6, 1.2, 1.6, 1.5, 1.7, 3.3, 3.1, 2.6},
			{0.8, 0.6, 0.8, 0.7, 0.8, 1.6, 1.5, 1.3},
		},
	},
	{
		{ // winter
			{1.5, 2.7, 2.5, 0.8, 0.0, 0.9, 0.8, 1.6},
			{2.5, 4.5, 4.3, 0.8, 0.3, 1.6, 2.0, 4.8},
			{5.5, 5.0, 7.0, 1.9, 0.5, 3.0, 4.5, 9.6},
			{5.3, 7.0, 5.9, 2.0, 0.7, 4.0, 4.5, 10.0},
			{1.6, 2.4, 2.7, 0.6, 0.4, 1.7, 1.8, 3.5},
			{0.9, 1.0, 1.3, 0.1, 0.1, 1.0, 1.5, 1.4},
			{0.6, 0.6, 0.8, 0.1, 0.1, 0.6, 1.0, 0.9},
			{0.3, 0.3, 0.4, 0.0, 0.0, 0.3, 0.5, 0.4},
		},
		{ // equinox
			{1.0, 1.2, 2.7, 3.0, 0.6, 2.0, 2.3, 1.6},
			{1.8, 2.9, 4.1, 5.7, 1.5, 3.2, 5.6, 3.6},
			{3.7, 5.6, 7.7, 8.1, 3.5, 5.0, 9.5, 7.3},
			{3.9, 5.2, 7.6, 9.0, 5.0, 7.5, 10.0, 7.9},
			{1.4, 2.0, 3.2, 3.8, 1.8, 4.0, 5.4, 3.4},
			{0.9, 0.9, 1.8, 2.0, 1.3, 3.1, 2.7, 2.0},
			{0.6, 0.6, 1.2, 1.3, 0.8, 2.0, 1.8, 1.3},
			{0.3, 0.3, 0.6, 0.6, 0.4, 1.0, 0.9, 0.6},
		},
		{ // summer
			{1.9, 3.8, 2.2, 1.1, 2.1, 1.2, 2.3, 2.4},
			{1.9, 4.6, 2.9, 1.3, 2.2, 1.3, 2.8, 2.7},
			{4.4, 6.3, 5.9, 1.9, 3.3, 1.7, 4.4, 4.5},
			{5.5, 8.5, 7.6, 2.6, 4.2, 3.2, 5.5, 5.7},
			{2.8, 3.8, 3.8, 1.4, 2.7, 1.6, 4.5, 3.2},
			{2.2, 2.4, 2.7, 1.0, 2.2, 1.2, 4.4, 2.5},
			{1.4, 1.6, 1.8, 0.6, 1.4, 0.8, 2.9, 1.6},
			{0.7, 0.8, 0.9, 0.3, 0.7, 0.4, 1.4, 0.8},
		},
	},
}

// season of P.533: winter December–February, summer June–August in the north.
func season(month int, south bool) int {
	if south {
		month = (month+5)%12 + 1
	}
	switch month {
	case 12, 1, 2:
		return 0
	case 6, 7, 8:
		return 2
	}
	return 1
}

// auroralLoss returns Lh at a point. It is zero below 42.5° geomagnetic.
func auroralLoss(longer bool, month int, p *point, utcH float64) float64 {
	if p.gnDeg < 42.5 {
		return 0
	}
	r := 0
	if longer {
		r = 1
	}
	band := 7 - min(7, int((p.gnDeg-42.5)/5))
	block := int(math.Mod(p.local(utcH)+23, 24) / 3)
	return auroral[r][season(month, p.at.Lat < 0)][band][block]
}

// operational is Rop, the ratio of operational to basic MUF of F2 modes:
// [e.i.r.p. ≤ 30 dBW, more][winter, equinox, summer][night, day].
//
// Source: ITU-R P.1240-2 Table 1, as in our notes (from memory, high).
var operational = [2][3][2]float64{
	{{1.30, 1.20}, {1.25, 1.15}, {1.20, 1.10}},
	{{1.35, 1.25}, {1.30, 1.20}, {1.25, 1.15}},
}

// dayToDay are the decile deviations of the signal about its monthly median, dB:
// f/MUF, then lower and upper below 60° geomagnetic, lower and upper above.
//
// Source: ITU-R P.842-5 Table 2, as in our notes (from memory, high).
var dayToDay = [10][5]float64{
	{0.8, 8, 6, 11, 9}, {1.0, 12, 8, 16, 11}, {1.2, 13, 12, 17, 12}, {1.4, 10, 13, 13, 13}, {1.6, 8, 12, 11, 12},
	{1.8, 8, 9, 11, 9}, {2.0, 8, 9, 11, 9}, {3.0, 7, 8, 9, 8}, {4.0, 6, 7, 8, 7}, {5.0, 5, 7, 7, 7},
}

// dayToDayAt interpolates the table linearly in f/MUF.
func dayToDayAt(ratio float64, high bool) (lower, upper float64) {
	c := 1
	if high {
		c = 3
	}
	if ratio <= dayToDay[0][0] {
		return dayToDay[0][c], dayToDay[0][c+1]
	}
	for i := 1; i < len(dayToDay); i++ {
		if b := &dayToDay[i]; ratio <= b[0] {
			a := &dayToDay[i-1]
			w := (ratio - a[0]) / (b[0] - a[0])
			return a[c] + w*(b[c]-a[c]), a[c+1] + w*(b[c+1]-a[c+1])
		}
	}
	last := &dayToDay[len(dayToDay)-1]
	return last[c], last[c+1]
}

// Deviations within the hour, dB. Source: ITU-R P.842-5, as in our notes (from memory, high).
const upperInHour, lowerInHour = 5.0, 8.0

// Reliability is the share of time the SNR reaches what is required, 0…1.
//
//	S/N ≥ S/Nr :  130 − 80/[1 + (S/N − S/Nr)/DlSN]  or 100
//	S/N < S/Nr :   80/[1 + (S/Nr − S/N)/DuSN] − 30  or 0      per cent
//
// Source: ITU-R P.842-5 Table 1, as in our notes (from memory, high).
func Reliability(snrDB, needDB, upperDB, lowerDB float64) float64 {
	x := snrDB - needDB
	if x >= 0 {
		return min(1.3-0.8/(1+x/lowerDB), 1)
	}
	return max(0.8/(1-x/upperDB)-0.3, 0)
}
