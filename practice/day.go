package practice

import (
	"fmt"
	"math"
	"time"

	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/hf/iono"
	"farhail/hf/noise"
	"farhail/unit"
)

// A Day is one truth over the hours of a setting. It does not change once made and may
// be asked from many goroutines.
type Day struct {
	Seed uint64
	// IndexError is the true IG12 less what the operator was told, SunError that of R12;
	// Storm the greatest Ap24 of the day.
	IndexError, SunError float64
	Storm                float64

	set     *Setting
	w       *World
	start   float64        // hours of the first quarter since 00 UT of its date
	snr     [][][2]float64 // [channel][quarter bound]: dB in 3 kHz, out and in
	steady  [][]bool       // [channel][quarter]: the ground wave stands above the sky's
	keepers []keeper
}

// shut stands for nothing arriving, as in forecast.
const shut = -60.0

// steadyDB is how far the ground wave must stand above the sky's for a call not to fade.
const steadyDB = 10.0

// NewDay draws a day. The same seed gives the same day.
func NewDay(set *Setting, w *World, seed uint64) (*Day, error) {
	if err := set.prepare(); err != nil {
		return nil, err
	}
	d := &Day{Seed: seed, set: set, w: w}
	d.drawIndex()
	q := &set.Request
	t0 := set.Prospect.Start
	midnight := t0.Truncate(24 * time.Hour)
	d.start = t0.Sub(midnight).Hours()
	hours := d.start + float64(set.Prospect.Slots)/4
	drive := func(y, m int) (float64, float64) {
		ig, r := q.Drive(y, m)
		return ig + d.IndexError, max(r+d.SunError, 0)
	}
	_, R12 := drive(t0.Year(), int(t0.Month()))
	a := newAir(w, t0.Year(), int(t0.Month()), t0.Day(), hours, R12, d.where(t0), seed)
	for h := d.start; h < hours; h += apStep {
		d.Storm = max(d.Storm, a.storm.Ap24(h))
	}
	d.keep(hours)
	return d, d.hear(a, drive, hours, R12, midnight)
}

// drawIndex takes the error of an index of that age from the months there were.
func (d *Day) drawIndex() {
	rng := stream(d.Seed, streamIndex)
	y, m := iono.LastObserved()
	months := (y-1958)*12 + m - d.w.IndexAge
	k := rng.IntN(months)
	at := func(k int) iono.Index { return iono.IndexOf(1958+k/12, k%12+1) }
	told, is := at(k), at(k+d.w.IndexAge)
	d.IndexError, d.SunError = is.IG12-told.IG12, is.R12-told.R12
}

func (d *Day) where(t time.Time) earth.Point {
	if q := &d.set.Request; q.Where != nil {
		return q.Where(t)
	}
	return d.set.Request.Home.Position
}

func (d *Day) keep(hours float64) {
	rng := stream(d.Seed, streamStations)
	for _, s := range d.set.stations {
		d.keepers = append(d.keepers, newKeeper(d.w, hours, s.Position.Lon.Deg()/15, rng))
	}
}

// hear works out every channel's SNR both ways at every quarter.
func (d *Day) hear(a *air, drive circuit.Driver, hours, R12 float64, midnight time.Time) error {
	set, p := d.set, d.set.Prospect
	d.snr = make([][][2]float64, len(p.Channels))
	d.steady = make([][]bool, len(p.Channels))
	for i := range p.Channels {
		d.snr[i] = make([][2]float64, p.Slots+1)
		d.steady[i] = make([]bool, p.Slots+1)
	}
	sites, slow := stream(d.Seed, streamSites), stream(d.Seed, streamSlow)
	fadeouts := newFadeouts(d.w, hours, R12, stream(d.Seed, streamFadeouts))
	ourSite := d.w.Site[set.Request.Home.Noise.Environment] * sites.NormFloat64()
	if set.site != nil {
		ourSite *= measuredShare
	}
	ourNoise := newDrift(d.w.NoiseHours, 0.25, hours, slow)
	var skies []*circuit.Sky
	for day := 0; day <= int(hours/24); day++ {
		t := midnight.AddDate(0, 0, day)
		skies = append(skies, circuit.NewSkyWith(circuit.Date{Year: t.Year(), Month: int(t.Month()), Day: t.Day()}, drive, set.Request.Reading, circuit.Options{
			Set: iono.URSI, FieldYear: a.fieldYear,
			ScaleF2: func(at earth.Point, utcH float64) float64 { return a.scale(at, float64(24*day)+utcH) },
		}))
	}
	for k := range set.stations {
		e := ear{d: d, k: k, fadeouts: fadeouts, ourNoise: &ourNoise, ourSite: ourSite}
		e.theirSite = d.w.Site[set.stations[k].Noise] * sites.NormFloat64()
		e.circuitDB = d.w.CircuitSD * sites.NormFloat64()
		e.theirNoise = newDrift(d.w.NoiseHours, 0.25, hours, slow)
		e.signal = newDrift(d.w.SlowHours, 0.25, hours, slow)
		if err := e.listen(skies, midnight); err != nil {
			return fmt.Errorf("station %s: %w", set.stations[k].Name, err)
		}
	}
	return nil
}

// measuredShare is what is left of a site's unknown offset once the operator has read
// the noise off the receiver. Our assumption.
const measuredShare = 0.4

// An ear works out one station's channels.
type ear struct {
	d                  *Day
	k                  int
	fadeouts           []fadeout
	ourSite, theirSite float64
	circuitDB          float64
	ourNoise           *drift
	theirNoise, signal drift
}

func (e *ear) listen(skies []*circuit.Sky, midnight time.Time) error {
	d, set := e.d, e.d.set
	h, s := set.Request.Home, set.stations[e.k]
	moved := func(of func(float64) noise.Source, env noise.Environment, by float64) func(float64) noise.Source {
		return func(fMHz float64) noise.Source {
			src := noise.ManMade(env, fMHz)
			if of != nil {
				src = of(fMHz)
			}
			src.Fam += by
			return src
		}
	}
	out := circuit.Circuit{To: s.Position, Power: h.Power, Bandwidth: 3 * unit.KHz, Noise: set.theirs[e.k],
		Tx: set.home.Transmitting(), Rx: set.far[e.k].Receiving(), SiteNoise: moved(nil, set.theirs[e.k], e.theirSite)}
	in := circuit.Circuit{From: s.Position, Power: s.Power, Bandwidth: 3 * unit.KHz, Noise: set.ours,
		Tx: set.far[e.k].Transmitting(), Rx: set.home.Receiving(), SiteNoise: moved(set.site, set.ours, e.ourSite)}
	var paths [2]*circuit.Path
	var hour [2]circuit.Hour
	var on *circuit.Sky
	var from earth.Point
	for t := 0; t <= set.Prospect.Slots; t++ {
		hNow := d.start + float64(t)/4
		day := min(int(hNow/24), len(skies)-1)
		if at := d.where(set.at(t).Truncate(time.Hour)); skies[day] != on || at != from {
			on, from = skies[day], at
			out.From, in.To = at, at
			if err := out.Check(); err != nil {
				return err
			}
			paths = [2]*circuit.Path{on.Path(out), on.Path(in)}
		}
		utc := hNow - 24*float64(day)
		paths[0].At(utc, &hour[0])
		paths[1].At(utc, &hour[1])
		cosχ := on.Sun().CosZenith(paths[0].Midpoint(), utc)
		for c := range set.Prospect.Channels {
			if set.of[c] == e.k && len(set.radios[c]) > 0 {
				e.channel(c, t, hNow, cosχ, &hour)
			}
		}
	}
	return nil
}

// channel sets one channel's SNRs at one quarter.
func (e *ear) channel(c, t int, h, cosχ float64, hour *[2]circuit.Hour) {
	set := e.d.set
	ch := &set.Prospect.Channels[c]
	var r [2]circuit.Prediction
	hour[0].Predict(&set.bands[c], &r[0])
	hour[1].Predict(&set.bands[c], &r[1])
	less := 10 * math.Log10(ch.Power.W()/set.Request.Home.Power.W())
	sky := e.circuitDB + e.d.w.SlowSD*e.signal.at(h) - lossOf(e.fadeouts, h, ch.MHz, cosχ)
	detail := ch.At(set.at(t))
	ground := [2]float64{math.Inf(-1), math.Inf(-1)}
	if detail.HasGround {
		ground = [2]float64{detail.GroundOut, detail.GroundIn}
	}
	noises := [2]*drift{&e.theirNoise, e.ourNoise}
	over := math.Inf(1)
	for way := range 2 {
		signal := r[way].Signal + sky
		if way == 0 {
			signal += less
		}
		over = min(over, ground[way]-signal)
		level := 10 * math.Log10(math.Pow(10, signal/10)+math.Pow(10, ground[way]/10))
		z := noises[way].at(h) / 1.2816
		N := r[way].Noise + z*r[way].NoiseUpper
		if z < 0 {
			N = r[way].Noise + z*r[way].NoiseLower
		}
		e.d.snr[c][t][way] = max(level-N, shut)
	}
	e.d.steady[c][t] = over > steadyDB
}

// between reads the quarters' SNRs at x quarters from the start, in 3 kHz, the mean over
// fading: of us there, and of them here.
func (d *Day) between(c int, x float64) (out, in float64) {
	s := d.snr[c]
	x = min(max(x, 0), float64(len(s)-1))
	i := min(int(x), len(s)-2)
	w := x - float64(i)
	return s[i][0]*(1-w) + s[i+1][0]*w, s[i][1]*(1-w) + s[i+1][1]*w
}
