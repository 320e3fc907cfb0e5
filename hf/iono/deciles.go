package iono

import (
	_ "embed"
	"math"
)

//go:embed data/deciles.bin
var decilesBin []byte

// Season counts from the local winter: 0 winter, 1 equinox, 2 summer.
type Season int

const (
	Winter Season = iota
	Equinox
	Summer
)

// decileSeason is the table's: November–February, March–April with September–October,
// May–August in the north, six months apart in the south.
func decileSeason(month int, south bool) Season {
	if south {
		month = (month+5)%12 + 1
	}
	switch month {
	case 11, 12, 1, 2:
		return Winter
	case 5, 6, 7, 8:
		return Summer
	}
	return Equinox
}

// FoF2Deciles returns the lower and upper decile of the daily foF2, over its monthly
// median. bandDeg is the latitude that chooses the band (which one is a choice of the
// reading), south the hemisphere that chooses the season, lt local mean time.
//
// Source: ITU-R P.1239-3 Tables 2 and 3 by way of tables/deciles; numbers sure,
// labels inferred and tested on soundings (our notes, day_to_day §1). A table: it
// steps where its cells meet.
func FoF2Deciles(month int, south bool, bandDeg, R12, lt float64) (lower, upper float64) {
	class := 1
	switch {
	case R12 < 50:
		class = 0
	case R12 > 100:
		class = 2
	}
	band := 7 // equatorial
	if b := math.Abs(bandDeg); b >= 15 {
		band = max(0, 6-int((b-15)/10)) // 15–25 → 6 … ≥ 75 → 0
	}
	block := int(math.Mod(lt+2+24, 24) / 4) // 22–02 is the first
	at := (((int(decileSeason(month, south))*3+class)*8+band)*6 + block) * 2
	return float64(decilesBin[at]) / 100, float64(decilesBin[at+1]) / 100
}
