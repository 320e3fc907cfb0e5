package forecast

import (
	"math"
	"time"

	"farhail/hf/earth"
	"farhail/modem"
	"farhail/station"
	"farhail/unit"
)

// rayLength is the length that sets a call's delay: along the ground, which the ray
// exceeds by a few per cent.
func rayLength(q *Request, c *Channel) unit.Length {
	return earth.Between(q.at(q.Start), c.Station.Position).D
}

// A moment is a channel's two directions between full hours: SNR in 3 kHz and what it
// is spread by.
type moment struct {
	out, in   modem.SNRDist
	outD, inD [2]float64 // the day's own part: up, down
	steady    bool       // ground wave well above the sky's
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
			l := c.Links[w]
			if m.steady && steady != nil {
				l = steady[w]
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
	m.out.Median = unit.DB(mix(max(a.Out.SNR, shut), max(b.Out.SNR, shut)))
	m.in.Median = unit.DB(mix(max(a.In.SNR, shut), max(b.In.SNR, shut)))
	if m.steady = min(a.groundOver, b.groundOver) > 10; m.steady {
		// The ground wave does not change from day to day: the noise does.
		m.out.Upper, m.out.Lower = unit.DB(mix(a.Out.NoiseLower, b.Out.NoiseLower)), unit.DB(mix(a.Out.NoiseUpper, b.Out.NoiseUpper))
		m.in.Upper, m.in.Lower = unit.DB(mix(a.In.NoiseLower, b.In.NoiseLower)), unit.DB(mix(a.In.NoiseUpper, b.In.NoiseUpper))
		return m
	}
	up, lo := mix(a.Out.DayUpper, b.Out.DayUpper), mix(a.Out.DayLower, b.Out.DayLower)
	m.outD = [2]float64{dayShare * up, dayShare * lo}
	m.inD = m.outD
	stays := math.Sqrt(1 - dayShare*dayShare)
	rest := func(day, noise float64, env station.Environment) unit.DB {
		site := 1.282 * siteSD[env]
		return unit.DB(math.Sqrt(day*day*stays*stays + noise*noise + site*site))
	}
	ours, theirs := q.Home.Noise.Environment, c.Station.Noise
	m.out.Upper = rest(up, mix(a.Out.NoiseLower, b.Out.NoiseLower), theirs)
	m.out.Lower = rest(lo, mix(a.Out.NoiseUpper, b.Out.NoiseUpper), theirs)
	m.in.Upper = rest(up, mix(a.In.NoiseLower, b.In.NoiseLower), ours)
	m.in.Lower = rest(lo, mix(a.In.NoiseUpper, b.In.NoiseUpper), ours)
	return m
}

// work fills a cell for one waveform.
func (c *Channel) work(cell *Cell, l *modem.Link, m moment, bw unit.Freq) {
	shift := unit.DB(10 * math.Log10(float64(reference/bw))) // less noise in a narrower band
	var mem [Nodes]modem.Node
	for k, z := range StateZ {
		out, in := m.out, m.in
		side := 0
		if z < 0 {
			side = 1
		}
		out.Median += shift + unit.DB(z/1.282*m.outD[side])
		in.Median += shift + unit.DB(z/1.282*m.inD[side])
		nodes := modem.Both(mem[:0], out, in, Nodes/2)
		total := 0.0
		for i, n := range nodes {
			w := n.Weight * l.Connect(c.Calling, n)
			total += w
			cell.Rate[k][i] = l.Goodput(n.Out, n.In)
			cell.Weight[k][i] = w
			cell.RateIn[k] += w * l.Goodput(n.In, n.Out)
		}
		cell.Connect[k] = total
		if total > 0 {
			for i := range nodes {
				cell.Weight[k][i] /= total
			}
			cell.RateIn[k] /= total
		}
		if k == States/2 {
			mid := modem.Node{Out: out.Median, In: in.Median, Weight: 1}
			yes, no := l.Spent(c.Calling, mid, c.Distance)
			cell.Setup = (yes.Sending + yes.Receiving).Minutes()
			cell.GiveUp = (no.Sending + no.Receiving).Minutes()
		}
	}
}
