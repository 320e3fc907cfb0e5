package circuit

import "math"

// Day-to-day deciles of P.842 §1: f/MUF, lower and upper below 60°, lower and upper
// from 60° on.
var literalDeciles = [][5]float64{
	{0.8, 8, 6, 11, 9},
	{1.0, 12, 8, 16, 11},
	{1.2, 13, 12, 17, 12},
	{1.4, 10, 13, 13, 13},
	{1.6, 8, 12, 11, 12},
	{1.8, 8, 9, 11, 9},
	{2.0, 8, 9, 11, 9},
	{3.0, 7, 8, 9, 8},
	{4.0, 6, 7, 8, 7},
	{5.0, 5, 7, 7, 7},
}

// literalDayToDay is the table at a ratio, deviations as positive dB.
func literalDayToDay(ratio float64, high bool) (lower, upper float64) {
	column := 1
	if high {
		column = 3
	}
	t := literalDeciles
	last := len(t) - 1
	if ratio <= t[0][0] {
		return t[0][column], t[0][column+1]
	}
	if ratio >= t[last][0] {
		return t[last][column], t[last][column+1]
	}
	i := 0
	for ratio > t[i+1][0] {
		i++
	}
	w := (ratio - t[i][0]) / (t[i+1][0] - t[i][0])
	return t[i][column] + w*(t[i+1][column]-t[i][column]), t[i][column+1] + w*(t[i+1][column+1]-t[i][column+1])
}

// highLatitude is choices 18.
func (r *literalRun) highLatitude(p literalPath) bool {
	points := p.tableDF2
	if r.Strict {
		points = []literalPoint{p.M}
	}
	high := false
	for _, at := range points {
		r.within(math.Abs(at.Gn), 60, 1e-9)
		high = high || math.Abs(at.Gn) >= 60
	}
	return high
}

// literalBCR is the basic circuit reliability of P.842 §2 as a fraction.
func literalBCR(SN, need, DuSN, DlSN float64) float64 {
	if SN >= need {
		return math.Min(130-80/(1+(SN-need)/DlSN), 100) / 100
	}
	return math.Max(80/(1+(need-SN)/DuSN)-30, 0) / 100
}

// literalReception is the basic reception reliability over frequencies far enough
// apart to be independent (P.842 §3).
func literalReception(BCR []float64) float64 {
	none := 1.0
	for _, one := range BCR {
		none *= 1 - one
	}
	return 1 - none
}

// rop is p533 §5: e.i.r.p. to and above 30 dBW; winter, equinox, summer; day,
// night.
func (w *literalWatch) rop(eirpDBW float64, season int, day bool) float64 {
	table := [2][3][2]float64{
		{{1.20, 1.30}, {1.15, 1.25}, {1.10, 1.20}},
		{{1.25, 1.35}, {1.20, 1.30}, {1.15, 1.25}},
	}
	row, column := 0, 1
	if eirpDBW > 30 {
		row = 1
	}
	if day {
		column = 0
	}
	return table[row][season][column]
}

// literalMonthProbability is F_prob of p533 §4, per cent; δl and δu are ratios.
func literalMonthProbability(f, fb, δl, δu float64) float64 {
	if f <= fb {
		return math.Min(130-80/(1+(fb-f)/(fb*(1-δl))), 100)
	}
	return math.Max(80/(1+(f-fb)/(fb*(δu-1)))-30, 0)
}
