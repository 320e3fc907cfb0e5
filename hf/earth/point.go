package earth

import "farhail/unit"

// Point is a place: geodetic latitude positive north, longitude positive east.
type Point struct{ Lat, Lon unit.Angle }

// At makes a Point of degrees.
func At(latDeg, lonDeg float64) Point {
	return Point{unit.Angle(latDeg) * unit.Degree, unit.Angle(lonDeg) * unit.Degree}
}
