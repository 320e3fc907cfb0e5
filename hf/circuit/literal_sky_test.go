package circuit

import (
	"math"
	"sync"

	"farhail/hf/iono"
)

// literalMonth is the published coefficients of one month, levels R12 = 0 and 100.
type literalMonth struct{ foF2, m3000 [2][][]float64 }

// literalMonths is the table as published, read once.
var literalMonths = sync.OnceValue(func() *[13]literalMonth {
	t := new([13]literalMonth)
	for m := 1; m <= 12; m++ {
		t[m].foF2, t[m].m3000 = iono.Coefficients(iono.CCIR, m)
	}
	return t
})

// literalPowers is the highest power of sin μ for each order of longitude (p1239 §2).
var (
	literalPowersF = []int{11, 11, 8, 4, 1, 0, 0, 0, 0}
	literalPowersM = []int{6, 7, 5, 2, 1, 0, 0}
)

// literalMap is Ω(φ, λ, T) of p1239 §2 at one level; c is [k][j].
func literalMap(c [][]float64, powers []int, φ, λ, μ, UT float64) float64 {
	T := 15*UT - 180
	G := []float64{}
	for p, top := range powers {
		for q := 0; q <= top; q++ {
			common := math.Pow(literalSin(μ), float64(q)) * math.Pow(literalCos(φ), float64(p))
			if p == 0 {
				G = append(G, common)
			} else {
				G = append(G, common*literalCos(float64(p)*λ), common*literalSin(float64(p)*λ))
			}
		}
	}
	Ω := 0.0
	for k := range G {
		daily := c[k][0]
		for j := 1; 2*j < len(c[k]); j++ {
			daily += c[k][2*j-1]*literalSin(float64(j)*T) + c[k][2*j]*literalCos(float64(j)*T)
		}
		Ω += G[k] * daily
	}
	return Ω
}

// literalFoF2M3000 is both characteristics at an index: U = U0 (1 − R/100) + U100 R/100,
// R not above 160 (choices 21).
//
// open: the lower ends 0.2 MHz and 1.5 are ours (the maps as published stay above
// them); the alternative is no floor.
func literalFoF2M3000(month int, φ, λ, μ, UT, R12 float64) (foF2, M3000 float64) {
	R := math.Min(R12, 160)
	t := literalMonths()[month]
	foF2 = literalMap(t.foF2[0], literalPowersF, φ, λ, μ, UT)*(1-R/100) +
		literalMap(t.foF2[1], literalPowersF, φ, λ, μ, UT)*R/100
	M3000 = literalMap(t.m3000[0], literalPowersM, φ, λ, μ, UT)*(1-R/100) +
		literalMap(t.m3000[1], literalPowersM, φ, λ, μ, UT)*R/100
	return math.Max(foF2, 0.2), math.Max(M3000, 1.5)
}

// literalFlux is Φ12 of p1239 §1.
func literalFlux(R12 float64) float64 { return 63.7 + 0.728*R12 + 8.9e-4*R12*R12 }

// foE is p1239 §5. h is the hours since sunset; polarNight says that the Sun does not
// pass χ = 90° on that day, where the second night expression stands alone.
//
// open: Φ12 is that of R12 as given, without the cap of 160 of the maps.
func (w *literalWatch) foE(φ, R12, δ, χ, h float64, polarNight bool) float64 {
	Φ := literalFlux(R12)
	A := 1 + 0.0094*(Φ-66)

	N := math.Min(math.Abs(φ-δ), 80)
	var m, C float64
	w.at(math.Abs(φ), 32)
	if math.Abs(φ) < 32 {
		m = -1.93 + 1.92*literalCos(φ)
		C = 23 + 116*literalCos(φ)
	} else {
		m = 0.11 - 0.49*literalCos(φ)
		C = 92 + 35*literalCos(φ)
	}
	B := math.Pow(literalCos(N), m)

	w.at(math.Abs(φ), 12)
	p := 1.20
	if math.Abs(φ) <= 12 {
		p = 1.31
	}
	w.at(χ, 73)
	w.at(χ, 90)
	var D float64
	switch {
	case χ <= 73:
		D = math.Pow(literalCos(χ), p)
	case χ < 90:
		δχ := 6.27e-13 * math.Pow(χ-50, 8)
		D = math.Pow(literalCos(χ-δχ), p)
	case polarNight:
		D = math.Pow(0.072, p) * math.Exp(25.2-0.28*χ)
	default:
		D = math.Max(math.Pow(0.072, p)*math.Exp(-1.4*h), math.Pow(0.072, p)*math.Exp(25.2-0.28*χ))
	}
	floor := math.Pow(0.004*math.Pow(1+0.021*Φ, 2), 0.25)
	return math.Max(math.Pow(A*B*C*D, 0.25), floor)
}

// hoursAfterSunset is from the last passage of χ = 90°, by the hour angle.
func (w *literalWatch) hoursAfterSunset(φ, δ, H float64) (h float64, polarNight bool) {
	cosH := -literalTan(φ) * literalTan(δ)
	w.within(math.Abs(cosH), 1, 1e-7)
	if cosH >= 1 {
		return 0, true
	}
	sunset := math.Acos(math.Max(cosH, -1)) / literalDeg
	h = (H - sunset) / 15
	if h < 0 {
		h += 24
	}
	return h, false
}

// literalPoint is all the method asks of one control point at one moment.
type literalPoint struct {
	φ, λ           float64
	foF2, M3000    float64
	foE, χ         float64
	fH300, fH100   float64
	μ, Gn          float64
	localTime      float64
	dipLatitudeDeg float64
}

// literalRun is one question in work.
type literalRun struct {
	literalWatch
	literalIn
	D, azimuth    float64 // the way asked for, short or long
	δ, eot        float64
	field, field0 []float64 // of the date; of the modified dip
}

func literalBegin(in literalIn) *literalRun {
	r := &literalRun{literalIn: in}
	σ, azimuth := literalDistance(in.FromLat, in.FromLon, in.ToLat, in.ToLon)
	r.D, r.azimuth = literalR0*σ, azimuth
	if in.Long {
		r.D = 2*math.Pi*literalR0 - r.D
		r.azimuth = math.Mod(azimuth+180, 360)
	}
	// Too near the same or the opposite point the azimuth is rounding.
	r.within(σ, math.Pi, 1e-6)
	r.within(σ, 0, 1e-6)

	r.δ, r.eot = literalSun(literalJulian(in.Year, in.Month, literalMidDay(in.Month)))
	r.field = literalIGRF(literalFieldYear(in.Year, in.Month))
	// open: the strict reading takes the 1960 field for the modified dip alone (choices
	// 4 says "field of modip"); gyrofrequencies keep the date's field. The alternative
	// is 1960 for all.
	r.field0 = r.field
	if in.Strict {
		r.field0 = literalIGRF(1960)
	}
	return r
}

func (r *literalRun) place(s float64) (φ, λ float64) {
	φ, λ = literalAlong(r.FromLat, r.FromLon, r.azimuth, s)
	if math.Abs(φ) > 89.9 { // the arcsine has lost its digits
		r.near = true
	}
	return φ, λ
}

// point is the control point s km from the transmitter at a UT hour.
func (r *literalRun) point(s, UT float64) literalPoint {
	φ, λ := r.place(s)
	return r.over(φ, λ, UT)
}

// over is all that is asked of a place at a UT hour.
func (r *literalRun) over(φ, λ, UT float64) (p literalPoint) {
	p.φ, p.λ = φ, λ
	I0, _ := literalDip(r.field0, φ, λ, 300)
	p.μ = literalModip(I0, φ)
	p.foF2, p.M3000 = literalFoF2M3000(r.Month, φ, λ, p.μ, UT, r.SSN)

	H := literalHourAngle(UT, λ, r.eot)
	p.χ = literalZenith(φ, r.δ, H)
	h, polarNight := r.hoursAfterSunset(φ, r.δ, H)
	p.foE = r.foE(φ, r.SSN, r.δ, p.χ, h, polarNight)

	var I float64
	I, p.fH300 = literalDip(r.field, φ, λ, 300)
	_, p.fH100 = literalDip(r.field, φ, λ, 100)
	p.dipLatitudeDeg = math.Atan(literalTan(I)/2) / literalDeg
	p.Gn = literalMagneticLatitude(φ, λ)
	p.localTime = literalLocalTime(UT, λ)
	return p
}

// literalSeason is 0 winter, 1 equinox, 2 summer of p533 §9.3, at a latitude.
func (w *literalWatch) season(month int, φ float64) int {
	switch month {
	case 12, 1, 2:
		w.at(φ, 0)
		if φ >= 0 {
			return 0
		}
		return 2
	case 6, 7, 8:
		w.at(φ, 0)
		if φ >= 0 {
			return 2
		}
		return 0
	}
	return 1
}
