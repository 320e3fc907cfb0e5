package forecast

import (
	"math"

	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/hf/ground"
	"farhail/modem"
	"farhail/station"
	"farhail/unit"
)

// A groundLink is the ground wave of one channel, the same at all hours.
type groundLink struct {
	out, in float64 // dBW received; −Inf: none worth a look
	steady  []*modem.Link
}

// groundReach is how far a ground wave is looked for, and skyless the level under
// which it is not.
const groundReach = 1500 * unit.Km

// groundLinks works out the ground wave to one station on each of its channels: mixed
// path by the coast lines and the ground class map, after the physics of ITU-R P.368.
func groundLinks(q *Request, from earth.Point, s *station.Station, chs []Channel, home, far *Aerial) []groundLink {
	out := make([]groundLink, len(chs))
	arc := earth.Between(from, s.Position)
	var curves ground.Curves
	var sections []ground.Section
	if arc.D <= groundReach {
		for _, st := range arc.Stretches(2 * unit.Km) {
			sections = append(sections, ground.Section{Ground: st.Ground, Length: st.Length})
		}
	}
	links := map[string]*modem.Link{}
	for i := range out {
		g := &out[i]
		g.out, g.in = math.Inf(-1), math.Inf(-1)
		if sections == nil || chs[i].Excluded != "" {
			continue
		}
		f := chs[i].Channel.Centre
		E := curves.Mixed(f, sections)
		ourTx, ourRx := home.GroundWave(f.MHz(), arc.Azimuth.Deg())
		theirTx, theirRx := far.GroundWave(f.MHz(), arc.Back.Deg())
		g.out = ground.ReceivedDBW(E, f.MHz(), ourTx, theirRx, chs[i].Power)
		g.in = ground.ReceivedDBW(E, f.MHz(), theirTx, ourRx, s.Power)
		for _, l := range chs[i].Links {
			if links[l.Waveform] == nil {
				if v, err := find(q.Modems, l.Waveform); err == nil {
					links[l.Waveform] = v.Over(arc.D, modem.AWGN)
				}
			}
			g.steady = append(g.steady, links[l.Waveform])
		}
	}
	return out
}

// GroundWave returns the antenna's gain along the ground, dBi: to transmit with its
// losses, and to receive by its directivity, whose losses stand in the noise.
func (a *Aerial) GroundWave(fMHz, azDeg float64) (transmit, receive float64) {
	if a.isotropic() {
		return -float64(a.FeederLoss), 0
	}
	p := a.Pattern(fMHz)
	if p == nil {
		return math.Inf(-1), math.Inf(-1)
	}
	g := p.GroundWaveDBi(azDeg)
	return g - float64(a.FeederLoss), g + p.LossDB()
}

// add puts the ground wave to an hour's two directions.
func (g *groundLink) add(d *HourDetail) {
	if math.IsInf(g.out, -1) {
		return
	}
	d.GroundOut, d.GroundIn = g.out, g.in
	d.HasGround = true
	level := func(r *circuit.Prediction) float64 {
		if !r.Arrives() {
			return math.Inf(-1)
		}
		return r.Signal
	}
	d.MixOut, d.MixIn = ground.Mixture(g.out, level(&d.Out)), ground.Mixture(g.in, level(&d.In))
	d.DelayMs = ground.DelayMs(d.Out.SlantKm(d.Distance.Km()), d.Distance.Km())
	d.Out.SNR = d.MixOut.At50DBW - d.Out.Noise
	d.In.SNR = d.MixIn.At50DBW - d.In.Noise
}
