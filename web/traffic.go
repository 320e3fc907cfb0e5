package web

import (
	"fmt"
	"io"
	"mime"
	"net/http"
	"path/filepath"
	"strconv"

	"farhail/desk"
	"farhail/unit"
)

// mostMail bounds one uploaded file.
const mostMail = 32 << 20

// trafficAnswer is the queue with what the plan says of it.
type trafficAnswer struct {
	Head    head                `json:"head"`
	Letters []desk.Letter       `json:"letters"`
	Plan    *desk.PlanAnswer    `json:"plan"`
	Rate    float64             `json:"bytes_per_minute"` // on tonight's best channel
	Cuts    map[string]desk.Cut `json:"cuts"`             // by message: the picture that would go
	Worth   map[string]float64  `json:"worth"`            // of a message delivered at once, by precedence
}

func (s *Server) getTraffic(r *http.Request) (any, error) {
	plan, cuts, err := s.cuts(r.Context())
	if err != nil {
		return nil, err
	}
	a := &trafficAnswer{Plan: plan, Cuts: cuts}
	err = s.with(func(d *desk.Desk) error {
		a.Head = headOf(d)
		p := d.Home.Prices
		a.Worth = map[string]float64{"flash": p.Flash, "immediate": p.Immediate, "priority": p.Priority, "routine": p.Routine}
		if a.Letters, err = d.Traffic(r.Context()); err != nil {
			return err
		}
		a.Rate, err = d.BestRate(r.Context(), plan.At)
		return err
	})
	return a, err
}

func (s *Server) getMessage(r *http.Request) (any, error) {
	var a *desk.Shown
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.ShowTraffic(r.Context(), r.PathValue("id"))
		return err
	})
	return a, err
}

// addTraffic takes one mail or mbox as the body of the request.
func (s *Server) addTraffic(r *http.Request) (any, error) {
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if kind != "message/rfc822" && kind != "application/mbox" {
		return nil, &desk.InputError{What: fmt.Sprintf("a file of kind %q", kind), Hint: "drop mail: .eml files, or an mbox"}
	}
	name := filepath.Base(r.URL.Query().Get("name"))
	var a []desk.Added
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.AddTraffic(r.Context(), []string{"-"}, http.MaxBytesReader(nil, r.Body, mostMail), "", "")
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	for i := range a {
		a[i].Source = name
	}
	return a, nil
}

func (s *Server) setState(r *http.Request) (any, error) {
	var q struct{ State string }
	if err := body(r, &q); err != nil {
		return nil, err
	}
	if q.State != "queued" && q.State != "held" && q.State != "dropped" {
		return nil, &desk.InputError{What: fmt.Sprintf("no state %q", q.State), Hint: "choose queued, held or dropped"}
	}
	var a []desk.Letter
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.SetTraffic(r.Context(), q.State, []string{r.PathValue("id")})
		return err
	})
	return a, err
}

func (s *Server) setUrgency(r *http.Request) (any, error) {
	var q struct{ Precedence, Deadline string }
	if err := body(r, &q); err != nil {
		return nil, err
	}
	var a *desk.Letter
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.SetUrgency(r.Context(), r.PathValue("id"), q.Precedence, q.Deadline)
		return err
	})
	return a, err
}

func (s *Server) moveTraffic(r *http.Request) (any, error) {
	var q struct{ Where, Other string }
	if err := body(r, &q); err != nil {
		return nil, err
	}
	var a []desk.Letter
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.MoveTraffic(r.Context(), r.PathValue("id"), q.Where, q.Other)
		return err
	})
	return a, err
}

func (s *Server) orderByRule(r *http.Request) (any, error) {
	var q struct{ Precedence string }
	if err := body(r, &q); err != nil {
		return nil, err
	}
	var a []desk.Letter
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.OrderByRule(r.Context(), q.Precedence)
		return err
	})
	return a, err
}

func (s *Server) undoOrder(r *http.Request) (any, error) {
	if err := body(r, &struct{}{}); err != nil {
		return nil, err
	}
	var a []desk.Letter
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.UndoOrder(r.Context())
		return err
	})
	return a, err
}

func (s *Server) pictures(r *http.Request, budgets []unit.Bytes) (a *desk.PictureAnswer, err error) {
	err = s.with(func(d *desk.Desk) (err error) {
		a, err = d.Pictures(r.Context(), r.PathValue("id"), budgets)
		return err
	})
	return a, err
}

func (s *Server) getPictures(r *http.Request) (any, error) { return s.pictures(r, nil) }

// getPicture is one version of a picture, re-encoded by us, as JPEG; budget "original" is
// the picture as it came, re-encoded at its full size budget for the eye.
func (s *Server) getPicture(w http.ResponseWriter, r *http.Request) {
	n, err := strconv.ParseInt(r.PathValue("budget"), 10, 64)
	if err != nil || n < 1000 || n > 5_000_000 {
		fail(w, r, &desk.InputError{What: fmt.Sprintf("%q is not a budget in octets", r.PathValue("budget")), Hint: "ask for 1000 to 5000000"})
		return
	}
	var data []byte
	err = s.with(func(d *desk.Desk) (err error) {
		data, err = d.PictureVersion(r.Context(), r.PathValue("id"), unit.Bytes(n))
		return err
	})
	if err != nil {
		fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Header().Set("Cache-Control", "private, max-age=3600")
	w.Write(data)
}

func (s *Server) choosePicture(r *http.Request) (any, error) {
	var q struct{ Budget int64 }
	if err := body(r, &q); err != nil {
		return nil, err
	}
	var a *desk.PictureAnswer
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.ChoosePicture(r.Context(), r.PathValue("id"), unit.Bytes(q.Budget))
		return err
	})
	return a, err
}

func (s *Server) exportLog(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="farhail-log.csv"`)
	if err := s.with(func(d *desk.Desk) error { return d.ExportLog(r.Context(), io.Writer(w)) }); err != nil {
		fail(w, r, err)
	}
}
