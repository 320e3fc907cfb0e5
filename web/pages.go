package web

import (
	"fmt"
	"net/http"
	"time"

	"farhail/desk"
	"farhail/hf/antenna"
	"farhail/report"
)

type stationsAnswer struct {
	Head     head                    `json:"head"`
	Home     [2]float64              `json:"home"` // longitude and latitude, degrees
	Sun      [2]float64              `json:"sun"`  // where it stands overhead
	Stations []desk.StationAnswer    `json:"stations"`
	Calls    []desk.CallAnswer       `json:"calls"`
	Heard    map[string]desk.LogLine `json:"heard"` // the last standing line of each station
	Tides    map[string][]float64    `json:"tides"` // chance of the best channel, by the quarter-hour
	TideFrom time.Time               `json:"tide_from"`
}

func (s *Server) getStations(r *http.Request) (any, error) {
	plan, screen, err := s.watch(r.Context(), "")
	if err != nil {
		return nil, err
	}
	a := &stationsAnswer{Calls: plan.Calls, Heard: map[string]desk.LogLine{}, Tides: map[string][]float64{}, TideFrom: screen.From}
	for _, st := range screen.Stations {
		tide := make([]float64, len(screen.Steps))
		for _, c := range st.Channels {
			for t, p := range c.Chance {
				tide[t] = max(tide[t], p)
			}
		}
		a.Tides[st.Name] = tide
	}
	err = s.with(func(d *desk.Desk) error {
		a.Head = headOf(d)
		a.Home = [2]float64{d.Home.Position.Lon.Deg(), d.Home.Position.Lat.Deg()}
		sun := desk.SubSolar(plan.At)
		a.Sun = [2]float64{sun.Lon.Deg(), sun.Lat.Deg()}
		if a.Stations, err = d.Stations(r.Context(), plan.At); err != nil {
			return err
		}
		for i := range a.Stations {
			withHabits(&a.Stations[i], screen)
		}
		lines, err := d.LogLines(r.Context(), "", 0)
		for _, l := range lines {
			if _, ok := a.Heard[l.Station]; !ok && l.Kind == "attempt" && l.Struck == "" {
				a.Heard[l.Station] = l
			}
		}
		return err
	})
	return a, err
}

type stationAnswer struct {
	Head head           `json:"head"`
	Log  []desk.LogLine `json:"log"`
}

// getStation is a station's log.
func (s *Server) getStation(r *http.Request) (any, error) {
	id := r.PathValue("id")
	a := &stationAnswer{}
	err := s.with(func(d *desk.Desk) (err error) {
		a.Head = headOf(d)
		a.Log, err = d.LogLines(r.Context(), id, 50)
		return err
	})
	return a, err
}

// getWindows is the week of some stations: ?station=, once each.
func (s *Server) getWindows(r *http.Request) (any, error) {
	var a *desk.WindowsAnswer
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.Windows(r.Context(), d.Now(), 7, r.URL.Query()["station"])
		return err
	})
	return a, err
}

type conditionsAnswer struct {
	Head  head              `json:"head"`
	Index *desk.IndexAnswer `json:"index"`
	Noise []noiseLine       `json:"measured"`
}

type noiseLine struct {
	Text     string  `json:"text"` // as the home file has it
	LevelDBm float64 `json:"level_dbm"`
	Meter    bool    `json:"meter"` // read off an S-meter
}

func (s *Server) getConditions(r *http.Request) (any, error) {
	a := &conditionsAnswer{Noise: []noiseLine{}}
	err := s.with(func(d *desk.Desk) (err error) {
		a.Head = headOf(d)
		for _, n := range d.Home.Noise.Measured {
			a.Noise = append(a.Noise, noiseLine{n.String(), float64(n.Level) + 30, n.Meter != ""})
		}
		a.Index, err = d.Conditions(r.Context(), d.Now())
		return err
	})
	return a, err
}

func (s *Server) setConditions(r *http.Request) (any, error) {
	var q struct {
		At         string
		Flux, A, K *float64
	}
	if err := body(r, &q); err != nil {
		return nil, err
	}
	var a *desk.IndexAnswer
	err := s.with(func(d *desk.Desk) (err error) {
		at := d.Now()
		if q.At != "" {
			if at, err = desk.ParseTime(q.At, at); err != nil {
				return err
			}
			if at.After(d.Now()) {
				at = at.AddDate(0, 0, -1) // 23:00 said at 01:00 was yesterday
			}
		}
		a, err = d.SetConditions(r.Context(), at, q.Flux, q.A, q.K)
		return err
	})
	return a, err
}

type logAnswer struct {
	Head     head           `json:"head"`
	Lines    []desk.LogLine `json:"lines"`
	Stations []string       `json:"stations"`
}

func (s *Server) getLog(r *http.Request) (any, error) {
	a := &logAnswer{Stations: []string{}}
	err := s.with(func(d *desk.Desk) (err error) {
		a.Head = headOf(d)
		for i := range d.Directory.Stations {
			a.Stations = append(a.Stations, d.Directory.Stations[i].Name)
		}
		a.Lines, err = d.LogLines(r.Context(), r.URL.Query().Get("station"), 0)
		return err
	})
	return a, err
}

func (s *Server) addLog(r *http.Request) (any, error) {
	var q struct{ Line string }
	if err := body(r, &q); err != nil {
		return nil, err
	}
	var a *desk.Logged
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.Log(r.Context(), q.Line)
		return err
	})
	return a, err
}

func (s *Server) undoLog(r *http.Request) (any, error) {
	var a *desk.Logged
	err := s.with(func(d *desk.Desk) (err error) {
		a, err = d.Undo(r.Context(), r.PathValue("id"))
		return err
	})
	return a, err
}

type homeAnswer struct {
	Head     head              `json:"head"`
	Form     *desk.HomeForm    `json:"form"`
	Permits  []string          `json:"permits"`
	Patterns []antenna.Drawing `json:"patterns"`
	Toward   string            `json:"toward"`
}

func (s *Server) getHome(r *http.Request) (any, error) {
	a := &homeAnswer{Permits: []string{}}
	toward, az, fs, err := s.next(r)
	if err != nil {
		return nil, err
	}
	a.Toward = toward
	err = s.with(func(d *desk.Desk) (err error) {
		a.Head = headOf(d)
		for _, p := range d.Home.Permits {
			a.Permits = append(a.Permits, fmt.Sprintf("%.3f to %.3f MHz, %g kHz wide, %g W", p.From.MHz(), p.To.MHz(), p.Bandwidth.KHz(), p.Power.W()))
		}
		if a.Form, err = d.HomeForm(r.Context()); err != nil {
			return err
		}
		a.Patterns, err = desk.HomePatterns(d.Home, az, fs)
		return err
	})
	return a, err
}

// next is where the next call goes (else the nearest station), its bearing, and up to
// three of its channels: what an antenna is drawn for.
func (s *Server) next(r *http.Request) (name string, az float64, fMHz []float64, err error) {
	_, screen, err := s.watch(r.Context(), "")
	if err != nil {
		return "", 0, nil, err
	}
	for _, st := range screen.Stations {
		if st.Name != screen.Focus {
			continue
		}
		n := len(st.Channels)
		for i, c := range st.Channels {
			if n <= 3 || i == 0 || i == n/2 || i == n-1 {
				fMHz = append(fMHz, c.MHz)
			}
		}
		return st.Name, st.HeadingDeg, fMHz, nil
	}
	return "", 0, []float64{7}, nil
}

type trialAnswer struct {
	Faults   []desk.FaultLine  `json:"faults"`
	Picture  *report.Picture   `json:"picture,omitempty"`
	Patterns []antenna.Drawing `json:"patterns,omitempty"`
	Next     []changedChance   `json:"next,omitempty"`
}

// changedChance is a planned call before and after a change of the home.
type changedChance struct {
	No       int     `json:"no"`
	Station  string  `json:"station"`
	MHz      float64 `json:"mhz"`
	From, To float64
}

// tryHome shows what an edit of the home file would do, and writes nothing.
func (s *Server) tryHome(r *http.Request) (any, error) {
	var e desk.HomeEdit
	if err := body(r, &e); err != nil {
		return nil, err
	}
	plan, old, err := s.watch(r.Context(), "")
	if err != nil {
		return nil, err
	}
	_, az, fs, err := s.next(r)
	if err != nil {
		return nil, err
	}
	a := &trialAnswer{}
	err = s.with(func(d *desk.Desk) error {
		t, err := d.TryHome(r.Context(), e)
		if err != nil {
			return err
		}
		if a.Faults = t.Faults; t.Home == nil {
			return nil
		}
		screen, err := d.ScreenWith(r.Context(), plan.At, t.Home, over(usualHorizon, old.Focus))
		if err != nil {
			return err
		}
		a.Next = compare(plan, old, screen)
		b := desk.Ribbon(plan, screen, old)
		b.Strands, b.Load, b.Battery, b.Hidden = nil, nil, nil, ""
		a.Picture = lay(b, r)
		a.Patterns, err = desk.HomePatterns(t.Home, az, fs)
		return err
	})
	return a, err
}

// compare reads the chance of each planned call's channel before and after.
func compare(plan *desk.PlanAnswer, old, now *desk.Screen) []changedChance {
	at := func(s *desk.Screen, c desk.CallAnswer) float64 {
		i := int(c.Start.Sub(s.From) / (15 * time.Minute))
		for _, st := range s.Stations {
			for _, ch := range st.Channels {
				if st.Name == c.Station && ch.MHz == c.MHz && i < len(ch.Chance) {
					return max(ch.Chance[i], 0)
				}
			}
		}
		return 0
	}
	out := []changedChance{}
	for i, c := range plan.Calls {
		out = append(out, changedChance{i + 1, c.Station, c.MHz, at(old, c), at(now, c)})
	}
	return out
}

// saveHome writes an edit into the home file and reads it anew.
func (s *Server) saveHome(r *http.Request) (any, error) {
	var e desk.HomeEdit
	if err := body(r, &e); err != nil {
		return nil, err
	}
	a := &trialAnswer{}
	err := s.with(func(d *desk.Desk) error {
		t, err := d.SaveHome(r.Context(), e)
		if err == nil {
			a.Faults = t.Faults
		}
		return err
	})
	if err == nil && len(a.Faults) == 0 {
		s.reopen(r.Context())
	}
	return a, err
}

// start makes a home where there is none.
func (s *Server) start(r *http.Request) (any, error) {
	var q desk.Start
	if err := body(r, &q); err != nil {
		return nil, err
	}
	for _, x := range q.Questions() {
		if *x.To == "" {
			*x.To = x.Usual
		}
	}
	a, err := desk.Init(s.options.Dir, q)
	if err == nil {
		s.reopen(r.Context())
	}
	return a, err
}

// withHabits sets a station's chances of the moment to those of the plan, which count
// in whether it is there and free.
func withHabits(st *desk.StationAnswer, screen *desk.Screen) {
	now := int(screen.Now.Sub(screen.From) / (15 * time.Minute))
	for _, x := range screen.Stations {
		for _, c := range x.Channels {
			for k := range st.Channels {
				if ch := &st.Channels[k]; x.Name == st.Station && ch.MHz == c.MHz && now < len(c.Chance) {
					ch.Connect = max(c.Chance[now], 0)
				}
			}
		}
	}
}

// addStation writes a far station down.
func (s *Server) addStation(r *http.Request) (any, error) {
	var q desk.NewStation
	if err := body(r, &q); err != nil {
		return nil, err
	}
	return s.added(r)(desk.AddStation(r.Context(), s.options.Dir, q))
}

// addPermit writes down what the licence allows.
func (s *Server) addPermit(r *http.Request) (any, error) {
	var q desk.NewPermit
	if err := body(r, &q); err != nil {
		return nil, err
	}
	return s.added(r)(desk.AddPermit(r.Context(), s.options.Dir, q))
}

// added reads the folder anew when something was written into it.
func (s *Server) added(r *http.Request) func([]desk.FaultLine, error) (any, error) {
	return func(faults []desk.FaultLine, err error) (any, error) {
		if err == nil && len(faults) == 0 {
			s.reopen(r.Context())
		}
		return &trialAnswer{Faults: faults}, err
	}
}
