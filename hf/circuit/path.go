package circuit

import (
	"fmt"
	"math"

	"farhail/hf/earth"
	"farhail/hf/noise"
	"farhail/unit"
)

// An Antenna gives its gain in dBi at a frequency, a true bearing and an elevation.
// At the transmitter it is the power gain, all losses in; at the receiver the
// directivity, with the losses in Terminal.Internal. Below the horizon it must give
// what it gives at 0°.
type Antenna interface {
	Gain(fMHz, azimuthDeg, elevationDeg float64) float64
}

// A Terminal is one end of a circuit. The zero value is isotropic with a noiseless
// receiver: 0 dBi everywhere, only outside noise counts.
type Terminal struct {
	Antenna Antenna // nil: isotropic
	// Internal is fc·ft·fr, the noise factor of antenna loss, line and receiver as a
	// ratio, at a frequency; nil: external noise alone.
	Internal func(fMHz float64) float64
}

// A Circuit is a transmitter and a receiver and what is asked of the link.
type Circuit struct {
	From, To earth.Point
	Long     bool // the long way round
	Tx, Rx   Terminal
	Power    unit.Power
	// EIRP chooses Rop; zero: the transmitter's power.
	EIRP      unit.Power
	Bandwidth unit.Freq
	NeedSNR   unit.DB
	Noise     noise.Environment
	// SiteNoise, when not nil, replaces the man-made noise of the receiver's site.
	SiteNoise func(fMHz float64) noise.Source
}

// minPathKm is the shortest path the geometry is trusted for: a metre.
const minPathKm = 1e-3

// Check refuses what no radio can do.
func (c *Circuit) Check() error {
	for _, p := range []struct {
		name string
		at   earth.Point
	}{{"from", c.From}, {"to", c.To}} {
		if err := unit.Check(p.name+" latitude", p.at.Lat.Deg(), -90, 90, "degrees"); err != nil {
			return err
		}
		if err := unit.Check(p.name+" longitude", p.at.Lon.Deg(), -360, 360, "degrees"); err != nil {
			return err
		}
	}
	if err := unit.Check("power", c.Power.W(), 1e-3, 1e7, "W"); err != nil {
		return err
	}
	if err := unit.Check("bandwidth", c.Bandwidth.Hz(), 1, 1e5, "Hz"); err != nil {
		return err
	}
	if err := unit.Check("required SNR", float64(c.NeedSNR), -100, 150, "dB"); err != nil {
		return err
	}
	if earth.Between(c.From, c.To).D.Km() < minPathKm {
		return fmt.Errorf("the path has no length: from and to are the same place")
	}
	return nil
}

// Limits of the inputs of a prediction.
const (
	MinMHz, MaxMHz     = 1.6, 30.0
	MinIndex, MaxIndex = -20.0, 400.0
)

// A Path is a circuit over one day's sky: all that does not change with the hour.
type Path struct {
	Circuit
	sky  *Sky
	Arc  earth.Arc
	DKm  float64
	base float64 // dB: field constant, power, losses that no mode changes

	m, a, b point
	// pair holds P and Q by the lowest order n0 that put them there; index 1 is M twice.
	pair [maxN0 + 1]struct{ p, q point }
	rx   point
	n0   int // by length

	eHop   [maxE]hop
	eRay   [maxE]ray
	eModes int
	f2Hop  [maxN0 + maxF2]hop // f2Hop[n−1]: n hops

	es      [esHops]esHop
	esModes int // 0 unless the sky has them

	south       bool // of M
	site        noise.Site
	bandwidthDB float64
	long        longPath
}

// maxN0 bounds the lowest order: the long way round is under 11 hops of 4,000 km, and
// under 15 of the shortest that leaves above the horizon.
const maxN0 = 15

// Path prepares a circuit. The circuit must have passed Check.
func (s *Sky) Path(c Circuit) *Path {
	p := new(Path)
	p.set(s, c)
	return p
}

func (p *Path) set(s *Sky, c Circuit) {
	*p = Path{Circuit: c, sky: s}
	p.Arc = earth.Between(c.From, c.To)
	if c.Long {
		p.Arc = p.Arc.Reverse()
	}
	p.DKm = max(p.Arc.D.Km(), minPathKm)
	if p.EIRP == 0 {
		p.EIRP = c.Power
	}
	D := p.DKm
	km := func(d float64) earth.Point { return p.Arc.At(unit.Length(d) * unit.Km) }
	p.m = s.point(km(D / 2))
	p.south = p.m.at.Lat < 0
	if D > 2000 {
		p.a, p.b = s.point(km(1000)), s.point(km(D-1000))
	}
	p.n0 = int(math.Ceil(D / hopMax))
	first, last := p.n0, p.n0
	if !s.Reading.ByLength {
		first, last = 2, maxN0 // the other rule may take longer hops, or shorter
	}
	p.pair[1].p, p.pair[1].q = p.m, p.m
	for n := max(2, first); n <= last; n++ {
		d0 := D / float64(n)
		p.pair[n].p, p.pair[n].q = s.point(km(d0/2)), s.point(km(D-d0/2))
	}
	p.rx = s.point(c.To)

	if D <= hopMax {
		n := 1
		if D > eMax {
			n = 2
		}
		for i := range maxE {
			p.eHop[i] = newHop(D, n+i)
			p.eRay[i] = p.eHop[i].at(hE)
		}
		p.eModes = maxE
	}
	if s.es != nil {
		p.setEs()
	}
	if D <= longOnlyKm {
		for n := 1; n < last+maxF2; n++ {
			p.f2Hop[n-1] = newHop(D, n)
		}
	}
	p.site = noise.NewSite(c.To, s.Date.Month)
	p.bandwidthDB = 10 * math.Log10(c.Bandwidth.Hz())
	p.base = fieldConstant - lossConstant - otherLosses + 10*math.Log10(c.Power.W()/1000)
	if D > longFromKm {
		p.long.set(p)
	}
}

// The long-path method begins at 7,000 km and stands alone beyond 9,000.
const longFromKm, longOnlyKm = 7000.0, 9000.0
