package earth

import (
	"math"
	"time"

	"farhail/unit"
)

// Sun is where the Sun stands in the sky of a moment: declination and equation of
// time. Over a day both change little; the method takes them once a day.
type Sun struct {
	Declination unit.Angle
	EoT         time.Duration // apparent minus mean solar time

	sinδ, cosδ, eotDeg float64
}

// SunAt returns the Sun of a Julian date.
//
// Source: Meeus, Astronomical Algorithms, 2nd ed., ch. 25 (low accuracy, 0.01°)
// and ch. 28 eq. 28.3 (equation of time). Domain: −2000…6000.
func SunAt(jd float64) Sun {
	T := (jd - 2451545) / 36525
	rad := math.Pi / 180
	L0 := 280.46646 + T*(36000.76983+T*0.0003032)
	M := (357.52911 + T*(35999.05029-T*0.0001537)) * rad
	e := 0.016708634 - T*(0.000042037+T*0.0000001267)
	C := (1.914602-T*(0.004817+T*0.000014))*math.Sin(M) + (0.019993-T*0.000101)*math.Sin(2*M) + 0.000289*math.Sin(3*M)
	Ω := (125.04 - 1934.136*T) * rad
	λ := (L0 + C - 0.00569 - 0.00478*math.Sin(Ω)) * rad
	ε0 := 23 + (26+(21.448-T*(46.8150+T*(0.00059-T*0.001813)))/60)/60
	ε := (ε0 + 0.00256*math.Cos(Ω)) * rad

	y := math.Tan(ε / 2)
	y *= y
	L := L0 * rad
	E := y*math.Sin(2*L) - 2*e*math.Sin(M) + 4*e*y*math.Sin(M)*math.Cos(2*L) -
		0.5*y*y*math.Sin(4*L) - 1.25*e*e*math.Sin(2*M)

	s := Sun{Declination: unit.Angle(math.Asin(math.Sin(ε) * math.Sin(λ)))}
	s.sinδ, s.cosδ = math.Sincos(s.Declination.Rad())
	s.eotDeg = E / rad
	s.EoT = time.Duration(s.eotDeg * 4 * float64(time.Minute))
	return s
}

// SunOn returns the Sun at 12 UT of a calendar day.
func SunOn(year, month, day int) Sun { return SunAt(JulianDay(year, month, day) + 0.5) }

// JulianDay returns the Julian date of 0 UT on a Gregorian calendar day.
//
// Source: Meeus ch. 7.
func JulianDay(year, month, day int) float64 {
	if month <= 2 {
		year, month = year-1, month+12
	}
	a := math.Floor(float64(year) / 100)
	return math.Floor(365.25*float64(year+4716)) + math.Floor(30.6001*float64(month+1)) + float64(day) + 2 - a + math.Floor(a/4) - 1524.5
}

// MidMonth is the day that stands for a month in the monthly method: 15, or 14
// in February.
func MidMonth(month int) int {
	if month == 2 {
		return 14
	}
	return 15
}

// HourAngle returns the Sun's local hour angle in radians, −π…π.
//
//	H = 15 (UT − 12) + λ + EoT/4     degrees
func (s Sun) HourAngle(p Point, utcH float64) float64 {
	return math.Remainder((15*(utcH-12)+s.eotDeg)*math.Pi/180+p.Lon.Rad(), 2*math.Pi)
}

// CosZenith returns cos χ at a place and UT hour.
//
//	cos χ = sin φ sin δ + cos φ cos δ cos H
func (s Sun) CosZenith(p Point, utcH float64) float64 {
	sinφ, cosφ := math.Sincos(p.Lat.Rad())
	return s.CosZenithAt(sinφ, cosφ, math.Cos(s.HourAngle(p, utcH)))
}

// CosZenithAt is CosZenith with the place's and hour's parts at hand.
func (s Sun) CosZenithAt(sinφ, cosφ, cosH float64) float64 {
	return min(max(sinφ*s.sinδ+cosφ*s.cosδ*cosH, -1), 1)
}

// Zenith returns χ.
func (s Sun) Zenith(p Point, utcH float64) unit.Angle {
	return unit.Angle(math.Acos(s.CosZenith(p, utcH)))
}

// Kinds of rise and set, by the Sun's zenith angle in degrees.
const (
	SunriseZenith  = 90.833 // upper limb, with refraction
	CivilZenith    = 96.0
	NauticalZenith = 102.0
)

// RiseSet returns the UT hours at which the Sun passes a zenith angle on a day;
// ok is false when it does not (polar day or night). Two iterations, a few
// seconds of time.
func RiseSet(p Point, year, month, day int, zenithDeg float64) (rise, set float64, ok bool) {
	jd := JulianDay(year, month, day)
	φ := p.Lat.Rad()
	at := func(sign float64) (float64, bool) {
		ut := 12 - p.Lon.Deg()/15
		for range 3 {
			s := SunAt(jd + ut/24)
			c := (math.Cos(zenithDeg*math.Pi/180) - math.Sin(φ)*s.sinδ) / (math.Cos(φ) * s.cosδ)
			if !(math.Abs(c) <= 1) {
				return 0, false
			}
			ut = 12 - p.Lon.Deg()/15 - s.eotDeg/15 + sign*math.Acos(c)*12/math.Pi
		}
		return ut, true
	}
	rise, ok1 := at(-1)
	set, ok2 := at(+1)
	return rise, set, ok1 && ok2
}
