package station

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// ParseHome reads the file of the home station. The error is Faults, all that is
// wrong with it; with any there is no home.
func ParseHome(file string, src []byte) (*Home, error) {
	d := parseTOML(file, src)
	if len(d.faults) > 0 && len(d.root.entries) == 0 {
		return nil, d.faults
	}
	h := DefaultHome()
	h.where = places{}
	root := &section{d: d, t: d.root, where: h.where}
	root.home(&h)
	root.close()
	if len(d.faults) > 0 {
		return nil, d.faults.sorted()
	}
	return &h, nil
}

// part opens a section of the home file; one that needs keys must be there.
func (s *section) part(key, needs string) *section {
	p := s.sub(key)
	if p == nil && needs != "" && s.t.find(key) == nil {
		s.d.fault(0, key, "the section is missing", "add ["+key+"] with "+needs)
	}
	return p
}

func (s *section) home(h *Home) {
	if p := s.part("station", "name, call and position"); p != nil {
		p.identity(&h.Name, &h.Call, true)
		p.position(&h.Position)
		p.text("track", "passage.gpx", &h.Track, false)
		p.close()
	}
	if p := s.part("transmitter", "power and waveforms"); p != nil {
		senderPower.required(p, "power", &h.Power)
		h.Waveforms = p.waveforms(true)
		p.close()
	}
	if p := s.part("antenna", "kind and what belongs to it"); p != nil {
		p.antenna(&h.Antenna, &h.FeederLoss)
		p.close()
	}
	if p := s.part("receiver", ""); p != nil {
		noiseFigure.optional(p, "noise_figure", &h.NoiseFigure)
		p.close()
	}
	if p := s.part("noise", ""); p != nil {
		var env string
		if p.word("environment", environments, &env, false) {
			h.Noise.Environment = Environment(env)
		}
		for _, e := range p.texts("measured", `["`+noiseExample+`"]`, false) {
			var n NoiseLevel
			if noiseLevels.entry(p, "measured", e, &n) {
				h.Noise.Measured = append(h.Noise.Measured, n)
			}
		}
		p.close()
	}
	s.supply(h)
	if p := s.part("watch", ""); p != nil {
		if before := len(s.d.faults); !p.spans("hours", &h.Watch) && len(s.d.faults) > before {
			h.Watch = nil // so that no other hours are held against it
		}
		p.close()
	}
	if p := s.part("prices", ""); p != nil {
		p.prices(&h.Prices)
	}
	if p := s.part("bearer", ""); p != nil {
		p.text("name", "satellite terminal", &h.Bearer.Name, true)
		p.number("price_per_kb", 0, 1e6, "0.5", &h.Bearer.PricePerKB, true)
		p.close()
	}
	for _, p := range s.subs("wake") {
		h.Wake = append(h.Wake, p.wake(h))
	}
	for _, p := range s.subs("permit") {
		h.Permits = append(h.Permits, p.permit())
	}
	for _, p := range s.subs("rule") {
		h.Rules = append(h.Rules, p.rule())
	}
}

// supply reads the battery and what fills and empties it.
func (s *section) supply(h *Home) {
	b := s.part("battery", "")
	if b != nil {
		voltages.required(b, "voltage", &h.Battery.Voltage)
		capacities.required(b, "capacity", &h.Battery.Capacity)
		reserves.required(b, "reserve", &h.Battery.Reserve)
		shares.required(b, "charge", &h.Battery.Charge)
		b.close()
	}
	needs := ""
	if b != nil {
		needs = "transmit, what the radio draws while it sends"
	}
	if p := s.part("consumption", needs); p != nil {
		m := draw(h.Battery, b != nil)
		m.optional(p, "receive", &h.Consumption.Receive)
		m.read(p, "transmit", &h.Consumption.Transmit, b != nil)
		m.optional(p, "other", &h.Consumption.Other)
		shares.optional(p, "duty", &h.Consumption.Duty)
		p.close()
	}
	if p := s.part("solar", ""); p != nil {
		var n float64
		if p.number("panels", 0, 1000, "2", &n, true) {
			h.Solar.Panels = int(n)
			if n != float64(h.Solar.Panels) {
				p.fault(p.t.find("panels"), "panels", fmt.Sprintf("%g is not a whole number", n), "count the panels")
			}
		}
		loadPower.required(p, "each", &h.Solar.Each)
		p.close()
	}
	if p := s.part("generator", ""); p != nil {
		h.Generator.Hours = Always()
		loadPower.required(p, "power", &h.Generator.Power)
		p.spans("hours", &h.Generator.Hours)
		p.close()
	}
}

func (s *section) prices(p *Prices) {
	for _, x := range []struct {
		key string
		dst *float64
	}{{"flash", &p.Flash}, {"immediate", &p.Immediate}, {"priority", &p.Priority}, {"routine", &p.Routine}, {"energy_per_wh", &p.EnergyPerWh}, {"waking", &p.Waking}} {
		s.number(x.key, 0, 1e6, strconv.FormatFloat(*x.dst, 'g', -1, 64), x.dst, false)
	}
	deadlines.optional(s, "halving", &p.Halving)
	steps := shares
	steps.valid, steps.limits, steps.example = between(0.01, 1), "1 % to 100 %", "10 %"
	steps.optional(s, "doubling", &p.Doubling)
	if order := []float64{p.Routine, p.Priority, p.Immediate, p.Flash}; !slices.IsSorted(order) {
		s.d.fault(s.t.at, strings.TrimSuffix(s.path, "."), fmt.Sprintf("the worths do not rise from routine to flash: %g, %g, %g, %g", p.Routine, p.Priority, p.Immediate, p.Flash), "give a higher precedence at least the worth of a lower one")
	}
	s.close()
}

func (s *section) wake(h *Home) Wake {
	w := Wake{Hours: off(h.Watch), Price: h.Prices.Waking}
	s.text("who", "the mate", &w.Who, true)
	s.spans("hours", &w.Hours)
	if e := s.t.find("hours"); e != nil && len(w.Hours.Intersect(h.Watch)) > 0 {
		s.fault(e, "hours", fmt.Sprintf("%s overlaps the watch, %s", w.Hours, h.Watch), "nobody needs waking in watch hours; give the others")
	}
	if s.t.find("hours") == nil && len(w.Hours) == 0 {
		s.d.fault(s.t.at, strings.TrimSuffix(s.path, "."), "the watch is the whole day already", "shorten [watch] hours or take this away")
	}
	s.number("price", 0, 1e6, "2", &w.Price, false)
	s.close()
	return w
}

// off returns the rest of the day.
func off(a Spans) Spans {
	var out []Span
	at := 0
	for _, s := range a {
		out = append(out, Span{at, s.From})
		at = s.To
	}
	return union(append(out, Span{at, dayMin})...)
}

func (s *section) rule() Rule {
	var r Rule
	r.At = s.d.place(s.t.at)
	any := s.text("from", "*@saltmarsh.example", &r.From, false)
	any = s.text("to", "*@yard.example", &r.To, false) || any
	any = s.text("subject", "position", &r.Subject, false) || any
	gives := s.word("precedence", precedences, &r.Precedence, false)
	deadlines.optional(s, "deadline", &r.Deadline)
	here := strings.TrimSuffix(s.path, ".")
	if !any && s.t.find("from") == nil && s.t.find("to") == nil && s.t.find("subject") == nil {
		s.d.fault(s.t.at, here, "says of no message that it fits", `add from, to or subject, like subject = "position"`)
	}
	if !gives && s.t.find("precedence") == nil && s.t.find("deadline") == nil {
		s.d.fault(s.t.at, here, "gives a message nothing", `add precedence = "priority" or deadline = "24 h"`)
	}
	s.close()
	return r
}
