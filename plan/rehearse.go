package plan

import (
	"math"
	"math/rand/v2"

	"farhail/forecast"
)

// A Rehearsal is a policy played many times over the watch it was made for.
type Rehearsal struct {
	Delivered [][]float64 // [item][slot]: share of runs in which it was through by the end of the slot
	Calls     float64     // mean number of calls, fallbacks counted
	Minutes   float64     // mean on the air
	Energy    float64     // mean Wh for calls
	Worth     float64     // mean worth delivered, less energy, sleep and the other bearer
}

// giveUpOn is how many failures at one station end its trial for pause slots: each is
// three tries already.
const giveUpOn, pause = 2, 8

// A keeper is one station in a rehearsal. Whether it is there lasts, as the belief about it
// does (forecast.Memory); what keeps it busy, a session.
type keeper struct {
	known, there, busy bool
	at                 int // slot it was last called in
	failures, failed   int // in a row; slot of the last
}

// meets says whether a station that is free so much of the time answers in a slot.
func (k *keeper) meets(free float64, t int, rng *rand.Rand) bool {
	there, busy, same, spell := shares(free, t-k.at)
	if !k.known || rng.Float64() >= same {
		k.there = rng.Float64() < there
	}
	if !k.known || rng.Float64() >= spell {
		k.busy = rng.Float64() < busy
	}
	k.known, k.at = true, t
	return k.there && !k.busy
}

// shares parts being free into being there and not being busy, and says how much of each
// lasts so many slots.
func shares(free float64, slots int) (there, busy, same, spell float64) {
	busy = min(forecast.UsualBusy, 1-free)
	since := float64(slots) * float64(forecast.Slot)
	return free / (1 - busy), busy, math.Exp(-since / float64(forecast.Memory)), math.Exp(-since / float64(forecast.BusySpell))
}

// let says whether a station is let be.
func (k *keeper) let(t int) bool { return k.failures >= giveUpOn && t-k.failed < pause }

// Rehearse plays the policy n times. What the backward induction takes afresh in every
// slot lasts here, as in life: the day's sky through the run, a station's presence for
// hours. The operator follows the policy with the belief the outcomes leave, and lets a
// station be for two hours after two failures.
func (s *Policy) Rehearse(n int, rng *rand.Rand) Rehearsal {
	p := s.p
	out := Rehearsal{Delivered: make([][]float64, len(p.Items))}
	for m := range out.Delivered {
		out.Delivered[m] = make([]float64, p.Slots)
	}
	stations := 0
	for _, c := range p.Channels {
		stations = max(stations, c.Station+1)
	}
	keepers := make([]keeper, stations)
	for range n {
		clear(keepers)
		k := draw(p.Prior[:], rng)
		i, level, π := 0, p.Battery.Now, p.Prior
		θ, θw := between(s.mean, meanZ(π))
		for t := range p.Slots {
			if i = s.beyond(t, i); i == s.places-1 {
				break // nothing left to do
			}
			a := s.best(t, i, level, θ, θw)
			for a.ByBearer() || a.Call == leave {
				q := &s.queues[a.Fallback]
				if m := q.first + q.along(i); a.ByBearer() {
					out.Delivered[m][t]++
					out.Worth += p.Items[m].Worth[t] - p.Items[m].Bearer
				}
				i = s.beyond(t, i+q.stride)
				a = s.best(t, i, level, θ, θw)
			}
			if a.Call >= 0 && keepers[p.Channels[a.Call].Station].let(t) {
				a.Call, a.Fallback = a.Fallback, -1
			}
			if a.Call >= 0 && keepers[p.Channels[a.Call].Station].let(t) {
				a.Call = -1
			}
			if a.Call >= 0 {
				out.Worth -= p.Wake[t]
			}
			left := p.Minutes[len(p.Minutes)-1]
			limit := p.Minutes[max(a.Length, 0)]
			for _, c := range [2]int32{a.Call, a.Fallback} {
				if c < 0 || a.Call < 0 {
					break
				}
				ch := &p.Channels[c]
				cell := &ch.Cells[t]
				out.Calls++
				if keepers[ch.Station].meets(ch.free(t), t, rng) && rng.Float64() < cell.Connect[k] {
					rate := cell.Rate[k][draw(cell.Weight[k][:], rng)]
					q := &s.queues[ch.Queue]
					from := q.along(i)
					j, used := q.delivered(from, rate, min(limit, left)-cell.Setup)
					for m := q.first + from; m < q.first+j; m++ {
						out.Delivered[m][t]++
						out.Worth += p.Items[m].Worth[t]
					}
					i += (j - from) * q.stride
					out.Worth -= p.Battery.price(level) * p.Draw * (cell.Setup + used) / 60
					level -= p.Draw * (cell.Setup + used) / 60
					out.Minutes += cell.Setup + used
					out.Energy += p.Draw * (cell.Setup + used) / 60
					π, _ = update(π, cell.Connect)
					θ, θw = between(s.mean, meanZ(π))
					keepers[ch.Station].failures = 0
					break
				}
				keepers[ch.Station].failures++
				keepers[ch.Station].failed = t
				out.Worth -= p.Battery.price(level) * p.Draw * cell.GiveUp / 60
				level -= p.Draw * cell.GiveUp / 60
				out.Minutes += cell.GiveUp
				out.Energy += p.Draw * cell.GiveUp / 60
				left -= cell.GiveUp
				limit = left
				var miss [forecast.States]float64
				for x, q := range cell.Connect {
					miss[x] = 1 - ch.free(t)*q
				}
				π, _ = update(π, miss)
				θ, θw = between(s.mean, meanZ(π))
			}
			level = s.clamp(level + p.Battery.Drift[t])
		}
	}
	for m := range out.Delivered {
		sum := 0.0
		for t := range out.Delivered[m] {
			sum += out.Delivered[m][t]
			out.Delivered[m][t] = sum / float64(n)
		}
	}
	runs := float64(n)
	out.Calls, out.Minutes, out.Energy, out.Worth = out.Calls/runs, out.Minutes/runs, out.Energy/runs, out.Worth/runs
	return out
}

// draw picks an index by weight.
func draw(w []float64, rng *rand.Rand) int {
	x := rng.Float64()
	for i, v := range w {
		if x -= v; x < 0 {
			return i
		}
	}
	return len(w) - 1
}
