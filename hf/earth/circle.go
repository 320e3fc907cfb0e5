package earth

import (
	"math"

	"farhail/unit"
)

// R0Km is the earth's radius in every path formula.
// Source: ITU-R P.533-14 §5.1, as in our notes (from memory, high).
const R0Km = 6371.0

// Arc is a great-circle path seen from its start.
type Arc struct {
	From    Point
	D       unit.Length
	Azimuth unit.Angle // at the start, clockwise from true north, 0…2π
	Back    unit.Angle // at the far end, towards the start along the same path

	sinφ, cosφ float64 // of the start
	sinA, cosA float64 // of the azimuth
}

// Between returns the short great-circle path from a to b.
//
//	D = R0 atan2( √[(cos φ2 sin Δλ)² + (cos φ1 sin φ2 − sin φ1 cos φ2 cos Δλ)²],
//	              sin φ1 sin φ2 + cos φ1 cos φ2 cos Δλ )
//
// Source: spherical trigonometry. Domain: any two points; for coincident or
// antipodal points the azimuth is arbitrary but finite.
func Between(a, b Point) Arc {
	s := Arc{From: a}
	s.sinφ, s.cosφ = math.Sincos(a.Lat.Rad())
	sin2, cos2 := math.Sincos(b.Lat.Rad())
	sinΔ, cosΔ := math.Sincos((b.Lon - a.Lon).Rad())
	y := cos2 * sinΔ
	x := s.cosφ*sin2 - s.sinφ*cos2*cosΔ
	r := math.Hypot(y, x)
	s.D = unit.Length(R0Km * math.Atan2(r, s.sinφ*sin2+s.cosφ*cos2*cosΔ) * 1e3)
	s.sinA, s.cosA = 0, 1
	if r > 0 {
		s.sinA, s.cosA = y/r, x/r
	}
	s.Azimuth = wrap(math.Atan2(y, x))
	s.Back = wrap(math.Atan2(-s.cosφ*sinΔ, cos2*s.sinφ-sin2*s.cosφ*cosΔ))
	return s
}

// Reverse returns the other way round: 2πR0 − D, off in the opposite direction.
func (s Arc) Reverse() Arc {
	s.D = unit.Length(2*math.Pi*R0Km*1e3) - s.D
	s.Azimuth = wrap(s.Azimuth.Rad() + math.Pi)
	s.Back = wrap(s.Back.Rad() + math.Pi)
	s.sinA, s.cosA = -s.sinA, -s.cosA
	return s
}

// At returns the point a distance d from the start along the path.
//
//	φ = asin( sin φ1 cos σ + cos φ1 sin σ cos A )
//	λ = λ1 + atan2( sin A sin σ , cos φ1 cos σ − sin φ1 sin σ cos A )
//
// The second form of the arc tangent keeps the longitude at a pole, where the common
// one (both terms times cos φ1) is 0/0.
func (s Arc) At(d unit.Length) Point {
	sinσ, cosσ := math.Sincos(d.Km() / R0Km)
	sinφ := min(max(s.sinφ*cosσ+s.cosφ*sinσ*s.cosA, -1), 1)
	dλ := math.Atan2(s.sinA*sinσ, s.cosφ*cosσ-s.sinφ*sinσ*s.cosA)
	λ := math.Remainder(s.From.Lon.Rad()+dλ, 2*math.Pi)
	return Point{unit.Angle(math.Asin(sinφ)), unit.Angle(λ)}
}

// AzimuthAt returns the direction of travel at a distance d along the path.
func (s Arc) AzimuthAt(d unit.Length) unit.Angle {
	sinσ, cosσ := math.Sincos(d.Km() / R0Km)
	return wrap(math.Atan2(s.cosφ*s.sinA, s.cosφ*cosσ*s.cosA-s.sinφ*sinσ))
}

// wrap brings an angle to 0…2π.
func wrap(a float64) unit.Angle {
	if a = math.Mod(a, 2*math.Pi); a < 0 {
		a += 2 * math.Pi
	}
	return unit.Angle(a)
}

// DipoleLatitude returns the geomagnetic latitude Gn of an earth-centred dipole
// with its north pole at 78.5° N, 68.2° W.
//
//	sin Gn = sin φ sin 78.5° + cos φ cos 78.5° cos(λ + 68.2°)
//
// Source: ITU-R P.533-14 §5.2.2, as in our notes (from memory, high).
func DipoleLatitude(p Point) unit.Angle {
	const pole, west = 78.5 * math.Pi / 180, 68.2 * math.Pi / 180
	φ, λ := p.Lat.Rad(), p.Lon.Rad()
	s := math.Sin(φ)*math.Sin(pole) + math.Cos(φ)*math.Cos(pole)*math.Cos(λ+west)
	return unit.Angle(math.Asin(min(max(s, -1), 1)))
}
