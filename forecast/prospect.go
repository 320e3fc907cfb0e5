package forecast

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/hf/ground"
	"farhail/hf/noise"
	"farhail/modem"
	"farhail/station"
	"farhail/unit"
)

// Slot is the grain of time.
const Slot = 15 * time.Minute

// States of the day's sky: a third of all days each, at the mean of its third of a
// normal distribution.
const States = 3

// Nodes are the cases inside a state: two a side of the median.
const Nodes = 4

var (
	// StateZ is where the states lie, in standard deviations of the day's part.
	StateZ = [States]float64{-1.0908, 0, 1.0908}
	// StateName says them in words.
	StateName = [States]string{"below", "as forecast", "above"}
	// StatePrior is what is believed before the first call.
	StatePrior = [States]float64{1. / 3, 1. / 3, 1. / 3}
)

// dayShare is the day's part of P.842's deciles. Source: reception reports of two
// years, 230 receivers (our notes, choices): 4.7 of 9.1 up and 6.8 of 13.8 down.
const dayShare = 0.5

// measuredSD is what one reading of the noise leaves unknown of a site, dB: meters are
// seldom calibrated, and it was read at one hour. Our assumption.
const measuredSD = 3

// A Request asks for the prospects of a stretch of time.
type Request struct {
	Home      *station.Home
	Directory *station.Directory
	Start     time.Time
	Slots     int
	Drive     circuit.Driver
	Reading   circuit.Reading
	// Where is the home's position at a time, when it moves; nil: it does not.
	Where func(time.Time) earth.Point
	// Modems are waveforms the operator described; they stand before the library's.
	Modems []modem.Waveform
}

// A Prospect is what every channel promises through a stretch of time.
type Prospect struct {
	Start    time.Time // of the first slot, on a quarter of an hour
	Slots    int
	Channels []Channel
	Notes    []string
}

// A Channel is a far station's frequency as our station may use it.
type Channel struct {
	Station  *station.Station
	Channel  *station.Channel
	MHz      float64
	Heading  unit.Angle // at Start; each hour has its own
	Distance unit.Length
	Power    unit.Power // what we would use: ours, or what the permit allows
	Excluded string     // the rule that keeps us off it; empty: none
	Calling  modem.Calling
	Links    []*modem.Link // the waveforms both ends have
	Cells    []Cell        // one a slot
	Hours    []HourDetail  // from the full hour at or before Start

	bandwidth []unit.Freq // of Links
	site      [2]float64  // sd of the noise between sites of a kind, dB: there, here
}

// An HourDetail is the sky and both directions of a channel at a full hour; SNRs are
// in 3 kHz.
type HourDetail struct {
	At                            time.Time
	Heading                       unit.Angle
	Distance                      unit.Length
	BasicMUF, OperationalMUF, OWF float64            // MHz, of the path outward
	Out, In                       circuit.Prediction // of the sky wave; SNR with the ground wave in
	HasGround                     bool
	GroundOut, GroundIn           float64 // dBW received along the ground
	// Both waves together, and how much later the strongest mode outward comes, ms; NaN: none.
	MixOut, MixIn ground.Mix
	DelayMs       float64
	Support       float64 // share of days on which the basic MUF outward reaches the channel
}

// A Cell is one channel in one slot.
type Cell struct {
	Open bool  // the station listens
	Link uint8 // which of Links is meant

	// By state of the day's sky, given that the station would answer.
	Connect [States]float64
	// Rate is the user's bytes that cross outward in a connected minute, by node, and
	// Weight how likely each is once connected.
	Rate, Weight [States][Nodes]float64
	RateIn       [States]float64 // mean, inward
	Setup        float64         // minutes from calling to connected
	GiveUp       float64         // minutes of three tries without answer
}

// Likely is the chance to connect over the states, station's presence aside.
func (c *Cell) Likely(belief [States]float64) (p float64) {
	for k, w := range belief {
		p += w * c.Connect[k]
	}
	return p
}

// reference is the bandwidth the circuits are worked out in.
const reference = 3 * unit.KHz

// New works out the prospects. The error is a station or antenna that cannot be.
func New(q Request) (*Prospect, error) {
	p := &Prospect{Start: q.Start.UTC().Truncate(Slot), Slots: q.Slots}
	first := p.Start.Truncate(time.Hour)
	hours := int(math.Ceil(p.Start.Add(time.Duration(q.Slots)*Slot).Sub(first).Hours())) + 1

	skies := map[circuit.Date]*circuit.Sky{}
	sky := func(t time.Time) *circuit.Sky {
		d := circuit.Date{Year: t.Year(), Month: int(t.Month()), Day: t.Day()}
		if skies[d] == nil {
			skies[d] = circuit.NewSky(d, q.Drive, q.Reading)
		}
		return skies[d]
	}
	for h := range hours {
		sky(first.Add(time.Duration(h) * time.Hour))
	}
	home, err := NewAerial(q.Home.Antenna, q.Home.FeederLoss, q.Home.NoiseFigure)
	if err != nil {
		return nil, fmt.Errorf("home antenna: %w", err)
	}
	// Every station on its own; the channels keep the directory's order.
	parts := make([][]Channel, len(q.Directory.Stations))
	errs := make([]error, len(parts))
	var all sync.WaitGroup
	for i := range q.Directory.Stations {
		all.Go(func() { parts[i], errs[i] = one(&q, &q.Directory.Stations[i], home, p, sky, first, hours) })
	}
	all.Wait()
	for i := range parts {
		if errs[i] != nil {
			return nil, fmt.Errorf("station %s: %w", q.Directory.Stations[i].Name, errs[i])
		}
	}
	p.Channels = slices.Concat(parts...)
	return p, nil
}

// one works out the channels of one station.
func one(q *Request, s *station.Station, home *Aerial, p *Prospect, sky func(time.Time) *circuit.Sky, first time.Time, hours int) ([]Channel, error) {
	far, err := NewAerial(s.Antenna, s.FeederLoss, defaultNoiseFigure)
	if err != nil {
		return nil, fmt.Errorf("antenna: %w", err)
	}
	ours, err := noise.ParseEnvironment(string(q.Home.Noise.Environment))
	if err != nil {
		return nil, err
	}
	theirs, err := noise.ParseEnvironment(string(s.Noise))
	if err != nil {
		return nil, err
	}
	out := circuit.Circuit{From: q.Home.Position, To: s.Position, Power: q.Home.Power, Bandwidth: reference, NeedSNR: 0, Noise: theirs, Tx: home.Transmitting(), Rx: far.Receiving()}
	in := circuit.Circuit{From: s.Position, To: q.Home.Position, Power: s.Power, Bandwidth: reference, NeedSNR: 0, Noise: ours, Tx: far.Transmitting(), Rx: home.Receiving()}
	if in.SiteNoise, err = SiteNoise(q.Home.Noise, ours, home); err != nil {
		return nil, err
	}
	// A station's channels share their links: same distance, same ladder.
	links := map[string]*modem.Link{}
	over := func(w modem.Waveform, c *Channel) *modem.Link {
		l, ok := links[w.Name]
		if !ok {
			l = w.Over(rayLength(q, c), modem.Poor)
			links[w.Name] = l
		}
		return l
	}
	chs := make([]Channel, len(s.Channels))
	bands := make([]circuit.Band, len(chs))
	for i := range chs {
		c := &chs[i]
		c.Station, c.Channel, c.MHz = s, &s.Channels[i], s.Channels[i].Centre.MHz()
		c.Calling = modem.Scanned(len(s.Channels), s.Dwell)
		bands[i] = circuit.NewBand(c.MHz)
		c.Power = q.Home.Power
		c.Excluded = exclude(q, c, over)
		c.Hours = make([]HourDetail, hours)
	}
	var grounds []groundLink
	steady := make([][]*modem.Link, len(chs))
	var pair [2]*circuit.Path
	var on *circuit.Sky
	var from earth.Point
	var ho, hi circuit.Hour
	for h := range hours {
		t := first.Add(time.Duration(h) * time.Hour)
		at := q.at(t)
		if k := sky(t); k != on || at != from {
			out.From, in.To = at, at
			if err := out.Check(); err != nil {
				return nil, err
			}
			pair = [2]*circuit.Path{k.Path(out), k.Path(in)}
			if grounds == nil || at != from {
				grounds = groundLinks(q, at, s, chs, home, far)
				for i := range grounds {
					if grounds[i].steady != nil {
						steady[i] = grounds[i].steady
					}
				}
			}
			on, from = k, at
		}
		pair[0].At(float64(t.Hour()), &ho)
		pair[1].At(float64(t.Hour()), &hi)
		for i := range chs {
			d := &chs[i].Hours[h]
			d.At, d.BasicMUF, d.OperationalMUF, d.OWF = t, ho.BasicMUF, ho.OperationalMUF, ho.OWF
			d.Heading, d.Distance = pair[0].Arc.Azimuth, pair[0].Arc.D
			d.Support = ho.Support(chs[i].MHz)
			ho.Predict(&bands[i], &d.Out)
			hi.Predict(&bands[i], &d.In)
			less := 10 * math.Log10(chs[i].Power.W()/q.Home.Power.W())
			d.Out.Signal += less
			d.Out.SNR += less
			grounds[i].add(d)
		}
	}
	for i := range chs {
		c := &chs[i]
		c.Heading, c.Distance = c.Hours[0].Heading, c.Hours[0].Distance
		if c.Excluded == "" {
			c.site = [2]float64{theirs.SiteSpreadDB(), ours.SiteSpreadDB()}
			if len(q.Home.Noise.Measured) > 0 {
				c.site[1] = measuredSD
			}
			c.fill(q, p, steady[i])
		}
	}
	return chs, nil
}

// at is where the home is at a time.
func (q *Request) at(t time.Time) earth.Point {
	if q.Where != nil {
		return q.Where(t)
	}
	return q.Home.Position
}

// defaultNoiseFigure of a receiver nobody has measured. Common practice.
const defaultNoiseFigure = unit.DB(15)

// unsaidMHz is where a noise level counts that was read without saying at which frequency:
// the middle of the bands a field station uses. Assumed.
const unsaidMHz = 7.0

// A NoiseError is a measured level that the receiver cannot have shown.
type NoiseError struct {
	Entry int // of noise.measured, counted from 1
	Err   error
}

func (e *NoiseError) Error() string { return fmt.Sprintf("noise.measured[%d]: %v", e.Entry, e.Err) }
func (e *NoiseError) Unwrap() error { return e.Err }

// SiteNoise replaces man-made noise by what the operator read off the receiver; nil when
// nothing was. The error, a *NoiseError, is a level below the receiver's own noise.
func SiteNoise(n station.Noise, env noise.Environment, home *Aerial) (func(float64) noise.Source, error) {
	var levels []noise.Level
	for i, m := range n.Measured {
		f := m.At.MHz()
		if f == 0 {
			f = unsaidMHz
		}
		chain := noise.Chain{LineLoss: float64(home.FeederLoss), NoiseFigure: float64(home.NoiseFigure)}
		if p := home.Pattern(f); p != nil {
			chain.AntennaLoss = p.LossDB()
		}
		src, err := noise.FromDBm(float64(m.Level)+30, m.In.Hz(), chain, env)
		if err != nil {
			return nil, &NoiseError{i + 1, err}
		}
		levels = append(levels, noise.Level{MHz: f, Source: src})
	}
	if levels == nil {
		return nil, nil
	}
	return noise.Measured(env, levels...), nil
}

// exclude sets the power and links of a channel, or says what keeps us off it.
func exclude(q *Request, c *Channel, over func(modem.Waveform, *Channel) *modem.Link) string {
	var why string
	for _, name := range q.Home.Waveforms {
		if !slices.Contains(c.Channel.Waveforms, name) {
			continue
		}
		w, err := find(q.Modems, name)
		if err != nil {
			why = err.Error()
			continue
		}
		if w.Bandwidth > c.Channel.Bandwidth {
			why = fmt.Sprintf("%s is %g kHz wide, the channel %g kHz", name, w.Bandwidth.KHz(), c.Channel.Bandwidth.KHz())
			continue
		}
		power := min(q.Home.Power, station.PowerLimit(q.Home, c.Channel, w.Bandwidth))
		if power <= 0 {
			power = q.Home.Power
		}
		if ok, reason := station.Permitted(q.Home, c.Channel, w.Bandwidth, power); !ok {
			why = reason
			continue
		}
		c.Power = power
		c.Links = append(c.Links, over(w, c))
		c.bandwidth = append(c.bandwidth, w.Bandwidth)
	}
	switch {
	case len(c.Links) > 0:
		return ""
	case why != "":
		return why
	}
	return "no waveform that both stations have"
}

func find(own []modem.Waveform, name string) (modem.Waveform, error) {
	for _, w := range own {
		if w.Name == name {
			return w, nil
		}
	}
	return modem.ByName(name)
}
