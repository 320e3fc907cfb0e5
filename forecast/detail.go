package forecast

import "time"

// At is the detail of the full hour nearest to a moment.
func (c *Channel) At(t time.Time) *HourDetail {
	i := int(t.Sub(c.Hours[0].At).Hours() + 0.5)
	return &c.Hours[min(max(i, 0), len(c.Hours)-1)]
}

// MeanRate is the user's bytes a connected minute outward, over the states.
func (c *Cell) MeanRate(belief [States]float64) (rate float64) {
	total := 0.0
	for k, w := range belief {
		w *= c.Connect[k]
		total += w
		for n := range Nodes {
			rate += w * c.Weight[k][n] * c.Rate[k][n]
		}
	}
	if total == 0 {
		return 0
	}
	return rate / total
}
