package circuit

import (
	"math"

	"farhail/hf/earth"
)

// The literal twin: the method of the notes once more, slow and plain, line by line as
// written there. It shares no code with the engine beyond the published tables. Where
// the notes leave something open the choice is marked "open:" with its alternative.
//
// Notation as in the notes: φ latitude, λ longitude (east), degrees unless a name ends
// in Rad; D path, d hop, Δ elevation, χ solar zenith angle, μ modified dip, Gn
// geomagnetic (dipole) latitude; f in MHz, lengths in km.

const (
	literalDeg = math.Pi / 180
	literalR0  = 6371.0
)

func literalSin(xDeg float64) float64 { return math.Sin(xDeg * literalDeg) }
func literalCos(xDeg float64) float64 { return math.Cos(xDeg * literalDeg) }
func literalTan(xDeg float64) float64 { return math.Tan(xDeg * literalDeg) }

// literalWatch notices when a value lies on a branch of the method, where rounding
// decides and a comparison to 1e-9 means nothing.
type literalWatch struct{ near bool }

func (w *literalWatch) at(value, threshold float64) { w.within(value, threshold, 1e-9) }

func (w *literalWatch) within(value, threshold, tolerance float64) {
	if math.Abs(value-threshold) <= tolerance*math.Max(1, math.Abs(threshold)) {
		w.near = true
	}
}

// literalDistance is the great circle of geometry_sun_mag §1: the arc in radians and
// the azimuth in degrees.
func literalDistance(φ1, λ1, φ2, λ2 float64) (σRad, azimuth float64) {
	Δλ := λ2 - λ1
	a := literalCos(φ2) * literalSin(Δλ)
	b := literalCos(φ1)*literalSin(φ2) - literalSin(φ1)*literalCos(φ2)*literalCos(Δλ)
	c := literalSin(φ1)*literalSin(φ2) + literalCos(φ1)*literalCos(φ2)*literalCos(Δλ)
	σRad = math.Atan2(math.Sqrt(a*a+b*b), c)
	azimuth = math.Mod(math.Atan2(a, b)/literalDeg+360, 360)
	return σRad, azimuth
}

// literalAlong is the point at s km along an azimuth (geometry_sun_mag §1).
func literalAlong(φ1, λ1, azimuth, s float64) (φ, λ float64) {
	σ := s / literalR0 / literalDeg
	sinφ := literalSin(φ1)*literalCos(σ) + literalCos(φ1)*literalSin(σ)*literalCos(azimuth)
	sinφ = math.Max(-1, math.Min(1, sinφ))
	φ = math.Asin(sinφ) / literalDeg
	λ = λ1 + math.Atan2(literalSin(azimuth)*literalSin(σ), literalCos(φ1)*literalCos(σ)-literalSin(φ1)*literalSin(σ)*literalCos(azimuth))/literalDeg
	λ = math.Mod(math.Mod(λ+180, 360)+360, 360) - 180
	return φ, λ
}

// literalMagneticLatitude is Gn of geometry_sun_mag §7.
func literalMagneticLatitude(φ, λ float64) float64 {
	return math.Asin(literalSin(φ)*literalSin(78.5)+literalCos(φ)*literalCos(78.5)*literalCos(λ+68.2)) / literalDeg
}

// literalJulian is the Julian date of 12 UT of a day (Meeus ch. 7), by counting days
// from 2000 January 1, 12 UT.
func literalJulian(year, month, day int) float64 {
	n := 0
	for y := 2000; y < year; y++ {
		n += literalYearDays(y)
	}
	for y := 1999; y >= year; y-- {
		n -= literalYearDays(y)
	}
	return 2451545 + float64(n+literalDayOfYear(year, month, day)-1)
}

func literalYearDays(year int) int {
	if year%4 == 0 && year%100 != 0 || year%400 == 0 {
		return 366
	}
	return 365
}

func literalDayOfYear(year, month, day int) int {
	length := [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	if literalYearDays(year) == 366 {
		length[1] = 29
	}
	for m := 1; m < month; m++ {
		day += length[m-1]
	}
	return day
}

func literalMidDay(month int) int {
	if month == 2 {
		return 14
	}
	return 15
}

// literalSun is the declination and equation of time of Meeus ch. 25 and 28.
//
// open: the notes shorten e and ε; the full series of Meeus 25.4 and 22.2 are taken
// (−1.267e-7 T² in e; −0.00059″ T² + 0.001813″ T³ in ε). The alternative moves δ by
// less than 1e-10 degrees.
func literalSun(jd float64) (δ, eotMinutes float64) {
	T := (jd - 2451545) / 36525
	L0 := 280.46646 + 36000.76983*T + 0.0003032*T*T
	M := 357.52911 + 35999.05029*T - 0.0001537*T*T
	e := 0.016708634 - 0.000042037*T - 0.0000001267*T*T
	C := (1.914602-0.004817*T-0.000014*T*T)*literalSin(M) +
		(0.019993-0.000101*T)*literalSin(2*M) + 0.000289*literalSin(3*M)
	Ω := 125.04 - 1934.136*T
	λ := L0 + C - 0.00569 - 0.00478*literalSin(Ω)
	ε := 23 + 26.0/60 + 21.448/3600 - 46.8150/3600*T - 0.00059/3600*T*T + 0.001813/3600*T*T*T + 0.00256*literalCos(Ω)
	δ = math.Asin(literalSin(ε)*literalSin(λ)) / literalDeg

	y := literalTan(ε/2) * literalTan(ε/2)
	E := y*literalSin(2*L0) - 2*e*literalSin(M) + 4*e*y*literalSin(M)*literalCos(2*L0) -
		y*y*literalSin(4*L0)/2 - 5*e*e*literalSin(2*M)/4
	return δ, 4 * E / literalDeg
}

// literalHourAngle is H = 15 (UT − 12) + λ + EoT/4, degrees, −180…180.
func literalHourAngle(UT, λ, eotMinutes float64) float64 {
	H := 15*(UT-12) + λ + eotMinutes/4
	return math.Mod(math.Mod(H+180, 360)+360, 360) - 180
}

// literalZenith is χ of cos χ = sin φ sin δ + cos φ cos δ cos H.
func literalZenith(φ, δ, H float64) float64 {
	c := literalSin(φ)*literalSin(δ) + literalCos(φ)*literalCos(δ)*literalCos(H)
	return math.Acos(math.Max(-1, math.Min(1, c))) / literalDeg
}

// literalLocalTime is the local mean time, hours 0–24.
func literalLocalTime(UT, λ float64) float64 {
	return math.Mod(UT+λ/15+48, 24)
}

// literalField is the synthesis of the main field at a geodetic place and height above
// WGS-84: north, east, down, nT (geometry_sun_mag §4), from the coefficients g10 g11
// h11 g20 ….
func literalField(gh []float64, φ, λ, hKm float64) (X, Y, Z float64) {
	const a, flat, radius = 6378.137, 1 / 298.257223563, 6371.2
	e2 := flat * (2 - flat)
	N := a / math.Sqrt(1-e2*literalSin(φ)*literalSin(φ))
	ρ := (N + hKm) * literalCos(φ)
	z := (N*(1-e2) + hKm) * literalSin(φ)
	r := math.Sqrt(ρ*ρ + z*z)
	φc := math.Atan2(z, ρ) // geocentric latitude, radians
	cosθ, sinθ := math.Sin(φc), math.Cos(φc)

	const top = 13
	var P, dP [top + 1][top + 1]float64 // Schmidt semi-normalised, and d/dθ
	P[0][0] = 1
	for n := 1; n <= top; n++ {
		for m := 0; m <= n; m++ {
			switch {
			case n == 1 && m == 1:
				P[n][m], dP[n][m] = sinθ, cosθ
			case m == n:
				k := math.Sqrt(1 - 1/(2*float64(n)))
				P[n][m] = k * sinθ * P[n-1][m-1]
				dP[n][m] = k * (cosθ*P[n-1][m-1] + sinθ*dP[n-1][m-1])
			default:
				below, dBelow := 0.0, 0.0
				if n >= 2 {
					below, dBelow = P[n-2][m], dP[n-2][m]
				}
				k := math.Sqrt(float64((n-1)*(n-1) - m*m))
				root := math.Sqrt(float64(n*n - m*m))
				P[n][m] = (float64(2*n-1)*cosθ*P[n-1][m] - k*below) / root
				dP[n][m] = (float64(2*n-1)*(cosθ*dP[n-1][m]-sinθ*P[n-1][m]) - k*dBelow) / root
			}
		}
	}
	i := 0
	for n := 1; n <= top; n++ {
		q := math.Pow(radius/r, float64(n+2))
		for m := 0; m <= n; m++ {
			g, h := gh[i], 0.0
			i++
			if m > 0 {
				h = gh[i]
				i++
			}
			cosmλ, sinmλ := literalCos(float64(m)*λ), literalSin(float64(m)*λ)
			X += q * (g*cosmλ + h*sinmλ) * dP[n][m]
			Y += q * float64(m) * (g*sinmλ - h*cosmλ) * P[n][m] / sinθ
			Z -= q * float64(n+1) * (g*cosmλ + h*sinmλ) * P[n][m]
		}
	}
	tilt := φc - φ*literalDeg // geocentric to geodetic
	return X*math.Cos(tilt) - Z*math.Sin(tilt), Y, X*math.Sin(tilt) + Z*math.Cos(tilt)
}

// literalDip is I = atan2(Z, H) in degrees and the gyrofrequency in MHz.
func literalDip(gh []float64, φ, λ, hKm float64) (I, fH float64) {
	X, Y, Z := literalField(gh, φ, λ, hKm)
	I = math.Atan2(Z, math.Sqrt(X*X+Y*Y)) / literalDeg
	fH = 2.799249e-5 * math.Sqrt(X*X+Y*Y+Z*Z)
	return I, fH
}

// literalModip is μ in degrees: sin μ = I/√(I² + cos φ), I in radians (p1239 §3).
func literalModip(I, φ float64) float64 {
	IRad := I * literalDeg
	return math.Asin(IRad/math.Sqrt(IRad*IRad+literalCos(φ))) / literalDeg
}

// literalFieldYear is the date of the field: the middle day of the month at noon.
func literalFieldYear(year, month int) float64 {
	day := literalDayOfYear(year, month, literalMidDay(month))
	return float64(year) + (float64(day)-0.5)/float64(literalYearDays(year))
}

// literalIGRF takes the published table.
func literalIGRF(year float64) []float64 {
	gh := earth.IGRF(year)
	return gh[:]
}
