package plan

import (
	"math"
	"math/rand/v2"

	"farhail/forecast"
)

// aWatch is a problem of the size and shape of a real one. Its sky is invented, as plain
// as will do: a maximum usable frequency that swings with the hour, noise that falls with
// frequency, absorption by day, 5 dB a standard deviation of the day; a slow modem of 2 to
// 430 bits a second. battery is its capacity, Wh; 0: without end.
func aWatch(rng *rand.Rand, slots, stations, channels, messages int, battery float64) *Problem {
	p := &Problem{Slots: slots, Draw: 130, Prior: forecast.StatePrior, Minutes: []float64{5, 10, 15}}
	p.Battery = Battery{Capacity: battery, Reserve: 0.3 * battery, Now: 0.6 * battery, Price: 0.01, Doubling: 0.1}
	for t := range slots {
		hour := math.Mod(17.5+float64(t)/4, 24)
		p.Battery.Drift = append(p.Battery.Drift, battery/4800*(-15+50*math.Max(0, math.Sin(2*math.Pi*(hour-6)/24))))
		wake := 0.0
		if hour < 6 {
			wake = 2
		}
		p.Wake = append(p.Wake, wake)
	}
	for s := range stations {
		km := 300 + 4000*rng.Float64()*rng.Float64()
		muf, noon := 7+math.Sqrt(km)/4, 11+3*rng.Float64()
		for range channels {
			fMHz := 3 + 15*rng.Float64()
			c := Channel{Station: s, Free: 0.72, Cells: make([]forecast.Cell, slots)}
			for t := range slots {
				hour := math.Mod(17.5+float64(t)/4, 24)
				sun := math.Cos(2 * math.Pi * (hour - noon) / 24)
				c.Cells[t] = watchCell(km, fMHz, muf*(1+0.4*sun), math.Max(0, sun))
			}
			p.Channels = append(p.Channels, c)
		}
	}
	for n := range messages {
		// In order of precedence: a tenth flash, a fifth each immediate and priority.
		weight := 1.0
		switch share := float64(n) / float64(messages); {
		case share < 0.1:
			weight = 64
		case share < 0.3:
			weight = 16
		case share < 0.5:
			weight = 4
		}
		m := Item{Bytes: 300 * math.Pow(40, rng.Float64()), Worth: make([]float64, slots)}
		due := math.Inf(1)
		if weight > 1 {
			due = 8 + 60*rng.Float64()
		}
		for t := range m.Worth {
			switch {
			case math.IsInf(due, 1):
				m.Worth[t] = weight * math.Exp2(-float64(t)/192)
			case float64(t) <= due:
				m.Worth[t] = weight * (1 - 0.5*float64(t)/due)
			}
		}
		p.Items = append(p.Items, m)
	}
	return p
}

func watchCell(km, fMHz, mufMHz, sun float64) forecast.Cell {
	c := forecast.Cell{Open: true, Setup: 0.4, GiveUp: 1}
	for k, z := range forecast.StateZ {
		over := math.Max(0, fMHz/(mufMHz*(1+0.06*z))-0.95)
		snr := 5 - 20*math.Log10(km/1000) + 25*math.Log10(fMHz/8) - 400*sun/(fMHz*fMHz) - 90*over + 5*z
		for n, off := range [forecast.Nodes]float64{-11, -3.5, 3.5, 11} {
			x := snr + off
			w := 1 / (1 + math.Exp(-x/1.5)) / forecast.Nodes
			c.Weight[k][n] = w
			c.Connect[k] += w
			c.Rate[k][n] = 200 * math.Exp2(math.Min(math.Max(x/4, -4), 4))
		}
		for n := range c.Weight[k] {
			if c.Connect[k] > 0 {
				c.Weight[k][n] /= c.Connect[k]
			}
		}
	}
	return c
}
