package circuit

import (
	"math"

	"farhail/hf/earth"
	"farhail/hf/iono"
)

// A Date is a day; Day 0 stands for the middle of the month, with the month's own maps.
type Date struct{ Year, Month, Day int }

func (d Date) day() int {
	if d.Day == 0 {
		return earth.MidMonth(d.Month)
	}
	return d.Day
}

// A Driver gives the indices of a month: IG12 for foF2 and M(3000)F2, R12 for the rest.
type Driver func(year, month int) (IG12, R12 float64)

// Constant drives every formula by one number as it stands, negative or not.
func Constant(ssn float64) Driver { return func(int, int) (float64, float64) { return ssn, ssn } }

// A Sky is the ionosphere, Sun and field of one day under one index.
type Sky struct {
	Date    Date
	Reading Reading
	R12     float64

	maps  *iono.Maps
	sun   earth.Sun
	field *earth.Field                       // of the date
	modip *earth.Field                       // that gives the modified dip
	scale func(earth.Point, float64) float64 // of foF2; nil: none
	es    *iono.EsMaps                       // nil: no modes by sporadic E
	// FieldClamped: the date lies outside the field model, whose nearest year stands in.
	FieldClamped bool
}

// Options make another sky than the forecast's: the truth of a practice air, a member
// of an ensemble. The zero value changes nothing.
type Options struct {
	Set       iono.Set // of foF2 coefficients
	FieldYear float64  // of the modified dip; 0: as the reading has it
	// ScaleF2 multiplies foF2 at a place and UT hour; nil: by one.
	ScaleF2 func(at earth.Point, utcH float64) float64
	// SporadicE adds modes by sporadic E, which P.533 has not: a bonus, unforecast (es.go).
	SporadicE bool
}

// NewSky prepares a day. Dates outside 1955–2030 take the field of the nearest year.
func NewSky(d Date, drive Driver, r Reading) *Sky { return NewSkyWith(d, drive, r, Options{}) }

// NewSkyWith prepares a day of another sky.
func NewSkyWith(d Date, drive Driver, r Reading, o Options) *Sky {
	s := &Sky{Date: d, Reading: r, scale: o.ScaleF2}
	year := earth.DecimalYear(d.Year, d.Month, d.day())
	s.FieldClamped = year < earth.FieldFirstYear || year > earth.FieldLastYear+1
	s.sun = earth.SunOn(d.Year, d.Month, d.day())
	s.field = earth.FieldAt(year)
	s.modip = s.field
	if o.FieldYear == 0 {
		o.FieldYear = r.FieldYear
	}
	if o.FieldYear != 0 {
		s.modip = earth.FieldAt(o.FieldYear)
	}
	mapIndex := func(y, m int) float64 {
		ig, r12 := drive(y, m)
		if r.OneIndex {
			return r12
		}
		return ig
	}
	mix := iono.Month(d.Month, mapIndex(d.Year, d.Month))
	_, s.R12 = drive(d.Year, d.Month)
	if d.Day != 0 {
		mix = iono.Day(d.Year, d.Month, d.Day, mapIndex)
		r := iono.Day(d.Year, d.Month, d.Day, func(y, m int) float64 { _, r := drive(y, m); return r })
		s.R12 = r.IndexA*(1-r.W) + r.IndexB*r.W
	}
	s.maps = iono.NewMaps(o.Set, mix)
	if o.SporadicE {
		s.es = s.newEs()
	}
	return s
}

// Sun returns the Sun of the day.
func (s *Sky) Sun() earth.Sun { return s.sun }

// A point is a place on the earth as the ionosphere above it behaves this day.
type point struct {
	at         earth.Point
	sinφ, cosφ float64
	lonDeg     float64
	gnDeg      float64 // |geomagnetic latitude|
	μ          float64 // modified dip, radians
	fH300      float64 // gyrofrequency at 300 km, MHz
	fH100      float64 // and at 100 km
	e          iono.ELayer
	place      iono.Place
}

func (s *Sky) point(at earth.Point) (p point) {
	p.at = at
	p.sinφ, p.cosφ = math.Sincos(at.Lat.Rad())
	p.lonDeg = at.Lon.Deg()
	p.gnDeg = math.Abs(earth.DipoleLatitude(at).Deg())
	p.e = iono.NewELayer(at.Lat.Rad(), s.sun, s.R12)
	v := s.field.At(at, 300)
	p.fH300 = v.GyroMHz()
	p.fH100 = s.field.At(at, 100).GyroMHz()
	if s.modip != s.field {
		v = s.modip.At(at, 300)
	}
	p.μ = earth.Modip(v.Dip(), at.Lat.Rad())
	p.place = s.maps.Place(at, p.μ)
	return p
}

// An above is the ionosphere over a point at one moment.
type above struct {
	cosχ  float64
	foE   float64
	foF2  float64
	M3000 float64
}

// sunAt returns cos χ and the hour angle.
func (s *Sky) sunAt(p *point, utcH float64) (cosχ, H float64) {
	H = s.sun.HourAngle(p.at, utcH)
	return s.sun.CosZenithAt(p.sinφ, p.cosφ, math.Cos(H)), H
}

func (s *Sky) above(p *point, utcH float64, d *iono.Hour) (a above) {
	var H float64
	a.cosχ, H = s.sunAt(p, utcH)
	a.foE = p.e.FoE(a.cosχ, H)
	a.foF2 = s.foF2(p, utcH, d)
	a.M3000 = p.place.M3000(d)
	return a
}

// foF2 is the critical frequency over a point.
func (s *Sky) foF2(p *point, utcH float64, d *iono.Hour) float64 {
	f := p.place.FoF2(d)
	if s.scale != nil {
		f *= s.scale(p.at, utcH)
	}
	return f
}

// local returns local mean time in hours, 0 ≤ t < 24.
func (p *point) local(utcH float64) float64 {
	t := math.Mod(utcH+p.lonDeg/15, 24)
	if t < 0 {
		t += 24
	}
	return t
}

// An Overhead is the ionosphere above one place at one moment, for display.
type Overhead struct {
	FoF2MHz, M3000F2, FoEMHz, FoEsMHz, FoF1MHz float64 // FoF1MHz 0: no F1 layer
	FoEsUpperMHz, FoEsLowerMHz                 float64 // exceeded on 10 and 90 % of days
	HmF2Km                                     float64
	DipDeg, ModipDeg, GyroMHz                  float64 // at 300 km
	ZenithDeg                                  float64
}

// Overhead evaluates a place. The gyrofrequency and dip are those at 300 km.
func (s *Sky) Overhead(at earth.Point, utcH float64) (o Overhead) {
	p, d := s.point(at), iono.AtUTC(utcH)
	a := s.above(&p, utcH, &d)
	o.FoF2MHz, o.M3000F2, o.FoEMHz = a.foF2, a.M3000, a.foE
	o.ZenithDeg = math.Acos(a.cosχ) * 180 / math.Pi
	o.HmF2Km = iono.HmF2Km(a.foF2, a.foE, a.M3000, p.gnDeg, s.R12)
	o.DipDeg = s.field.At(at, 300).Dip() * 180 / math.Pi
	o.ModipDeg, o.GyroMHz = p.μ*180/math.Pi, p.fH300
	if f, ok := iono.FoF1(p.gnDeg, o.ZenithDeg, s.R12); ok {
		o.FoF1MHz = f
	}
	es := s.es
	if es == nil {
		es = s.newEs()
	}
	o.FoEsLowerMHz, o.FoEsMHz, o.FoEsUpperMHz = es.At(at, p.μ, &d)
	return o
}
