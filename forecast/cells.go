package forecast

import (
	"math"
	"time"

	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/hf/ground"
	"farhail/modem"
	"farhail/unit"
)

// rayLength is the length that sets a call's delay: along the ground, which the ray
// exceeds by a few per cent.
func rayLength(q *Request, c *Channel) unit.Length {
	return earth.Between(q.at(q.Start), c.Station.Position).D
}

// A moment is a channel's two directions between full hours.
type moment struct{ out, in way }

// A way is one direction: SNR of sky and ground wave in 3 kHz, and what spreads it, dB.
type way struct {
	sky    float64 // median
	ground float64 // −Inf: none
	day    [2]float64
	noise  [2]float64 // up and down, of the SNR
	site   float64
}

// shut stands for "nothing arrives" where SNRs are interpolated.
const shut = -60.0

// fill works out a channel's cells.
func (c *Channel) fill(q *Request, p *Prospect, steady []*modem.Link) {
	spans := c.Station.OpenHours(c.Channel)
	c.Cells = make([]Cell, p.Slots)
	for i := range c.Cells {
		from := p.Start.Add(time.Duration(i) * Slot)
		cell := &c.Cells[i]
		cell.Open = spans.At(from) && spans.At(from.Add(Slot-time.Minute))
		if !cell.Open {
			continue
		}
		m := c.moment(q, from.Add(Slot/2))
		best := -1.0
		for w := range c.Links {
			l := links{fading: c.Links[w]}
			if steady != nil {
				l.steady = steady[w]
			}
			var try Cell
			c.work(&try, l, m, c.bandwidth[w])
			value := 0.0
			for k, prior := range StatePrior {
				mean := 0.0
				for n := range Nodes {
					mean += try.Weight[k][n] * try.Rate[k][n]
				}
				value += prior * try.Connect[k] * mean
			}
			if value > best {
				best = value
				try.Open, try.Link = true, uint8(w)
				*cell = try
			}
		}
	}
}

// moment interpolates the hours at a time.
func (c *Channel) moment(q *Request, t time.Time) (m moment) {
	x := t.Sub(c.Hours[0].At).Hours()
	i := min(int(x), len(c.Hours)-2)
	w := x - float64(i)
	a, b := &c.Hours[i], &c.Hours[i+1]
	mix := func(x, y float64) float64 { return x*(1-w) + y*w }
	one := func(r, s *circuit.Prediction, gr, gs, site float64) (v way) {
		v.sky, v.ground = mix(max(r.SNR, shut), max(s.SNR, shut)), math.Inf(-1)
		if a.HasGround || b.HasGround {
			over := func(d *HourDetail, level float64, r *circuit.Prediction) float64 {
				if !d.HasGround {
					return shut
				}
				return max(level-r.Noise, shut)
			}
			v.sky = mix(max(r.Signal-r.Noise, shut), max(s.Signal-s.Noise, shut))
			v.ground = mix(over(a, gr, r), over(b, gs, s))
		}
		v.day = [2]float64{mix(a.Out.DayUpper, b.Out.DayUpper), mix(a.Out.DayLower, b.Out.DayLower)}
		v.noise = [2]float64{mix(r.NoiseLower, s.NoiseLower), mix(r.NoiseUpper, s.NoiseUpper)}
		v.site = 1.282 * site
		return v
	}
	m.out = one(&a.Out, &b.Out, a.GroundOut, b.GroundOut, c.site[0])
	m.in = one(&a.In, &b.In, a.GroundIn, b.GroundIn, c.site[1])
	return m
}

// dist is the SNR in one state of the day, z standard deviations from the median, and how
// much of a sky wave's fading is in it. The sky moves from day to day; the ground wave does
// not, and the noise moves both.
func (v *way) dist(z float64, shift unit.DB) (d modem.SNRDist, fades float64) {
	side := 0
	if z < 0 {
		side = 1
	}
	move := z / 1.282 * (dayShare * v.day[side])
	stays := math.Sqrt(1 - dayShare*dayShare)
	rest := func(day, noise float64) unit.DB {
		return unit.DB(math.Sqrt(day*day*stays*stays + noise*noise + v.site*v.site))
	}
	if math.IsInf(v.ground, -1) {
		return modem.SNRDist{Median: unit.DB(v.sky) + (shift + unit.DB(move)), Upper: rest(v.day[0], v.noise[0]), Lower: rest(v.day[1], v.noise[1])}, 1
	}
	sky := v.sky + move
	m := ground.Mixture(v.ground, sky)
	up := ground.Mixture(v.ground, sky+stays*v.day[0]).At50DBW - m.At50DBW
	down := m.At50DBW - ground.Mixture(v.ground, sky-stays*v.day[1]).At50DBW
	return modem.SNRDist{Median: unit.DB(m.At50DBW) + shift, Upper: rest(up/stays, v.noise[0]), Lower: rest(down/stays, v.noise[1])}, m.Share()
}

// Links are a waveform on one path: as it fades, and steady where there is a ground wave.
type links struct{ fading, steady *modem.Link }

// A share is a link and how much it counts.
type share struct {
	*modem.Link
	of float64
}

// shares weighs the two when so much of a sky wave's fading is in the sum: what is promised
// moves with the depth of the fades (ground.Mix.Share). Assumed: there are no curves for a
// path that fades in part.
func (l links) shares(fades float64) []share {
	if l.steady == nil || fades > 1-1e-6 {
		return []share{{l.fading, 1}}
	}
	return []share{{l.fading, fades}, {l.steady, 1 - fades}}
}

// work fills a cell for one waveform.
func (c *Channel) work(cell *Cell, l links, m moment, bw unit.Freq) {
	shift := unit.DB(10 * math.Log10(float64(reference/bw))) // less noise in a narrower band
	var mem [Nodes]modem.Node
	for k, z := range StateZ {
		out, fades := m.out.dist(z, shift)
		in, back := m.in.dist(z, shift)
		nodes := modem.Both(mem[:0], out, in, Nodes/2)
		mid := modem.Node{Out: out.Median, In: in.Median, Weight: 1}
		var inward [Nodes]float64
		for _, x := range l.shares(max(fades, back)) {
			for i, n := range nodes {
				cell.Weight[k][i] += x.of * (n.Weight * x.Connect(c.Calling, n))
				cell.Rate[k][i] += x.of * x.Goodput(n.Out, n.In)
				inward[i] += x.of * x.Goodput(n.In, n.Out)
			}
			if k == States/2 {
				yes, no := x.Spent(c.Calling, mid, c.Distance)
				cell.Setup += x.of * (yes.Sending + yes.Receiving).Minutes()
				cell.GiveUp += x.of * (no.Sending + no.Receiving).Minutes()
			}
		}
		total := 0.0
		for i, w := range cell.Weight[k][:len(nodes)] {
			total += w
			cell.RateIn[k] += w * inward[i]
		}
		cell.Connect[k] = total
		if total > 0 {
			for i := range nodes {
				cell.Weight[k][i] /= total
			}
			cell.RateIn[k] /= total
		}
	}
}
