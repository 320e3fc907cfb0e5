package web

import (
	"context"
	"sync"
	"time"

	"farhail/desk"
)

// planned keeps the last plan and screens, by station in focus.
type planned struct {
	mu      sync.Mutex
	at      time.Time
	made    time.Time
	plan    *desk.PlanAnswer
	screens map[string]*desk.Screen
	cuts    map[string]desk.Cut // of the plan; nil: not worked out
}

// fresh is how long a plan stands for the present.
const fresh = 75 * time.Second

func (p *planned) forget() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.plan, p.screens, p.cuts = nil, nil, nil
}

// back and ahead are the span of the ribbon: what a day of watches needs.
const (
	back  = 3 * time.Hour
	ahead = 21 * time.Hour
)

// watch is the plan of the moment and what to draw of it. One at a time works it out,
// the others wait for it.
func (s *Server) watch(ctx context.Context, focus string) (*desk.PlanAnswer, *desk.Screen, error) {
	p := &s.plans
	p.mu.Lock()
	defer p.mu.Unlock()
	var plan *desk.PlanAnswer
	var screen *desk.Screen
	err := s.with(func(d *desk.Desk) error {
		now := d.Now().Truncate(time.Minute)
		if p.plan != nil && time.Since(p.made) < fresh {
			plan = p.plan
			if screen = p.screens[focus]; screen != nil {
				return nil
			}
			sc, err := d.ScreenWith(ctx, p.at, d.Home, desk.ScreenQuery{Focus: focus, Back: back, Ahead: ahead})
			if err != nil {
				return err
			}
			first := p.screens[""]
			sc.Battery, sc.GiveUpMinutes = first.Battery, first.GiveUpMinutes
			screen, p.screens[focus] = sc, sc
			return nil
		}
		a, sc, err := d.Screen(ctx, now, desk.ScreenQuery{Focus: focus, Back: back, Ahead: ahead})
		if err != nil {
			return err
		}
		plan, screen = a, sc
		p.plan, p.at, p.made, p.cuts = a, now, time.Now(), nil
		p.screens = map[string]*desk.Screen{"": sc, focus: sc, sc.Focus: sc}
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
	if p.plan == plan && p.cuts != nil {
		return plan, p.cuts, nil
	}
	var cuts map[string]desk.Cut
	err = s.with(func(d *desk.Desk) (err error) {
		cuts, err = d.Cuts(ctx, plan)
		return err
	})
	if err == nil && p.plan == plan {
		p.cuts = cuts
	}
	return plan, cuts, err
}
