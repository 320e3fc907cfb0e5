package desk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"farhail/forecast"
	"farhail/store"
	"farhail/traffic"
	"farhail/unit"
)

// PictureAnswer is a message's pictures cut to budgets; the original stays as it is.
type PictureAnswer struct {
	Message  Letter          `json:"message"`
	Picture  string          `json:"picture"`
	Bytes    unit.Bytes      `json:"bytes"`
	Minutes  float64         `json:"minutes"` // on the watch's best channel, as it is
	Versions []VersionAnswer `json:"versions"`
	Chosen   *Added          `json:"chosen,omitempty"`
}

// VersionAnswer is one version: what it takes and what it would bring.
type VersionAnswer struct {
	Budget      unit.Bytes `json:"budget"`
	Width       int        `json:"width"`
	Height      int        `json:"height"`
	Quality     int        `json:"quality"`
	FidelityDB  float64    `json:"fidelity_db"`
	BytesOnAir  unit.Bytes `json:"bytes_on_air"` // the whole message with it
	Minutes     float64    `json:"minutes"`
	Probability float64    `json:"probability_in_time"`
	Gain        float64    `json:"value_gained"`

	data []byte
}

// Data is the picture itself, JPEG.
func (v *VersionAnswer) Data() []byte { return v.data }

// usualBudgets are what a short, a fair and a good window carry.
var usualBudgets = []unit.Bytes{10_000, 25_000, 60_000}

// Pictures makes versions of the first picture of a message at budgets (none: the usual
// three), and says for each its minutes on the watch's best channel, its chance to be in
// time and what the plan gains. The original is not touched.
func (d *Desk) Pictures(ctx context.Context, ref string, budgets []unit.Bytes) (*PictureAnswer, error) {
	row, m, i, err := d.picture(ctx, ref)
	if err != nil {
		return nil, err
	}
	if len(budgets) == 0 {
		budgets = usualBudgets
	}
	budgets = slices.Sorted(slices.Values(budgets))
	at := m.Attachments[i]
	versions, err := d.cuts.versions(row.ID, at.Bytes(), budgets)
	if err != nil {
		return nil, err
	}
	l, _, err := letter(row)
	if err != nil {
		return nil, err
	}
	w, err := d.begin(ctx, d.Now(), 24*time.Hour)
	if err != nil {
		return nil, err
	}
	base, err := w.plan()
	if err != nil {
		return nil, err
	}
	rate := w.bestRate()
	a := &PictureAnswer{Message: l, Picture: at.Name, Bytes: at.Size, Minutes: minutes(row.OnAir, rate)}
	for _, v := range versions {
		raw, err := traffic.WithPictures(m, map[int]traffic.Version{i: v})
		if err != nil {
			return nil, err
		}
		small, err := traffic.Parse(raw, traffic.Options{Queued: row.QueuedAt})
		if err != nil {
			return nil, fmt.Errorf("read the version of %s: %w", v.Budget.String(), err)
		}
		x := VersionAnswer{Budget: v.Budget, Width: v.Width, Height: v.Height, Quality: v.Quality, FidelityDB: round(float64(v.Fidelity)),
			BytesOnAir: small.OnAir.Best, Minutes: minutes(small.OnAir.Best, rate), data: v.Data}
		p, err := w.resized(row.ID, small.OnAir.Best)
		if err != nil {
			return nil, err
		}
		x.Probability, x.Gain = p.chance(row.ID), round(p.ExpectedValue-base.ExpectedValue)
		a.Versions = append(a.Versions, x)
	}
	return a, nil
}

// ChoosePicture queues a new message with the picture cut to a budget, and holds the
// original, which stays as it came.
func (d *Desk) ChoosePicture(ctx context.Context, ref string, budget unit.Bytes) (*PictureAnswer, error) {
	a, err := d.Pictures(ctx, ref, []unit.Bytes{budget})
	if err != nil {
		return nil, err
	}
	row, m, i, err := d.picture(ctx, ref)
	if err != nil {
		return nil, err
	}
	v := a.Versions[0]
	raw, err := traffic.WithPictures(m, map[int]traffic.Version{i: {Data: v.data}})
	if err != nil {
		return nil, err
	}
	p, err := traffic.ParsePrecedence(row.Precedence)
	if err != nil {
		return nil, err
	}
	small, err := traffic.Parse(raw, traffic.Options{Precedence: p, Deadline: row.Deadline, Queued: row.QueuedAt})
	if err != nil {
		return nil, err
	}
	known, err := d.knownKeys(ctx)
	if err != nil {
		return nil, err
	}
	added, err := d.queue(ctx, small, "picture of "+row.ID, known)
	if err != nil {
		return nil, err
	}
	if row.Rank != 0 && added.New { // it goes where the original stood
		if err := d.DB.SetRanks(ctx, map[string]int{added.ID: row.Rank}, d.Now()); err != nil {
			return nil, err
		}
	}
	if row.State == store.Queued {
		if err := d.DB.SetState(ctx, row.ID, store.Held, d.Now()); err != nil {
			return nil, err
		}
	}
	a.Chosen = &added
	return a, nil
}

// A cutter remembers the pictures it made last: one is shown at three budgets, looked at
// and then chosen, and each takes tenths of a second.
type cutter struct {
	mu   sync.Mutex
	made []madeCut // the latest last
}

// madeCut is a version of the first picture of a message, whose original never changes.
type madeCut struct {
	id string
	traffic.Version
}

// mostMade bounds what is remembered: the usual budgets of four messages.
const mostMade = 12

func (c *cutter) versions(id string, picture []byte, budgets []unit.Bytes) ([]traffic.Version, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	is := func(budget unit.Bytes) func(madeCut) bool {
		return func(m madeCut) bool { return m.id == id && m.Budget == budget }
	}
	var missing []unit.Bytes
	for _, b := range budgets {
		if !slices.ContainsFunc(c.made, is(b)) {
			missing = append(missing, b)
		}
	}
	made := c.made
	if len(missing) > 0 {
		more, err := traffic.Versions(picture, missing)
		if err != nil {
			return nil, err
		}
		for _, v := range more {
			made = append(made, madeCut{id, v})
		}
	}
	var out []traffic.Version
	for _, b := range budgets {
		out = append(out, made[slices.IndexFunc(made, is(b))].Version)
	}
	c.made = slices.Clone(made[max(len(made)-mostMade, 0):])
	return out, nil
}

func (d *Desk) picture(ctx context.Context, ref string) (*store.Message, *traffic.Message, int, error) {
	row, err := d.find(ctx, ref)
	if err != nil {
		return nil, nil, 0, err
	}
	raw, err := d.DB.Original(ctx, row.ID)
	if err != nil {
		return nil, nil, 0, err
	}
	m, err := traffic.Parse(raw, traffic.Options{Unmeasured: true, Queued: row.QueuedAt})
	if err != nil {
		return nil, nil, 0, fmt.Errorf("message %s: %w", row.ID, err)
	}
	i := slices.IndexFunc(m.Attachments, func(a traffic.Attachment) bool { return a.Picture })
	if i < 0 {
		return nil, nil, 0, &MissingError{fmt.Sprintf("message %s has no picture that can be cut", row.ID), "farhail traffic list shows the attachments"}
	}
	return row, m, i, nil
}

// bestRate is the most bytes a minute any channel of the watch carries as forecast.
func (w *watch) bestRate() (best float64) {
	for i := range w.pr.Channels {
		for t := range w.pr.Channels[i].Cells {
			if c := &w.pr.Channels[i].Cells[t]; c.Open && !math.IsInf(w.wakeFirst[t], 1) && c.Likely(forecast.StatePrior) >= usable {
				best = max(best, c.MeanRate(forecast.StatePrior))
			}
		}
	}
	return best
}

func minutes(b unit.Bytes, rate float64) float64 {
	if rate <= 0 {
		return 0
	}
	return round(float64(b) / rate)
}

// A Cut is a picture made smaller: what its message takes then, and what that would bring.
type Cut struct {
	Budget      unit.Bytes `json:"budget"`
	BytesOnAir  unit.Bytes `json:"bytes_on_air"` // at most
	Minutes     float64    `json:"minutes"`
	Probability float64    `json:"probability_in_time"`
	Gain        float64    `json:"value_gained"`

	plan *PlanAnswer // with it
}

// Cuts finds, for every message of a plan of now that holds a picture and is unlikely to be
// in time, the cut that goes; none where no cut gains anything.
func (d *Desk) Cuts(ctx context.Context, a *PlanAnswer) (map[string]Cut, error) {
	w, err := d.begin(ctx, a.At, time.Duration(a.HorizonH*float64(time.Hour)))
	if err != nil {
		return nil, err
	}
	return w.cuts(a)
}

// cuts tries, for each such message, the usual budgets from the largest down, each by a
// whole plan: the largest is taken that gains nine tenths of what any does. The picture is
// not made for that: a version fills its budget, and the rest of the message is known.
func (w *watch) cuts(base *PlanAnswer) (map[string]Cut, error) {
	out := map[string]Cut{}
	if err := w.ready(); err != nil {
		return nil, err
	}
	for _, m := range base.Messages {
		k := slices.IndexFunc(w.letters, func(l Letter) bool { return l.ID == m.ID })
		if k < 0 || m.Probability >= 0.5 || m.By == "" {
			continue
		}
		l := &w.letters[k]
		i := slices.IndexFunc(l.Attachments, func(e Enclosed) bool { return e.Picture })
		if i < 0 {
			continue
		}
		for _, budget := range slices.Backward(usualBudgets) {
			if budget >= l.Attachments[i].Bytes {
				continue
			}
			c := Cut{Budget: budget, BytesOnAir: l.BytesOnAir - l.Attachments[i].Bytes + budget}
			planned, ok := w.foreseen[l.ID]
			if !ok || budget != slices.Max(usualBudgets) {
				planned = func() (*PlanAnswer, error) { return w.resized(l.ID, c.BytesOnAir) }
			}
			var err error
			if c.plan, err = planned(); err != nil {
				return nil, err
			}
			c.Probability, c.Gain = c.plan.chance(l.ID), round(c.plan.ExpectedValue-base.ExpectedValue)
			if old, ok := out[l.ID]; c.Gain > 0 && (!ok || 0.9*c.Gain > old.Gain) {
				c.Minutes = minutes(c.BytesOnAir, w.bestRate())
				out[l.ID] = c
			}
			if c.Gain > 0.8*w.worth(l)[0] {
				break // a smaller one cannot gain much more
			}
		}
	}
	return out, nil
}

// foresee begins, beside the plan itself, the plans with the first cut of each picture that
// no call of the watch can carry.
func (w *watch) foresee() {
	most := w.bestRate() * callMinutes[len(callMinutes)-1]
	budget := slices.Max(usualBudgets)
	w.foreseen = map[string]func() (*PlanAnswer, error){}
	for _, l := range w.letters {
		i := slices.IndexFunc(l.Attachments, func(e Enclosed) bool { return e.Picture })
		if i < 0 || float64(l.BytesOnAir) <= most || budget >= l.Attachments[i].Bytes {
			continue
		}
		again := w.draftWith(l.ID, l.BytesOnAir-l.Attachments[i].Bytes+budget)
		planned := sync.OnceValues(again.plan)
		go planned()
		w.foreseen[l.ID] = planned
	}
}

// resized plans anew with one message of another size.
func (w *watch) resized(id string, size unit.Bytes) (*PlanAnswer, error) {
	return w.draftWith(id, size).plan()
}

// draftWith is the watch with one message of another size.
func (w *watch) draftWith(id string, size unit.Bytes) *watch {
	again := *w
	again.letters = slices.Clone(w.letters)
	for k := range again.letters {
		if again.letters[k].ID == id {
			again.letters[k].BytesOnAir = size
		}
	}
	again.reset()
	again.draft, again.foreseen = true, nil
	return &again
}

// chance is what a plan says of one message.
func (a *PlanAnswer) chance(id string) float64 {
	for _, m := range a.Messages {
		if m.ID == id {
			return m.Probability
		}
	}
	return 0
}

// reset forgets what planning left but the prospect, so that a copy can be planned anew.
func (w *watch) reset() {
	w.levels, w.chances, w.shares, w.takers, w.solved = nil, nil, nil, nil, nil
}
