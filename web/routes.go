package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"

	"farhail/desk"
)

// Handler is everything the server answers.
func (s *Server) Handler() http.Handler {
	m := http.NewServeMux()
	get := func(path string, f func(*http.Request) (any, error)) { m.HandleFunc("GET "+path, answer(f)) }
	post := func(path string, f func(*http.Request) (any, error)) {
		m.HandleFunc("POST "+path, answer(func(r *http.Request) (any, error) {
			v, err := f(r)
			if err == nil {
				s.changed()
			}
			return v, err
		}))
	}
	m.HandleFunc("GET /events", s.stream)
	get("/api/watch", s.getWatch)
	m.HandleFunc("POST /api/calling", answer(s.beginCalling))
	m.HandleFunc("POST /api/calling/stop", answer(s.stopCalling))
	get("/api/why/{n}", s.getWhy)
	get("/api/cell", s.getCell)
	get("/api/traffic", s.getTraffic)
	get("/api/traffic/{id}", s.getMessage)
	get("/api/traffic/{id}/pictures", s.getPictures)
	m.HandleFunc("GET /api/traffic/{id}/pictures/{budget}", s.getPicture)
	post("/api/traffic", s.addTraffic)
	post("/api/traffic/{id}/state", s.setState)
	post("/api/traffic/{id}/urgency", s.setUrgency)
	post("/api/traffic/{id}/move", s.moveTraffic)
	post("/api/traffic/by-rule", s.orderByRule)
	post("/api/traffic/undo", s.undoOrder)
	post("/api/traffic/{id}/pictures", s.choosePicture)
	get("/api/stations", s.getStations)
	get("/api/stations/{id}", s.getStation)
	get("/api/windows", s.getWindows)
	post("/api/stations", s.addStation)
	post("/api/permits", s.addPermit)
	get("/api/conditions", s.getConditions)
	post("/api/conditions", s.setConditions)
	get("/api/log", s.getLog)
	m.HandleFunc("GET /api/log.csv", s.exportLog)
	m.HandleFunc("GET /api/card.pdf", s.getCard)
	post("/api/log", s.addLog)
	post("/api/log/{id}/undo", s.undoLog)
	get("/api/home", s.getHome)
	m.HandleFunc("POST /api/home/try", answer(s.tryHome))
	post("/api/home", s.saveHome)
	post("/api/start", s.start)
	m.HandleFunc("GET /api/coast", s.coast)
	if s.guard.secure {
		m.HandleFunc("GET /enter", s.guard.enter)
		m.HandleFunc("POST /enter", s.guard.enter)
	}
	m.HandleFunc("GET /", s.page)
	return s.guard.wrap(m)
}

// mostBody bounds a request that is no upload of mail.
const mostBody = 64 << 10

// statuses, by what the operator can do about an error: the same table as the command's.
var statuses = map[desk.Class]int{
	desk.Usage:   http.StatusBadRequest,
	desk.Input:   http.StatusUnprocessableEntity,
	desk.Missing: http.StatusNotFound,
	desk.Store:   http.StatusServiceUnavailable,
	desk.Fault:   http.StatusInternalServerError,
}

// A trouble is an error as the page gets it.
type trouble struct {
	Problem []string         `json:"problem"`
	Hint    string           `json:"hint,omitempty"`
	Faults  []desk.FaultLine `json:"faults,omitempty"`
	Ask     string           `json:"ask,omitempty"` // what is missing altogether: home, station or permit
}

func answer(f func(*http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.URL.Path != "/api/traffic" {
			r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		}
		v, err := f(r)
		if err != nil {
			fail(w, r, err)
			return
		}
		writeJSON(w, r, http.StatusOK, v)
	}
}

func fail(w http.ResponseWriter, r *http.Request, err error) {
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		refuse(w, http.StatusRequestEntityTooLarge, fmt.Sprintf("more than %d MB in one file", max(big.Limit>>20, 1)), "hand it over in parts, or with farhail traffic add")
		return
	}
	t := trouble{Faults: faultsOf(err)}
	t.Problem, t.Hint = desk.Say(err)
	status, ok := statuses[desk.Classify(err)]
	if !ok {
		status = http.StatusInternalServerError
	}
	t.Ask = lacking(err, t.Faults)
	writeJSON(w, r, status, t)
}

// lacking says what is not there yet, so that the page can ask for it.
func lacking(err error, faults []desk.FaultLine) string {
	var missing *desk.MissingError
	switch {
	case errors.As(err, &missing) && strings.HasPrefix(missing.What, "no home station"):
		return "home"
	case errors.As(err, &missing) && strings.HasPrefix(missing.What, "no far stations"):
		return "station"
	case len(faults) == 1 && faults[0].Field == "station" && faults[0].Line == 0:
		return "station"
	case len(faults) == 1 && faults[0].Field == "permit" && faults[0].Line == 0:
		return "permit"
	}
	return ""
}

func refuse(w http.ResponseWriter, status int, problem, hint string) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(trouble{Problem: []string{problem}, Hint: hint})
}

func writeJSON(w http.ResponseWriter, r *http.Request, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.Encode(v)
}

// body reads a request's JSON; a field it does not know is refused.
func body(r *http.Request, v any) error {
	if kind := r.Header.Get("Content-Type"); !strings.HasPrefix(kind, "application/json") {
		return &desk.InputError{What: fmt.Sprintf("a request of kind %q", kind), Hint: "send application/json"}
	}
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return err
		}
		return &desk.InputError{What: "the request cannot be read: " + err.Error(), Hint: "load the page again"}
	}
	if _, err := d.Token(); err != io.EOF {
		return &desk.InputError{What: "the request holds more than one value", Hint: "load the page again"}
	}
	return nil
}

// number reads a number of the query, within bounds.
func number(r *http.Request, name string, usual, lo, hi float64) float64 {
	v, err := strconv.ParseFloat(r.URL.Query().Get(name), 64)
	if err != nil {
		return usual
	}
	return min(max(v, lo), hi)
}
