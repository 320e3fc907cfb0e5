package station

import (
	"math"

	"farhail/hf/earth"
	"farhail/unit"
)

// leg is the way between two fixes: a great circle, or a rhumb line, which crosses all
// meridians at one angle.
type leg struct {
	from, to earth.Point
	rhumb    bool
}

// at returns the point after a share of the leg, 0…1.
func (l leg) at(share float64) earth.Point {
	switch {
	case share <= 0 || l.from == l.to:
		return l.from
	case share >= 1:
		return l.to
	case l.rhumb:
		return l.alongRhumb(share)
	}
	arc := earth.Between(l.from, l.to)
	return arc.At(unit.Length(share) * arc.D)
}

// alongRhumb returns the point after a share of a rhumb line.
//
//	φ = φ1 + s (φ2 − φ1)
//	λ = λ1 + Δλ ΔΨ(φ1, φ)/ΔΨ(φ1, φ2)      (φ1 = φ2: λ1 + s Δλ)
//
// Source: the Mercator projection, on which the line is straight; the distance run is in
// proportion to the latitude made good. Δλ is taken the short way round.
// Domain: any two points; from or to a pole the longitude is that of the other end.
func (l leg) alongRhumb(share float64) earth.Point {
	φ1, φ2 := l.from.Lat.Rad(), l.to.Lat.Rad()
	λ1, Δλ := l.from.Lon.Rad(), l.Δλ()
	Δφ := φ2 - φ1
	if atPole(φ1) {
		λ1, Δλ = l.to.Lon.Rad(), 0
	} else if atPole(φ2) {
		Δλ = 0
	}
	along := share
	if Ψ := stretched(φ1, Δφ); Ψ != 0 && Δλ != 0 {
		along = stretched(φ1, share*Δφ) / Ψ
	}
	return earth.Point{Lat: unit.Angle(φ1 + share*Δφ), Lon: unit.Angle(math.Remainder(λ1+along*Δλ, 2*math.Pi))}
}

// length returns how long the leg is.
//
//	rhumb line:  R0 √(Δφ² + (q Δλ)²),  q = Δφ/ΔΨ   (φ1 = φ2: cos φ)
//
// Source: as alongRhumb.
func (l leg) length() unit.Length {
	if !l.rhumb {
		return earth.Between(l.from, l.to).D
	}
	φ1, φ2 := l.from.Lat.Rad(), l.to.Lat.Rad()
	q := math.Cos(φ1)
	if Ψ := stretched(φ1, φ2-φ1); Ψ != 0 {
		q = (φ2 - φ1) / Ψ
	}
	return unit.Length(earth.R0Km*1e3) * unit.Length(math.Hypot(φ2-φ1, q*l.Δλ()))
}

// Δλ is the difference of longitude the short way round, −π…π.
func (l leg) Δλ() float64 { return math.Remainder((l.to.Lon - l.from.Lon).Rad(), 2*math.Pi) }

// stretched returns the difference of the isometric latitudes Ψ = artanh(sin φ) of φ1 and
// φ1 + Δφ, in a form that keeps its digits where Δφ is small.
//
//	ΔΨ = 2 artanh( sin(Δφ/2) / cos(φ1 + Δφ/2) )
func stretched(φ1, Δφ float64) float64 {
	return 2 * math.Atanh(min(max(math.Sin(Δφ/2)/math.Cos(φ1+Δφ/2), -1), 1))
}

func atPole(φ float64) bool { return math.Cos(φ) < 1e-12 }
