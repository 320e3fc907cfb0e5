package desk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"farhail/forecast"
	"farhail/hf/circuit"
	"farhail/hf/ground"
	"farhail/plan"
)

// A WhyAnswer opens every number behind a call of the plan.
type WhyAnswer struct {
	Call           CallAnswer      `json:"call"`
	BasicMUF       float64         `json:"basic_muf_mhz"`
	OperationalMUF float64         `json:"operational_muf_mhz"`
	OWF            float64         `json:"owf_mhz"`
	Support        float64         `json:"support_probability"` // share of days on which the basic MUF reaches the channel
	Out            DirectionAnswer `json:"out"`
	In             DirectionAnswer `json:"in"`
	Fading         string          `json:"fading,omitempty"` // ground wave against sky wave, in words
	Presence       float64         `json:"presence"`
	States         []StateAnswer   `json:"states"`
	SetupMinutes   float64         `json:"setup_minutes"`
	GiveUpMinutes  float64         `json:"give_up_minutes"`
	Value          float64         `json:"value"`
	RestValue      float64         `json:"rest_value"`
	Alternatives   []Alternative   `json:"alternatives"`
	Index          IndexAnswer     `json:"index"`
}

// DirectionAnswer is one direction of the circuit at the nearest full hour, in 3 kHz.
type DirectionAnswer struct {
	Mode       string  `json:"mode"`
	Elevation  float64 `json:"elevation_deg"`
	Field      float64 `json:"field_dbuvm"`
	Signal     float64 `json:"signal_dbw"`
	Noise      float64 `json:"noise_dbw"`
	SNR        float64 `json:"snr_db"`
	DayUpper   float64 `json:"day_upper_db"`
	DayLower   float64 `json:"day_lower_db"`
	NoiseUpper float64 `json:"noise_upper_db"`
	NoiseLower float64 `json:"noise_lower_db"`
	Meeting
}

// StateAnswer is what the channel promises in one state of the day's sky.
type StateAnswer struct {
	State   string  `json:"state"`
	Belief  float64 `json:"belief"`
	Connect float64 `json:"connect_probability"`
	Rate    float64 `json:"bytes_per_minute"`
}

// Alternative is another thing to do in the same quarter-hour, and what it is worth.
type Alternative struct {
	Station string  `json:"station"`
	MHz     float64 `json:"mhz"`
	Value   float64 `json:"value"`
	Connect float64 `json:"connect_probability"`
	Rate    float64 `json:"bytes_per_minute"`
}

// Why opens call number n of the plan, counted from 1.
func (d *Desk) Why(ctx context.Context, at time.Time, span time.Duration, n int) (*WhyAnswer, error) {
	w, err := d.begin(ctx, at, span)
	if err != nil {
		return nil, err
	}
	a, err := w.plan()
	if err != nil {
		return nil, err
	}
	if n < 1 || n > len(a.Calls) {
		return nil, &MissingError{fmt.Sprintf("the plan has no call %d", n), fmt.Sprintf("it has %d; farhail plan shows them", len(a.Calls))}
	}
	call := a.Calls[n-1]
	sv, st, ok := w.stepOf(call)
	if !ok {
		return nil, fmt.Errorf("call %d is not a step of the plan", n)
	}
	c := &w.pr.Channels[sv.q.channels[st.Action.Call]]
	cell := &c.Cells[st.Slot]
	hour := c.At(w.pr.Start.Add(time.Duration(st.Slot)*forecast.Slot + forecast.Slot/2))
	out := &WhyAnswer{Call: call, BasicMUF: round(hour.BasicMUF), OperationalMUF: round(hour.OperationalMUF), OWF: round(hour.OWF),
		Presence: round(w.past.free(c.Station.Name)), SetupMinutes: round(cell.Setup), GiveUpMinutes: round(cell.GiveUp), Index: w.index,
		Support: round(hour.Support)}
	out.Out, out.In, out.Fading = directions(hour)
	for k, name := range forecast.StateName {
		rate := 0.0
		for i := range forecast.Nodes {
			rate += cell.Weight[k][i] * cell.Rate[k][i]
		}
		out.States = append(out.States, StateAnswer{name, round(st.Belief[k]), round(cell.Connect[k]), math.Round(rate)})
	}
	rest, calls := sv.policy.Weigh(st.Slot, st.Place, st.Level, st.Belief)
	out.RestValue = round(rest)
	for i, v := range calls {
		x := &w.pr.Channels[sv.q.channels[i]]
		if i == int(st.Action.Call) {
			out.Value = round(v)
			continue
		}
		xc := &x.Cells[st.Slot]
		out.Alternatives = append(out.Alternatives, Alternative{x.Station.Name, x.MHz, round(v), round(w.past.free(x.Station.Name) * xc.Likely(st.Belief)), math.Round(xc.MeanRate(st.Belief))})
	}
	slices.SortFunc(out.Alternatives, func(a, b Alternative) int {
		switch {
		case a.Value != b.Value:
			if a.Value > b.Value {
				return -1
			}
			return 1
		case a.MHz < b.MHz:
			return -1
		}
		return 1
	})
	return out, nil
}

func (w *watch) stepOf(call CallAnswer) (*solved, plan.Step, bool) {
	for i := range w.solved {
		sv := &w.solved[i]
		for _, st := range sv.steps {
			if st.Action.ByBearer() {
				continue
			}
			c := &w.pr.Channels[sv.q.channels[st.Action.Call]]
			start := w.pr.Start.Add(time.Duration(st.Slot) * forecast.Slot)
			if start.Before(w.at) {
				start = w.at
			}
			if start.Equal(call.Start) && c.Station.Name == call.Station && c.MHz == call.MHz {
				return sv, st, true
			}
		}
	}
	return nil, plan.Step{}, false
}

// directions opens both directions of an hour, and says how ground and sky wave fade
// together where they do: outward, else inward.
func directions(h *forecast.HourDetail) (out, in DirectionAnswer, fading string) {
	one := func(r *circuit.Prediction, m ground.Mix, along float64) DirectionAnswer {
		a := DirectionAnswer{Mode: r.Mode.String(), Field: round(r.Field), Signal: round(r.Signal), Noise: round(r.Noise), SNR: round(r.SNR),
			DayUpper: round(r.DayUpper), DayLower: round(r.DayLower), NoiseUpper: round(r.NoiseUpper), NoiseLower: round(r.NoiseLower)}
		if !math.IsNaN(r.ElevationDeg) {
			a.Elevation = round(r.ElevationDeg)
		}
		if h.HasGround {
			a.Meeting = meeting(m, along, h.DelayMs)
		}
		return a
	}
	out, in = one(&h.Out, h.MixOut, h.GroundOut), one(&h.In, h.MixIn, h.GroundIn)
	if fading = out.FadingSentence(); fading == "" {
		fading = in.FadingSentence()
	}
	return out, in, fading
}
