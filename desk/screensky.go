package desk

import (
	"math"
	"slices"
	"time"

	"farhail/forecast"
	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/station"
	"farhail/unit"
)

// SkyShares are the chances whose edges a SkyEdge tells.
var SkyShares = [5]float64{0.10, 0.25, 0.50, 0.75, 0.90}

// skyGrid is how many frequencies the lower edge is looked for on.
const skyGrid = 16

// A SkyEdge is the span of frequencies, MHz, that carries to a station at a full hour,
// for each of SkyShares. High is the MUF's: exceeded on that share of days. Low is the
// LUF's: the lowest frequency at which a call gets through with that chance, both ways;
// +Inf when none does.
type SkyEdge struct {
	At        time.Time
	High, Low [5]float64
}

// skyTo works the edges out, an hour at a time.
//
// High: operational MUF times the deciles of daily foF2 (ITU-R P.1239-3 Tables 2 and 3,
// as in our notes), taken as two half-normals in the logarithm. Low: from the chance to
// connect on a grid of frequencies, all hours and licences allowed, the station taken to
// be there; between frequencies straight in the logarithm of frequency.
// Accuracy: skyGrid frequencies; against a grid twice as fine the median edge of the demo
// worlds moves by under 0.2 MHz in 19 hours of 20, by 0.4 where a mode comes or goes
// between two frequencies (measured in screen_test.go).
func skyTo(h *station.Home, s *station.Station, index IndexAnswer, from time.Time, span time.Duration, belief [forecast.States]float64) ([]SkyEdge, error) {
	return skyOnGrid(h, s, index, from, span, belief, skyGrid)
}

func skyOnGrid(h *station.Home, s *station.Station, index IndexAnswer, from time.Time, span time.Duration, belief [forecast.States]float64, n int) ([]SkyEdge, error) {
	grid := gridFor(s, n)
	free := *h
	free.Permits = everywhere()
	probe := *s
	probe.Hours, probe.Skeds, probe.Channels = station.Always(), nil, nil
	waveforms := []string{}
	for _, c := range s.Channels {
		for _, w := range c.Waveforms {
			if !slices.Contains(waveforms, w) {
				waveforms = append(waveforms, w)
			}
		}
	}
	for _, f := range grid {
		probe.Channels = append(probe.Channels, station.Channel{Centre: f, Bandwidth: 24 * unit.KHz, Waveforms: waveforms, Hours: station.Always()})
	}
	first := from.Truncate(time.Hour)
	hours := int(math.Ceil(from.Add(span).Sub(first).Hours())) + 1
	pr, err := prospectOf(&free, &station.Directory{Stations: []station.Station{probe}}, nil, index, first, time.Duration(hours)*time.Hour)
	if err != nil {
		return nil, err
	}
	var out []SkyEdge
	skies := map[circuit.Date]*circuit.Path{}
	for k := range hours {
		t := first.Add(time.Duration(k) * time.Hour)
		e := SkyEdge{At: t}
		date := circuit.Date{Year: t.Year(), Month: int(t.Month()), Day: t.Day()}
		if skies[date] == nil {
			skies[date] = circuit.NewSky(date, index.drive(), circuit.Field).Path(circuit.Circuit{From: h.Position, To: s.Position, Power: 100, Bandwidth: 3 * unit.KHz})
		}
		var hour circuit.Hour
		skies[date].At(float64(t.Hour()), &hour)
		down, up := hour.FoF2DecilesAt()
		for i, q := range SkyShares {
			e.High[i] = hour.OperationalMUF * daysAbove(q, down, up)
			e.Low[i] = math.Inf(1)
		}
		slot := k * int(time.Hour/forecast.Slot)
		chance := make([]float64, 0, len(pr.Channels))
		var fs []float64
		for i := range pr.Channels {
			if c := &pr.Channels[i]; slot < len(c.Cells) {
				fs, chance = append(fs, c.MHz), append(chance, c.Cells[slot].Likely(belief))
			}
		}
		for i, q := range SkyShares {
			e.Low[i] = reaches(fs, chance, q)
		}
		out = append(out, e)
	}
	return out, nil
}

// gridFor spreads n frequencies evenly in the logarithm about the station's channels,
// clear of those that are kept free by the Radio Regulations.
func gridFor(s *station.Station, n int) []unit.Freq {
	lo, hi := math.Inf(1), 0.0
	for _, c := range s.Channels {
		lo, hi = min(lo, c.Centre.MHz()), max(hi, c.Centre.MHz())
	}
	lo, hi = max(lo*0.6, 1.7), min(hi*1.3, 29)
	out := make([]unit.Freq, 0, n)
	for i := range n {
		f := unit.Freq(lo*math.Pow(hi/lo, float64(i)/float64(n-1))) * unit.MHz
		for range 40 {
			if _, ok := station.Kept(f, 24*unit.KHz); ok {
				break
			}
			f += 5 * unit.KHz
		}
		out = append(out, f)
	}
	return out
}

// daysAbove is the ratio to the median that a daily MUF exceeds with chance q, between
// the deciles down and up: half-normal on either side in the logarithm.
func daysAbove(q, down, up float64) float64 {
	const decile = 1.2815515655446004
	z := math.Sqrt2 * math.Erfinv(1-2*q) // exceeded with chance q
	if z >= 0 {
		return math.Exp(z / decile * math.Log(up))
	}
	return math.Exp(-z / decile * math.Log(down))
}

// reaches is the lowest frequency at which the chance is q; +Inf when nowhere.
func reaches(fMHz, chance []float64, q float64) float64 {
	for i, p := range chance {
		if p < q {
			continue
		}
		if i == 0 {
			return fMHz[0]
		}
		w := (q - chance[i-1]) / (p - chance[i-1])
		return fMHz[i-1] * math.Pow(fMHz[i]/fMHz[i-1], w)
	}
	return math.Inf(1)
}

// SubSolar is the place the Sun stands over: for the shade of night on a map.
func SubSolar(t time.Time) earth.Point {
	sun := earth.SunAt(earth.JulianDay(t.Year(), int(t.Month()), t.Day()) + (float64(t.Hour())+float64(t.Minute())/60)/24)
	atGreenwich := sun.HourAngle(earth.Point{}, float64(t.Hour())+float64(t.Minute())/60)
	return earth.Point{Lat: sun.Declination, Lon: unit.Angle(-atGreenwich)}
}
