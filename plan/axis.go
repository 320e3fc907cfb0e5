package plan

// An axis is the battery's levels against its course without calls, from −span to 0 Wh.
// They lie as squares do, k² steps under the top: close together near the course, where
// the watch will be, wide apart where only a spendthrift goes.
type axis struct {
	level   []float64 // ascending, Wh
	place   []float64 // of each level, in steps from the lowest
	wide    []float64 // 1 over the steps to the next level
	under   []int8    // by whole steps from the lowest: the level at or under it
	perStep float64   // steps a Wh
}

func newAxis(span float64, levels int) axis {
	if levels < 2 {
		return axis{level: []float64{0}}
	}
	n := levels - 1
	a := axis{perStep: float64(n*n) / span}
	for b := range levels {
		below := n - b
		a.level = append(a.level, -span*float64(below*below)/float64(n*n))
		a.place = append(a.place, float64(n*n-below*below))
		if b < n {
			a.wide = append(a.wide, 1/float64(2*below-1))
			for range 2*below - 1 {
				a.under = append(a.under, int8(b))
			}
		}
	}
	return a
}

// find is the level at or under one, and the share of the next above it; beyond the ends,
// the end.
func (a *axis) find(level float64) (b int, share float64) {
	n := len(a.level)
	x := 0.0
	if n > 1 {
		x = (level - a.level[0]) * a.perStep
	}
	switch {
	case x <= 0:
		return 0, 0
	case int(x) >= len(a.under):
		return n - 2, 1
	}
	b = int(a.under[int(x)])
	return b, (x - a.place[b]) * a.wide[b]
}

// read looks up a row at level b moved by so many Wh; beyond the ends, the end.
func (a *axis) read(row []float64, b int, wh float64) float64 {
	if len(row) == 1 {
		return row[0]
	}
	x := a.place[b] + wh*a.perStep
	if x <= 0 {
		return row[0]
	}
	n := int(x)
	if n >= len(a.under) {
		return row[len(row)-1]
	}
	k := int(a.under[n])
	v := row[k]
	if share := (x - a.place[k]) * a.wide[k]; share > 0 {
		v += share * (row[k+1] - v)
	}
	return v
}
