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
	// The night at home that is or comes; none where the Sun does not set or not rise.
	Sunset  *time.Time `json:"sunset,omitempty"`
	Sunrise *time.Time `json:"sunrise,omitempty"`
}

func headOf(d *desk.Desk) head {
	h := head{Name: d.Home.Name, Call: d.Home.Call, Position: d.Home.Position.String(), Now: d.Now(), Still: d.Demo(), Stations: len(d.Directory.Stations)}
	if set, rise, ok := d.Night(h.Now); ok {
		h.Sunset, h.Sunrise = &set, &rise
	}
	return h
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
	Calling  *desk.Calling    `json:"calling,omitempty"`
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
	plan, screen, err := s.watchOver(r.Context(), horizon(r), q.Get("focus"))
	if err != nil {
		return nil, err
	}
	a := &watchAnswer{Plan: plan, Focus: screen.Focus, Stations: []string{}, Bearings: []bearing{}}
	err = s.with(func(d *desk.Desk) (err error) {
		a.Head = headOf(d)
		if a.Calling, err = d.Calling(r.Context()); err != nil {
			return err
		}
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

// horizon of the plan that a page's span asks for: whole days, three at most.
func horizon(r *http.Request) time.Duration {
	days := math.Ceil(number(r, "hours", 24, 6, 72) / 24)
	return time.Duration(days) * usualHorizon
}

// lay draws the ribbon for the width of the page and the span it asks for: of a day or
// more, three hours are past; of less, one.
func lay(b *report.Ribbon, r *http.Request) *report.Picture {
	hours := number(r, "hours", 24, 6, 72)
	before := back
	if hours < 24 {
		before = time.Hour
	}
	if from := b.Now.Add(-before); from.After(b.From) {
		b.From = from
	}
	if to := b.From.Add(time.Duration(hours * float64(time.Hour))); to.Before(b.To) {
		b.To = to
	}
	return report.Lay(b, report.FrameFor(number(r, "w", 1200, 280, 2000)))
}

// beginCalling notes that the operator calls now.
func (s *Server) beginCalling(r *http.Request) (any, error) {
	var q struct {
		Station string
		MHz     float64
	}
	if err := body(r, &q); err != nil {
		return nil, err
	}
	plan, _, err := s.watchOver(r.Context(), horizon(r), "")
	if err != nil {
		return nil, err
	}
	var c *desk.Calling
	err = s.with(func(d *desk.Desk) error {
		c, err = d.BeginCalling(r.Context(), plan, q.Station, q.MHz)
		return err
	})
	if err == nil {
		s.told()
	}
	return c, err
}

// stopCalling forgets the call under way.
func (s *Server) stopCalling(r *http.Request) (any, error) {
	err := s.with(func(d *desk.Desk) error { return d.StopCalling(r.Context()) })
	if err == nil {
		s.told()
	}
	return struct{}{}, err
}

// getWhy opens a call of the plan.
func (s *Server) getWhy(r *http.Request) (any, error) {
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil {
		return nil, &desk.InputError{What: fmt.Sprintf("%q is not the number of a call", r.PathValue("n")), Hint: "calls are counted from 1"}
	}
	plan, _, err := s.watchOver(r.Context(), horizon(r), "")
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

// getCard is the card of the coming day on paper: ?size=a5|a4, a5 if none is named;
// ?week=, once a station, whose windows are printed, of all if none is named.
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
		pdf, err = d.PrintCard(r.Context(), d.Now().Truncate(time.Minute), r.Form["week"], size)
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
