package desk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"farhail/forecast"
	"farhail/hf/antenna"
	"farhail/station"
	"farhail/unit"
)

// A Change is something the operator could do, planned through: what it would bring.
type Change struct {
	What     string          `json:"what"`
	Gain     float64         `json:"value_gained"`
	Messages []ChangedChance `json:"messages"`
}

// ChangedChance is a message whose chance the change moves by a tenth or more.
type ChangedChance struct {
	ID      string  `json:"id"`
	Subject string  `json:"subject"`
	From    float64 `json:"from"`
	To      float64 `json:"to"`
}

// Changes plans the watch anew with each thing that might help what is unlikely to be in
// time: the antenna raised, somebody awake all night or for the one call that wants it, a
// picture cut, the other bearer at its price where the home file names one. Nothing is
// guessed: each is a whole plan.
func (d *Desk) Changes(ctx context.Context, at time.Time, span time.Duration) ([]Change, error) {
	w, err := d.begin(ctx, at, span)
	if err != nil {
		return nil, err
	}
	base, err := w.plan()
	if err != nil {
		return nil, err
	}
	out := []Change{}
	with := func(what string, home *station.Home) (*PlanAnswer, error) {
		again := *w
		again.home, again.pr = home, nil
		again.reset()
		a, err := again.plan()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", what, err)
		}
		return a, nil
	}
	try := func(what string, home *station.Home) (*PlanAnswer, error) {
		a, err := with(what, home)
		if err == nil {
			out = append(out, changed(what, base, a))
		}
		return a, err
	}
	if h, what, ok := raised(d.Home); ok {
		if _, err := try(what, h); err != nil {
			return nil, err
		}
	}
	if len(d.Home.Watch) > 0 && d.Home.Watch.Minutes() < 24*60 {
		h := *d.Home
		h.Watch = station.Always()
		h.Wake = nil
		awake, err := try("somebody awake at all hours", &h)
		if err != nil {
			return nil, err
		}
		// The first of its calls while all sleep: is that one quarter of an hour enough?
		for _, c := range awake.Calls {
			if d.Home.OnWatch(c.Start) {
				continue
			}
			from := c.Start.Truncate(forecast.Slot)
			minute := from.Hour()*60 + from.Minute()
			once := *d.Home
			once.Watch = once.Watch.Union(station.Spans{{From: minute, To: minute + int(forecast.Slot.Minutes())}})
			if _, err := try("somebody at the radio at "+from.Format("15:04"), &once); err != nil {
				return nil, err
			}
			break
		}
	}
	cuts, err := w.cuts(base)
	if err != nil {
		return nil, err
	}
	for _, m := range base.Messages {
		if c, ok := cuts[m.ID]; ok {
			out = append(out, changed(fmt.Sprintf("the picture of %s cut to %.0f kB", m.ID[:6], c.Budget.KB()), base, c.plan))
		}
	}
	if d.Home.Bearer.Has() {
		h := *d.Home
		h.Bearer = station.Bearer{}
		what := "without the " + d.Home.Bearer.Name
		a, err := with(what, &h)
		if err != nil {
			return nil, err
		}
		out = append(out, Change{What: what, Gain: round(a.ExpectedValue - base.ExpectedValue), Messages: []ChangedChance{}})
	}
	slices.SortStableFunc(out, func(a, b Change) int {
		if a.Gain > b.Gain {
			return -1
		}
		if a.Gain < b.Gain {
			return 1
		}
		return 0
	})
	return out, nil
}

// changed compares a plan with the one it changes.
func changed(what string, base, a *PlanAnswer) Change {
	c := Change{What: what, Gain: round(a.ExpectedValue - base.ExpectedValue), Messages: []ChangedChance{}}
	for i, m := range a.Messages {
		if b := base.Messages[i]; math.Abs(m.Probability-b.Probability) >= 0.1 {
			c.Messages = append(c.Messages, ChangedChance{m.ID, m.Subject, b.Probability, m.Probability})
		}
	}
	return c
}

// raised is the home with its antenna three metres higher, where that means something.
func raised(h *station.Home) (*station.Home, string, bool) {
	const by = 3 * unit.Metre
	up := *h
	switch h.Antenna.Kind {
	case antenna.Dipole, antenna.InvertedV:
		up.Antenna.Height += by
		return &up, fmt.Sprintf("the antenna at %.0f m instead of %.0f", up.Antenna.Height.M(), h.Antenna.Height.M()), true
	case antenna.Wire:
		up.Antenna.Top += by
		up.Antenna.Length += by
		return &up, fmt.Sprintf("the wire up to %.0f m instead of %.0f", up.Antenna.Top.M(), h.Antenna.Top.M()), true
	}
	return nil, "", false
}
