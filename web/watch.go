package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"time"

	"farhail/desk"
	"farhail/report"
)

// A head is what stands above every page.
type head struct {
	Name     string    `json:"name"`
	Call     string    `json:"call"`
	Position string    `json:"position"`
	Now      time.Time `json:"now"`
	Still    bool      `json:"still"` // the clock of a demo world stands still
	Stations int       `json:"stations"`
}

func headOf(d *desk.Desk) head {
	return head{Name: d.Home.Name, Call: d.Home.Call, Position: d.Home.Position.String(), Now: d.Now(), Still: d.Demo(), Stations: len(d.Directory.Stations)}
}

// watchAnswer is the first screen.
type watchAnswer struct {
	Head     head             `json:"head"`
	Plan     *desk.PlanAnswer `json:"plan"`
	Focus    string           `json:"focus"`
	Stations []string         `json:"stations"` // by distance
	Bearings []bearing        `json:"bearings"`
	GiveUp   *time.Time       `json:"give_up"` // of the next call
	Picture  *report.Picture  `json:"picture"`
	Near     bool             `json:"near"` // the next call goes straight up
}

// bearing is true and by compass.
type bearing struct {
	Station string  `json:"station"`
	True    float64 `json:"true"`
	Compass float64 `json:"compass"`
	Km      float64 `json:"km"`
}

// straightUp is the distance under which a call goes by way of the sky overhead, and a
// bearing means nothing. Common practice for near-vertical work.
const straightUp = 400

func (s *Server) getWatch(r *http.Request) (any, error) {
	q := r.URL.Query()
	plan, screen, err := s.watch(r.Context(), q.Get("focus"))
	if err != nil {
		return nil, err
	}
	a := &watchAnswer{Plan: plan, Focus: screen.Focus, Stations: []string{}, Bearings: []bearing{}}
	err = s.with(func(d *desk.Desk) error {
		a.Head = headOf(d)
		decl := desk.Declination(d.Home.Position, a.Head.Now)
		for _, st := range screen.Stations {
			a.Stations = append(a.Stations, st.Name)
			a.Bearings = append(a.Bearings, bearing{st.Name, st.HeadingDeg, st.HeadingDeg - decl, st.DistanceKm})
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if len(plan.Calls) > 0 {
		c := plan.Calls[0]
		a.Near = c.DistanceKm < straightUp
		give := c.Start.Add(time.Duration(math.Ceil(screen.GiveUpMinutes) * float64(time.Minute)))
		a.GiveUp = &give
	}
	a.Picture = lay(desk.Ribbon(plan, screen, nil), r)
	return a, nil
}

// lay draws the ribbon for the width of the page and the span it asks for.
func lay(b *report.Ribbon, r *http.Request) *report.Picture {
	hours := number(r, "hours", 24, 6, 24)
	before := 3.0
	if hours < 24 {
		before = 1
	}
	if from := b.Now.Add(-time.Duration(before * float64(time.Hour))); from.After(b.From) {
		b.From = from
	}
	if to := b.From.Add(time.Duration(hours * float64(time.Hour))); to.Before(b.To) {
		b.To = to
	}
	return report.Lay(b, report.FrameFor(number(r, "w", 1200, 280, 2000)))
}

// getWhy opens a call of the plan.
func (s *Server) getWhy(r *http.Request) (any, error) {
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil {
		return nil, &desk.InputError{What: fmt.Sprintf("%q is not the number of a call", r.PathValue("n")), Hint: "calls are counted from 1"}
	}
	plan, _, err := s.watch(r.Context(), "")
	if err != nil {
		return nil, err
	}
	var a *desk.WhyAnswer
	err = s.with(func(d *desk.Desk) error {
		a, err = d.Why(r.Context(), plan.At, time.Duration(plan.HorizonH*float64(time.Hour)), n)
		return err
	})
	return a, err
}

// getCell opens a channel's numbers at a moment.
func (s *Server) getCell(r *http.Request) (any, error) {
	q := r.URL.Query()
	at, err := time.Parse(time.RFC3339, q.Get("at"))
	if err != nil {
		return nil, &desk.InputError{What: fmt.Sprintf("%q is not a moment", q.Get("at")), Hint: "write it like 2026-11-25T17:38:00Z"}
	}
	var a *desk.CellAnswer
	err = s.with(func(d *desk.Desk) (err error) {
		if off := at.Sub(d.Now()); off < -30*24*time.Hour || off > 30*24*time.Hour {
			return &desk.InputError{What: "that moment is more than 30 days away", Hint: "ask for one nearer to now"}
		}
		a, err = d.Cell(r.Context(), at, q.Get("station"), number(r, "mhz", 0, 0, 100))
		return err
	})
	return a, err
}

// getCard is the card of the coming day on paper: ?size=a5|a4, a5 if none is named.
func (s *Server) getCard(w http.ResponseWriter, r *http.Request) {
	word := r.FormValue("size")
	if word == "" {
		word = string(report.A5)
	}
	size, err := desk.Paper("size", word)
	if err != nil {
		fail(w, r, err)
		return
	}
	var pdf []byte
	err = s.with(func(d *desk.Desk) (err error) {
		pdf, err = d.PrintCard(r.Context(), d.Now().Truncate(time.Minute), nil, size)
		return err
	})
	if err != nil {
		fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="farhail-card-%s.pdf"`, size))
	w.Write(pdf)
}
