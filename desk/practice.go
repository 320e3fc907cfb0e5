package desk

import (
	"context"
	"runtime"
	"time"

	"farhail/forecast"
	"farhail/hf/circuit"
	"farhail/practice"
	"farhail/unit"
)

// indexAge is how old, in months, the index told in the practice air is: as old as the
// embedded table is at the demo's clock, a year.
const indexAge = 12

// PracticeAnswer is what many practice days made of each way to decide the calls.
type PracticeAnswer struct {
	Days  int              `json:"days"`
	Seed  uint64           `json:"first_seed"`
	Bound MeanAnswer       `json:"clairvoyant_bound"`
	Lines []PracticePlayer `json:"players"`
}

// MeanAnswer is a mean with half the width of its 95 % interval.
type MeanAnswer struct {
	Mean float64 `json:"mean"`
	Half float64 `json:"half_width_95"`
}

// PracticePlayer is one way to decide the calls, over the days.
type PracticePlayer struct {
	Player       string                `json:"player"`
	Worth        MeanAnswer            `json:"weighted_delivery"`
	OfBound      MeanAnswer            `json:"share_of_bound"`
	OverNotebook MeanAnswer            `json:"over_notebook"`
	InTime       map[string]MeanAnswer `json:"in_time_by_precedence"`
	Minutes      MeanAnswer            `json:"minutes_on_the_air"`
	Energy       MeanAnswer            `json:"energy_wh"`
	WhPerKB      MeanAnswer            `json:"wh_per_kb"`
	Calls        MeanAnswer            `json:"calls"`
}

// setting is the desk's watch as a practice setting.
func (d *Desk) setting(ctx context.Context, at time.Time, span time.Duration) (*practice.Setting, error) {
	w, err := d.begin(ctx, at, span)
	if err != nil {
		return nil, err
	}
	if _, err := w.plan(); err != nil {
		return nil, err
	}
	s := &practice.Setting{
		Request:  forecast.Request{Home: d.Home, Directory: d.Directory, Start: w.pr.Start, Slots: w.pr.Slots, Drive: w.index.drive(), Reading: circuit.Field, Where: d.where()},
		Prospect: w.pr, Battery: w.batteryFirst, Draw: w.draw(), Wake: w.wakeFirst, Minutes: callMinutes,
	}
	again := *w
	again.reset()
	again.energy()
	for _, q := range again.queues() {
		p, kept := again.problem(q)
		for i, l := range kept {
			s.Items = append(s.Items, practice.Item{Message: l.ID, Precedence: l.Precedence, Bytes: p.Items[i].Bytes, Worth: p.Items[i].Worth, Stations: q.names})
		}
	}
	if len(s.Items) == 0 {
		return nil, &MissingError{"there is no traffic to practise with", "queue some with farhail traffic add, or practise in a demo world"}
	}
	return s, nil
}

// MeasurePractice plays so many days of the practice air with the desk's plan and the
// yardsticks, from a seed on.
func (d *Desk) MeasurePractice(ctx context.Context, at time.Time, span time.Duration, seed uint64, days int) (*PracticeAnswer, error) {
	if err := unit.Check("days", float64(days), 2, 100_000, ""); err != nil { // one has no spread
		return nil, err
	}
	set, err := d.setting(ctx, at, span)
	if err != nil {
		return nil, err
	}
	players, err := practice.Yardsticks(set)
	if err != nil {
		return nil, err
	}
	world := practice.Usual(indexAge)
	r, err := practice.Measure(set, &world, players, "notebook", seed, days, runtime.GOMAXPROCS(0))
	if err != nil {
		return nil, err
	}
	mean := func(m practice.Mean) MeanAnswer { return MeanAnswer{round(m.Value), round(m.Half)} }
	a := &PracticeAnswer{Days: r.Days, Seed: seed, Bound: mean(r.Bound)}
	for _, l := range r.Lines {
		x := PracticePlayer{Player: l.Name, Worth: mean(l.Worth), OfBound: mean(l.OfBound), OverNotebook: mean(l.Over), InTime: map[string]MeanAnswer{},
			Minutes: mean(l.Minutes), Energy: mean(l.Energy), WhPerKB: mean(l.WhPerKB), Calls: mean(l.Calls)}
		for k, v := range l.InTime {
			x.InTime[k] = mean(v)
		}
		a.Lines = append(a.Lines, x)
	}
	return a, nil
}

// Practise plays one day of the practice air with somebody who decides each call: ask
// is shown where things stand and what the plan would do, and answers with its order; tell
// hears every turn of a call.
func (d *Desk) Practise(ctx context.Context, at time.Time, span time.Duration, seed uint64, ask func(*practice.Situation, practice.Order) practice.Order, tell func(practice.Transmission)) (*practice.Setting, practice.Score, float64, error) {
	set, err := d.setting(ctx, at, span)
	if err != nil {
		return nil, practice.Score{}, 0, err
	}
	world := practice.Usual(indexAge)
	day, err := practice.NewDay(set, &world, seed)
	if err != nil {
		return nil, practice.Score{}, 0, err
	}
	score := day.Play(asking{ask}, tell)
	return set, score, day.Bound(), nil
}

type asking struct {
	ask func(*practice.Situation, practice.Order) practice.Order
}

func (a asking) Next(s *practice.Situation) practice.Order { return a.ask(s, practice.Farhail(s)) }
