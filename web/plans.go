package web

import (
	"context"
	"sync"
	"time"

	"farhail/desk"
)

// planned keeps the last plan of each horizon.
type planned struct {
	mu     sync.Mutex
	sheets map[time.Duration]*sheet
}

// A sheet is a plan and its screens, by station in focus.
type sheet struct {
	made    time.Time // by the desk's clock
	plan    *desk.PlanAnswer
	screens map[string]*desk.Screen
	cuts    map[string]desk.Cut // of the plan; nil: not worked out
}

func (p *planned) forget() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sheets = nil
}

// back is how much of the past the ribbon shows; the rest of its span lies ahead.
const back = 3 * time.Hour

// A day is planned unless the page asks for more.
const usualHorizon = 24 * time.Hour

// over is what to draw of a plan of so many hours.
func over(horizon time.Duration, focus string) desk.ScreenQuery {
	return desk.ScreenQuery{Focus: focus, Back: back, Ahead: horizon - back, Horizon: horizon}
}

// watch is the plan of the coming day and what to draw of it.
func (s *Server) watch(ctx context.Context, focus string) (*desk.PlanAnswer, *desk.Screen, error) {
	return s.watchOver(ctx, usualHorizon, focus)
}

// watchOver is the same over a longer or the usual horizon. One at a time works it out,
// the others wait for it.
func (s *Server) watchOver(ctx context.Context, horizon time.Duration, focus string) (*desk.PlanAnswer, *desk.Screen, error) {
	p := &s.plans
	p.mu.Lock()
	defer p.mu.Unlock()
	var plan *desk.PlanAnswer
	var screen *desk.Screen
	err := s.with(func(d *desk.Desk) error {
		now := d.Now()
		if h := p.sheets[horizon]; h != nil && d.Stands(h.made, now) {
			plan = h.plan
			if screen = h.screens[focus]; screen != nil {
				return nil
			}
			sc, err := d.ScreenWith(ctx, plan.At, d.Home, over(horizon, focus))
			if err != nil {
				return err
			}
			first := h.screens[""]
			sc.Battery, sc.GiveUpMinutes = first.Battery, first.GiveUpMinutes
			screen, h.screens[focus] = sc, sc
			return nil
		}
		a, sc, err := d.Screen(ctx, now.Truncate(time.Minute), over(horizon, focus))
		if err != nil {
			return err
		}
		plan, screen = a, sc
		if p.sheets == nil {
			p.sheets = map[time.Duration]*sheet{}
		}
		p.sheets[horizon] = &sheet{made: now, plan: a, screens: map[string]*desk.Screen{"": sc, focus: sc, sc.Focus: sc}}
		return nil
	})
	return plan, screen, err
}

// cuts is the plan of the moment and the pictures that would go with it if they were cut.
func (s *Server) cuts(ctx context.Context) (*desk.PlanAnswer, map[string]desk.Cut, error) {
	plan, _, err := s.watch(ctx, "")
	if err != nil {
		return nil, nil, err
	}
	p := &s.plans
	p.mu.Lock()
	defer p.mu.Unlock()
	h := p.sheets[usualHorizon]
	if h == nil || h.plan != plan {
		h = &sheet{} // forgotten meanwhile
	}
	if h.cuts != nil {
		return plan, h.cuts, nil
	}
	var cuts map[string]desk.Cut
	err = s.with(func(d *desk.Desk) (err error) {
		cuts, err = d.Cuts(ctx, plan)
		return err
	})
	if err == nil {
		h.cuts = cuts
	}
	return plan, cuts, err
}
