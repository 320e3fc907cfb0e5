package desk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/unit"
)

// A RelayAnswer is what `farhail relay --json` prints: how a message gets from one station
// to another, by way of others where that is sooner or the only way.
type RelayAnswer struct {
	At       time.Time   `json:"at"`
	HorizonH float64     `json:"horizon_h"`
	From     string      `json:"from"`
	To       string      `json:"to"`
	Bytes    unit.Bytes  `json:"bytes"`
	For      []string    `json:"for"` // the addresses it may bear
	Sentence string      `json:"sentence"`
	Direct   *HandOver   `json:"direct"`              // the first without a relay; null: there is none
	Chain    []HandOver  `json:"chain"`               // that arrives first; empty: there is none
	Connect  float64     `json:"connect_probability"` // of the whole chain, all stations there
	Chance   float64     `json:"probability"`         // with the chance that each is there and free
	Unasked  []Unasked   `json:"unasked"`             // would bring it sooner, or at all, but do not carry it
	Windows  []NetWindow `json:"windows"`             // between all stations of the net
	Notes    []string    `json:"notes"`
}

// Unasked is a station that could pass a message on but whose entry does not say that it
// carries traffic for the addressee.
type Unasked struct {
	Station string    `json:"station"`
	Carries []string  `json:"carries"`
	By      time.Time `json:"by"` // when the message would be through, all of them willing
}

// A HandOver is one call of the chain.
type HandOver struct {
	From     string    `json:"from"`
	To       string    `json:"to"`
	MHz      float64   `json:"mhz"`
	Waveform string    `json:"waveform"`
	Start    time.Time `json:"start"`
	Minutes  float64   `json:"minutes"` // to connect and carry the message
	Shuts    time.Time `json:"shuts"`   // of the window, the last moment to repeat it
	Connect  float64   `json:"connect_probability"`

	byState [forecast.States]float64
}

// A NetWindow is a window between two stations of the net.
type NetWindow struct {
	A     string    `json:"a"`
	B     string    `json:"b"`
	MHz   float64   `json:"mhz"`
	Opens time.Time `json:"opens"`
	Shuts time.Time `json:"shuts"`
	Best  float64   `json:"connect_probability"`
}

// relayHorizon is how far ahead a chain is looked for.
const relayHorizon = 24 * time.Hour

// Relay finds the chain of hand-overs that brings a message of a size from one station to
// another first, within 24 hours: each hand-over on a frequency and in hours that both of
// its stations keep, while a call connects with a chance of at least a half; a message goes
// on from the next quarter of an hour. Of chains that arrive in the same quarter the one
// with the fewest hand-overs is taken, then the one whose stations stand earlier in the
// directory, our own first. A station passes the message on only if it carries traffic for
// its address: the one given, else the call sign or the own address of the station it goes
// to. We pass on whatever we are asked to.
func (d *Desk) Relay(ctx context.Context, at time.Time, from, to, address string, size unit.Bytes) (*RelayAnswer, error) {
	if err := unit.Check("size of the message", float64(size), 1, 1e6, "bytes"); err != nil {
		return nil, err
	}
	one, err := d.party(from)
	if err != nil {
		return nil, err
	}
	two, err := d.party(to)
	if err != nil {
		return nil, err
	}
	if one == two {
		return nil, &InputError{fmt.Sprintf("%s and %s are the same station", from, to), "name two stations, or home and one"}
	}
	bears := two.own()
	if address != "" {
		bears = []string{address}
		if two.far != nil && !two.far.Takes(address) {
			return nil, &InputError{fmt.Sprintf("%s does not carry traffic for %s, only for %s", two.name, address, strings.Join(two.far.Carries, ", ")), "name a station that does, or correct its carries"}
		}
	}
	index, err := d.believed(ctx, at)
	if err != nil {
		return nil, err
	}
	past, err := d.pastOf(ctx, at)
	if err != nil {
		return nil, err
	}
	all := d.parties()
	a := &RelayAnswer{At: at, HorizonH: relayHorizon.Hours(), From: one.name, To: two.name, Bytes: size, For: bears, Chain: []HandOver{}, Unasked: []Unasked{}, Windows: []NetWindow{}, Notes: []string{}}
	n := &net{parties: all, spans: map[[2]int][]netSpan{}}
	for i := range len(all) - 1 {
		pr, err := d.between(all[i], all[i+1:], index, at, relayHorizon)
		if err != nil {
			return nil, err
		}
		for k := range pr.Channels {
			c := &pr.Channels[k]
			if c.Excluded != "" {
				continue
			}
			b := slices.IndexFunc(all, func(p party) bool { return p.far != nil && p.far.ID == c.Station.ID })
			for _, w := range n.add(i, b, c, pr.Start, size) {
				a.Windows = append(a.Windows, NetWindow{all[i].name, all[b].name, c.MHz, later(w.Opens, at), w.Shuts, w.Best})
			}
		}
	}
	src, dst := slices.Index(all, one), slices.Index(all, two)
	if h, _, ok := n.first(src, dst, at); ok {
		a.Direct = &h
	}
	passes := func(k int) bool { return all[k].passes(bears) }
	chain, done := n.chain(src, dst, at, passes)
	a.Chain = append(a.Chain, chain...)
	if free, by := n.chain(src, dst, at, func(int) bool { return true }); len(free) > 0 && (len(chain) == 0 || by.Before(done)) {
		last := free[len(free)-1]
		for _, h := range free[:len(free)-1] {
			if k := slices.IndexFunc(all, func(p party) bool { return p.name == h.To }); !passes(k) {
				a.Unasked = append(a.Unasked, Unasked{h.To, all[k].far.Carries, last.ends()})
			}
		}
	}
	a.Connect, a.Chance = chanceOf(a.Chain, func(name string) float64 {
		if name == d.Home.Name {
			return 1 // we are here
		}
		return past.free(name)
	})
	if index.Note != "" {
		a.Notes = append(a.Notes, index.Note)
	}
	a.Sentence = a.sentence()
	for i := range a.Chain {
		a.Chain[i].Connect = round(a.Chain[i].Connect)
	}
	if a.Direct != nil {
		a.Direct.Connect = round(a.Direct.Connect)
	}
	return a, nil
}

// chanceOf returns the chance that every hand-over of a chain connects: the day's sky is
// one for all of them, the stations are each there or not.
func chanceOf(chain []HandOver, free func(station string) float64) (connect, there float64) {
	if len(chain) == 0 {
		return 0, 0
	}
	for k, w := range forecast.StatePrior {
		for _, h := range chain {
			w *= h.byState[k]
		}
		connect += w
	}
	there = connect
	for _, h := range chain {
		there *= free(h.To)
	}
	return round(connect), round(there)
}

// ends is when the message is across, to the minute.
func (h *HandOver) ends() time.Time {
	return h.Start.Add(time.Duration(math.Ceil(h.Minutes)) * time.Minute)
}

// sentence says the way in words, and why a sooner one was refused.
func (a *RelayAnswer) sentence() string {
	s := a.way()
	if len(a.Unasked) == 0 {
		return s
	}
	var names, carry []string
	for _, u := range a.Unasked {
		names = append(names, u.Station)
		carry = append(carry, fmt.Sprintf("%s carries only %s", u.Station, strings.Join(u.Carries, ", ")))
	}
	return s + fmt.Sprintf(" By way of %s it would be through by %s, but %s: ask the operator, and add what is passed on to its carries.",
		strings.Join(names, " and "), a.clock(a.Unasked[0].By), strings.Join(carry, ", "))
}

func (a *RelayAnswer) way() string {
	if len(a.Chain) == 0 {
		if len(a.Unasked) > 0 {
			return fmt.Sprintf("No way from %s to %s in the coming %.0f hours by stations that carry the message.", a.From, a.To, a.HorizonH)
		}
		return fmt.Sprintf("No way from %s to %s in the coming %.0f hours, with or without a relay.", a.From, a.To, a.HorizonH)
	}
	last := a.Chain[len(a.Chain)-1]
	arrives := a.clock(last.ends())
	if len(a.Chain) == 1 {
		return fmt.Sprintf("%s calls %s itself at %s on %s kHz; through by %s.", a.From, a.To, a.clock(last.Start), KHz(last.MHz), arrives)
	}
	var steps []string
	for _, h := range a.Chain {
		steps = append(steps, fmt.Sprintf("to %s at %s on %s kHz", h.To, a.clock(h.Start), KHz(h.MHz)))
	}
	s := fmt.Sprintf("From %s %s; through by %s.", a.From, strings.Join(steps, ", then "), arrives)
	if a.Direct == nil {
		return s + fmt.Sprintf(" Without a relay there is no window in the coming %.0f hours.", a.HorizonH)
	}
	return s + fmt.Sprintf(" Without a relay not before %s.", a.clock(a.Direct.Start))
}

func (a *RelayAnswer) clock(t time.Time) string {
	if t.UTC().YearDay() != a.At.UTC().YearDay() {
		return t.UTC().Format("15:04") + " tomorrow"
	}
	return t.UTC().Format("15:04")
}

// minutesOf rounds a duration as answers show it.
func minutesOf(d time.Duration) float64 { return math.Round(d.Minutes()*100) / 100 }
