package desk

import (
	"math/rand/v2"
	"slices"
	"time"

	"farhail/forecast"
	"farhail/plan"
)

// ScreenBattery is what the battery holds, as shares of full: as expected, and between
// which bounds 8 times in 10.
type ScreenBattery struct {
	At        []time.Time
	Mid       []float64
	Low, High []float64
	Reserve   float64
}

// fanRuns are enough for a decile to be good to ±2 % of the runs.
const fanRuns = 400

// fan plays the planned calls many times: each connects or not, takes its minutes
// accordingly, and its fallback is tried when it fails. Sun and load are as forecast.
func (w *watch) fan() *ScreenBattery {
	if !w.home.Battery.Limited() {
		return nil
	}
	n, full := len(w.levels), w.battery.Capacity
	b := &ScreenBattery{Reserve: w.home.Battery.Reserve}
	runs := make([][]float64, fanRuns)
	rng := rand.New(rand.NewPCG(2, uint64(w.pr.Start.Unix())))
	draw := w.draw()
	for r := range runs {
		more := make([]float64, n) // Wh beyond what was expected, by slot
		for i := range w.solved {
			sv := &w.solved[i]
			for _, st := range sv.steps {
				if !st.Action.ByBearer() {
					more[st.Slot+1] += draw*w.played(sv, st, rng)/60 - st.Energy
				}
			}
		}
		sum := 0.0
		for t := range more {
			sum += more[t]
			more[t] = w.levels[t] - sum
		}
		runs[r] = more
	}
	column := make([]float64, fanRuns)
	for t := range n {
		for r := range runs {
			column[r] = min(max(runs[r][t], 0), full)
		}
		slices.Sort(column)
		b.At = append(b.At, w.pr.Start.Add(time.Duration(t)*forecast.Slot))
		b.Mid = append(b.Mid, round(w.levels[t]/full))
		b.Low, b.High = append(b.Low, round(column[fanRuns/10]/full)), append(b.High, round(column[fanRuns*9/10]/full))
	}
	return b
}

// played is how many minutes a call is on the air in one run.
func (w *watch) played(sv *solved, st plan.Step, rng *rand.Rand) float64 {
	bytes := 0.0
	for m := st.From; m < st.To; m++ {
		bytes += float64(sv.kept[m].BytesOnAir)
	}
	left := callMinutes[len(callMinutes)-1]
	used, limit, chance := 0.0, st.Limit, st.Connect
	for _, c := range [2]int32{st.Action.Call, st.Action.Fallback} {
		if c < 0 {
			break
		}
		cell := &w.pr.Channels[sv.q.channels[c]].Cells[st.Slot]
		if rng.Float64() < chance {
			rate := cell.Rate[1][pick(cell.Weight[1][:], rng)]
			took := cell.Setup
			if rate > 0 {
				took += bytes / rate
			}
			return used + min(took, limit)
		}
		used += cell.GiveUp
		left -= cell.GiveUp
		limit, chance = max(left, 0), st.FallbackConnect
	}
	return used
}

func pick(weights []float64, rng *rand.Rand) int {
	x := rng.Float64()
	for i, w := range weights {
		if x -= w; x < 0 {
			return i
		}
	}
	return len(weights) - 1
}
