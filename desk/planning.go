package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/hf/ground"
	"farhail/logbook"
	"farhail/plan"
	"farhail/station"
	"farhail/traffic"
	"farhail/unit"
)

// A PlanAnswer is what `farhail plan --json` prints.
type PlanAnswer struct {
	At            time.Time      `json:"at"`
	HorizonH      float64        `json:"horizon_h"`
	ExpectedValue float64        `json:"expected_value"`
	ValueBound    float64        `json:"value_bound"` // no plan of all queues together can be worth more, even were presence drawn anew each quarter
	Sentence      string         `json:"sentence"`
	Calls         []CallAnswer   `json:"calls"`
	Bearer        []BearerAnswer `json:"bearer,omitempty"`
	Messages      []MessageBound `json:"messages"`
	Battery       []BatteryLevel `json:"battery"`
	Excluded      []Exclusion    `json:"excluded"`
	Notes         []string       `json:"notes"`
	Changes       []Change       `json:"changes,omitempty"` // when asked for
	Index         IndexAnswer    `json:"index"`
}

type CallAnswer struct {
	Start          time.Time        `json:"start"`
	Minutes        float64          `json:"minutes"`
	AtMostMinutes  float64          `json:"at_most_minutes"`
	Station        string           `json:"station"`
	MHz            float64          `json:"mhz"`
	Waveform       string           `json:"waveform"`
	HeadingDeg     float64          `json:"heading_deg"`
	DistanceKm     float64          `json:"distance_km"`
	Connect        float64          `json:"connect_probability"`
	ExpectedBytes  float64          `json:"expected_bytes"`
	ExpectedIn     float64          `json:"expected_bytes_in,omitempty"`
	EnergyWh       float64          `json:"energy_wh"`
	Messages       []string         `json:"messages"`
	Fallbacks      []FallbackAnswer `json:"fallbacks"`
	Again          *AgainAnswer     `json:"again,omitempty"` // of the next call without a fallback: what follows if nobody answers
	Wake           string           `json:"wake,omitempty"`  // who is to be woken for it
	Why            string           `json:"why"`
	connectByState [forecast.States]float64
	free           float64
}

// AgainAnswer is the next call after one that nobody answered.
type AgainAnswer struct {
	Start   time.Time `json:"start"`
	Station string    `json:"station"`
	MHz     float64   `json:"mhz"`
}

// BearerAnswer is a message to send by the other bearer.
type BearerAnswer struct {
	At      time.Time `json:"at"`
	Bearer  string    `json:"bearer"`
	Message string    `json:"message"`
	Price   float64   `json:"price"`
}

type FallbackAnswer struct {
	Station       string  `json:"station"`
	MHz           float64 `json:"mhz"`
	Waveform      string  `json:"waveform"`
	HeadingDeg    float64 `json:"heading_deg"`
	Connect       float64 `json:"connect_probability"`
	ExpectedBytes float64 `json:"expected_bytes"`
	Because       string  `json:"because"`
}

type MessageBound struct {
	ID          string     `json:"id"`
	Precedence  string     `json:"precedence"`
	Subject     string     `json:"subject"`
	BytesOnAir  unit.Bytes `json:"bytes_on_air"`
	Deadline    *time.Time `json:"deadline"`
	Probability float64    `json:"probability_in_time"`
	By          string     `json:"by,omitempty"` // the stations that take it
	Note        string     `json:"note,omitempty"`
	Cut         *Cut       `json:"cut,omitempty"` // with which it would go
	// Of a message to several stations, all of which must have it for the probability: how
	// many will, in the mean.
	Stations float64 `json:"expected_stations,omitempty"`
}

type BatteryLevel struct {
	At time.Time `json:"at"`
	Wh float64   `json:"wh"`
}

type Exclusion struct {
	Station string  `json:"station"`
	MHz     float64 `json:"mhz"`
	Reason  string  `json:"reason"`
}

// rehearsals of a plan: the chances of the messages are good to ±0.01.
const rehearsals = 2000

// inboundID marks what is expected to wait at a station among the items of a plan.
const inboundID = "in:"

// callMinutes are the lengths a call may be given.
var callMinutes = []float64{5, 10, 15}

// prospect works out what every channel promises from a moment on.
func (d *Desk) prospect(ctx context.Context, at, from time.Time, span time.Duration) (*forecast.Prospect, IndexAnswer, error) {
	index, err := d.believed(ctx, at)
	if err != nil {
		return nil, index, err
	}
	pr, err := prospectOf(d.Home, d.Directory, d.where(), index, from, span)
	return pr, index, err
}

func prospectOf(h *station.Home, dir *station.Directory, where func(time.Time) earth.Point, index IndexAnswer, at time.Time, span time.Duration) (*forecast.Prospect, error) {
	p, err := forecast.New(forecast.Request{Home: h, Directory: dir, Start: at, Slots: int((span + forecast.Slot - 1) / forecast.Slot),
		Drive: index.drive(), Reading: circuit.Field, Where: where})
	if err != nil {
		return nil, &InputError{err.Error(), "correct the file and try again"}
	}
	return p, nil
}

// where is how the home moves; nil when it does not.
func (d *Desk) where() func(time.Time) earth.Point {
	if d.Track == nil {
		return nil
	}
	return d.At
}

// Plan decides the calls of the coming watch, and for pictures that are unlikely to be in
// time finds the cut that is.
func (d *Desk) Plan(ctx context.Context, at time.Time, span time.Duration) (*PlanAnswer, error) {
	w, err := d.begin(ctx, at, span)
	if err != nil {
		return nil, err
	}
	if err := w.ready(); err != nil {
		return nil, err
	}
	w.foresee()
	a, err := w.plan()
	if err != nil {
		return nil, err
	}
	cuts, err := w.cuts(a)
	for i := range a.Messages {
		if c, ok := cuts[a.Messages[i].ID]; ok {
			a.Messages[i].Cut = &c
		}
	}
	return a, err
}

// begin gathers what a plan rests on.
func (d *Desk) begin(ctx context.Context, at time.Time, span time.Duration) (*watch, error) {
	if err := unit.Check("horizon", span.Hours(), 0.5, 72, "h"); err != nil {
		return nil, err
	}
	w := &watch{home: d.Home, directory: d.Directory, where: d.where(), at: at, span: span}
	var err error
	if w.index, err = d.believed(ctx, at); err != nil {
		return nil, err
	}
	if w.letters, err = d.Traffic(ctx, "queued"); err != nil {
		return nil, err
	}
	if w.past, err = d.pastOf(ctx, at); err != nil {
		return nil, err
	}
	if w.inbound, err = d.expected(ctx); err != nil {
		return nil, err
	}
	w.reached, err = d.reachedStations(ctx, w.letters)
	return w, err
}

// ready works out what any plan of the watch starts from: the prospect, unless it is there
// already, and energy and waking as they are before a call is planned.
func (w *watch) ready() (err error) {
	if w.pr == nil {
		if w.pr, err = prospectOf(w.home, w.directory, w.where, w.index, w.at, w.span); err != nil {
			return err
		}
	}
	w.energy()
	w.batteryFirst, w.wakeFirst = w.battery, w.wake
	return nil
}

// plan works the watch out.
func (w *watch) plan() (*PlanAnswer, error) {
	if err := w.ready(); err != nil {
		return nil, err
	}
	a := &PlanAnswer{At: w.at, HorizonH: w.span.Hours(), Calls: []CallAnswer{}, Messages: []MessageBound{}, Battery: []BatteryLevel{}, Excluded: []Exclusion{}, Notes: []string{}, Index: w.index}
	for i := range w.pr.Channels {
		if c := &w.pr.Channels[i]; c.Excluded != "" {
			a.Excluded = append(a.Excluded, Exclusion{c.Station.Name, c.MHz, c.Excluded})
		}
	}
	queues := w.together(w.queues())
	var alone []chan float64
	if !w.draft {
		alone = w.alone(queues)
	}
	for _, q := range queues {
		w.solve(q, a)
	}
	slices.SortStableFunc(a.Calls, func(x, y CallAnswer) int { return x.Start.Compare(y.Start) })
	w.bounds(a)
	if len(w.solved) > 0 { // the first had everything
		a.ValueBound = w.solved[0].policy.Value()
	}
	for _, v := range alone {
		a.ValueBound += <-v
	}
	for t, wh := range w.levels {
		if w.home.Battery.Limited() {
			a.Battery = append(a.Battery, BatteryLevel{w.pr.Start.Add(time.Duration(t) * forecast.Slot), round(wh)})
		}
	}
	a.ExpectedValue, a.ValueBound = round(a.ExpectedValue), round(a.ValueBound)
	if !w.draft && len(a.Calls) > 0 && len(a.Calls[0].Fallbacks) == 0 {
		a.Calls[0].Again = w.unanswered(a.Calls[0])
	}
	a.Sentence = sentence(a, w.at)
	if at, ok := w.drained(); ok && len(a.Calls)+len(a.Bearer) == 0 && len(a.Messages) > 0 {
		a.Sentence = fmt.Sprintf("Rest: the load alone takes the battery to its reserve at %s, and nothing is left for calls.", at.Format("15:04"))
	}
	if w.index.Note != "" {
		a.Notes = append(a.Notes, w.index.Note)
	}
	if at, ok := w.drained(); ok {
		a.Notes = append(a.Notes, fmt.Sprintf("the load alone takes the battery under its reserve at %s, so no call is planned that would bring that nearer: charge, switch something off, or give a lower reserve", at.Format("Mon 15:04")))
	}
	return a, nil
}

// A watch is a plan being made.
type watch struct {
	home      *station.Home
	directory *station.Directory
	where     func(time.Time) earth.Point // nil: it does not move
	at        time.Time
	span      time.Duration
	index     IndexAnswer
	pr        *forecast.Prospect
	past      past
	letters   []Letter
	reached   map[string][]string // message → stations that have it already
	inbound   map[string]unit.Bytes

	battery plan.Battery
	wake    []float64
	who     []string // per slot: whom that price wakes
	// as they were before any queue was planned
	batteryFirst plan.Battery
	wakeFirst    []float64
	levels       []float64 // of the battery as planned so far
	chances      map[string][]float64
	shares       map[string][]float64 // of a message to several: the sum of their chances
	takers       map[string][]string
	solved       []solved

	draft    bool                                   // only chances and worth are asked of it
	foreseen map[string]func() (*PlanAnswer, error) // by message: the plan with the first cut of its picture
}

// solved is one queue's policy and what it leads to.
type solved struct {
	q      queue
	policy *plan.Policy
	kept   []Letter
	steps  []plan.Step
}

// energy works out the battery's course without calls, and the price of waking.
func (w *watch) energy() {
	h, slots := w.home, w.pr.Slots
	w.wake, w.who = nil, nil
	w.battery = plan.Battery{Price: h.Prices.EnergyPerWh, Doubling: h.Prices.Doubling, Drift: make([]float64, slots)}
	if h.Battery.Limited() {
		full := h.Battery.Energy().Wh()
		w.battery.Capacity, w.battery.Reserve, w.battery.Now = full, full*h.Battery.Reserve, full*h.Battery.Charge
	}
	for t := range slots {
		mid := w.pr.Start.Add(time.Duration(t)*forecast.Slot + forecast.Slot/2)
		wh := -(h.Consumption.Receive + h.Consumption.Other).Over(forecast.Slot).Wh()
		at := h.Position
		if w.where != nil {
			at = w.where(mid)
		}
		wh += charging(h.Solar.Panels, h.Solar.Each, at, mid).Over(forecast.Slot).Wh()
		if h.Generator.Hours.At(mid) {
			wh += h.Generator.Power.Over(forecast.Slot).Wh()
		}
		w.battery.Drift[t] = wh
		price, who, ok := h.WakePrice(mid)
		if !ok {
			price = math.Inf(1)
		}
		w.wake, w.who = append(w.wake, price), append(w.who, who)
	}
	w.levels = make([]float64, slots+1)
	w.levels[0] = w.battery.Now
	for t := range slots {
		w.levels[t+1] = min(max(w.levels[t]+w.battery.Drift[t], 0), w.battery.Capacity)
	}
}

// drained is when the battery falls under its reserve although nobody is called.
func (w *watch) drained() (time.Time, bool) {
	level := w.batteryFirst.Now
	if !w.home.Battery.Limited() {
		return time.Time{}, false
	}
	for t, d := range w.batteryFirst.Drift {
		if level = min(level+d, w.batteryFirst.Capacity); level < w.batteryFirst.Reserve {
			return w.pr.Start.Add(time.Duration(t+1) * forecast.Slot), true
		}
	}
	return time.Time{}, false
}

// charging is what panels give: proportional to the sine of the Sun's height.
func charging(panels int, each unit.Power, at earth.Point, t time.Time) unit.Power {
	sun := earth.SunOn(t.Year(), int(t.Month()), t.Day())
	c := sun.CosZenith(at, float64(t.Hour())+float64(t.Minute())/60)
	return unit.Power(float64(panels) * each.W() * max(c, 0))
}

// A queue is the messages one group of stations takes.
type queue struct {
	letters  []Letter
	channels []int // of the prospect
	names    []string
	parts    []queue // queues planned together; nil: it is one
}

// together makes one problem of all queues while that is small: exact, where one after
// another is not.
func (w *watch) together(queues []queue) []queue {
	var all queue
	places := 1
	for _, q := range queues {
		p, _ := w.problem(q)
		if len(p.Items) == 0 {
			continue
		}
		if places *= len(p.Items) + 1; places > plan.Small {
			return queues
		}
		all.parts, all.channels, all.names = append(all.parts, q), append(all.channels, q.channels...), append(all.names, q.names...)
	}
	if len(all.parts) < 2 {
		return queues
	}
	return []queue{all}
}

// joint is the problem of queues that are planned together.
func (w *watch) joint(parts []queue) (*plan.Problem, []Letter) {
	var all *plan.Problem
	var kept []Letter
	stations := 0 // no station is in two queues
	for _, q := range parts {
		p, letters := w.problem(q)
		kept = append(kept, letters...)
		next := stations
		for i := range p.Channels {
			p.Channels[i].Station += stations
			next = max(next, p.Channels[i].Station+1)
		}
		if stations = next; all == nil {
			all = p
		} else {
			all.Join(p)
		}
	}
	return all, kept
}

// queues divides the traffic: what a peer alone takes goes to that peer, the rest to
// all gateways together. A message to several peers stands in each one's queue until
// that peer has it.
func (w *watch) queues() []queue {
	var gate queue
	peers := map[string]*queue{}
	var names []string
	for i := range w.pr.Channels {
		c := &w.pr.Channels[i]
		name := c.Station.Name
		if c.Station.TakesAll() {
			if !slices.Contains(gate.names, name) {
				gate.names = append(gate.names, name)
			}
			if c.Excluded == "" {
				gate.channels = append(gate.channels, i)
			}
			continue
		}
		if peers[name] == nil {
			peers[name] = &queue{names: []string{name}}
			names = append(names, name)
		}
		if c.Excluded == "" {
			peers[name].channels = append(peers[name].channels, i)
		}
	}
	w.takers = map[string][]string{}
	for _, l := range w.letters {
		others := false
		for _, to := range l.To {
			peer := ""
			if s, ok := w.directory.Peer(to); ok && peers[s.Name] != nil {
				peer = s.Name
			}
			switch {
			case peer == "":
				others = true
			case !slices.Contains(w.reached[l.ID], peer) && !slices.Contains(w.takers[l.ID], peer):
				peers[peer].letters = append(peers[peer].letters, l)
				w.takers[l.ID] = append(w.takers[l.ID], peer)
			}
		}
		if others && len(gate.names) > 0 {
			gate.letters = append(gate.letters, l)
			w.takers[l.ID] = append(w.takers[l.ID], gate.names...)
		}
	}
	out := []queue{gate}
	for _, n := range names {
		out = append(out, *peers[n])
	}
	// Each queue takes its slots from those that come after: the most urgent goes first.
	slices.SortStableFunc(out, func(a, b queue) int {
		if len(a.letters) == 0 || len(b.letters) == 0 {
			return len(b.letters) - len(a.letters)
		}
		return order(&a.letters[0], &b.letters[0])
	})
	return out
}

// problem puts a queue as the planner wants it, and says which letters stand in it; none
// when there is nothing to send or nobody to send it to.
func (w *watch) problem(q queue) (*plan.Problem, []Letter) {
	if q.parts != nil {
		return w.joint(q.parts)
	}
	waiting := slices.ContainsFunc(q.names, func(n string) bool { return w.inbound[n] > 0 })
	p := &plan.Problem{}
	if len(q.letters) == 0 && !waiting || len(q.channels) == 0 {
		return p, nil
	}
	h := w.home
	p = &plan.Problem{Slots: w.pr.Slots, Wake: w.wake, Battery: w.battery, Prior: w.past.prior, Minutes: callMinutes,
		Draw: w.draw()}
	stations := map[string]int{}
	for _, i := range q.channels {
		c := &w.pr.Channels[i]
		id, ok := stations[c.Station.Name]
		if !ok {
			id = len(stations)
			stations[c.Station.Name] = id
		}
		p.Channels = append(p.Channels, plan.Channel{Station: id, Free: w.past.free(c.Station.Name),
			Later: w.past.belief.FreeFrom(c.Station.Name, w.pr.Start, w.pr.Slots), Cells: c.Cells})
	}
	var kept []Letter
	for _, l := range q.letters {
		item := plan.Item{Bytes: float64(l.BytesOnAir), Worth: w.worth(&l)}
		if h.Bearer.Has() {
			item.Bearer = max(h.Bearer.PricePerKB*l.BytesOnAir.KB(), 1e-9)
		}
		p.Items = append(p.Items, item)
		kept = append(kept, l)
	}
	for _, name := range q.names {
		if in := w.inbound[name]; in > 0 {
			// What waits there is one more thing to carry, last in the queue: routine worth.
			item := plan.Item{Bytes: float64(in), Worth: make([]float64, p.Slots)}
			for t := range item.Worth {
				item.Worth[t] = traffic.Worth(traffic.Routine, w.at, time.Time{}, w.pr.Start.Add(time.Duration(t+1)*forecast.Slot), w.weights())
			}
			p.Items = append(p.Items, item)
			kept = append(kept, Letter{ID: inboundID + name})
		}
	}
	return w.fitting(p, kept)
}

// solve plans one queue and takes its calls' slots and energy from what is left.
func (w *watch) solve(q queue, a *PlanAnswer) {
	p, kept := w.problem(q)
	if len(p.Items) == 0 {
		return
	}
	s := plan.Solve(p, plan.DefaultGrid)
	played := s.Rehearse(rehearsals, rand.New(rand.NewPCG(1, uint64(w.pr.Start.Unix()))))
	a.ExpectedValue += played.Worth
	chances := played.Delivered
	if w.chances == nil {
		w.chances, w.shares = map[string][]float64{}, map[string][]float64{}
	}
	for m, l := range kept {
		if old, ok := w.chances[l.ID]; ok { // to several: all of them must have it
			if w.shares[l.ID] == nil {
				w.shares[l.ID] = slices.Clone(old)
			}
			for t := range old {
				w.shares[l.ID][t] += chances[m][t]
				old[t] *= chances[m][t]
			}
		} else {
			w.chances[l.ID] = chances[m]
		}
	}
	steps, _ := s.Follow()
	w.solved = append(w.solved, solved{q, s, kept, steps})
	var used float64
	for _, st := range steps {
		if st.Action.ByBearer() {
			at := w.pr.Start.Add(time.Duration(st.Slot) * forecast.Slot)
			if at.Before(w.at) {
				at = w.at
			}
			a.Bearer = append(a.Bearer, BearerAnswer{at, w.home.Bearer.Name, kept[st.From].ID, round(p.Items[st.From].Bearer)})
			continue
		}
		a.Calls = append(a.Calls, w.call(q, st, kept))
		w.wake = slices.Clone(w.wake)
		w.wake[st.Slot] = math.Inf(1) // one call a slot
		used = st.Energy
		w.battery.Drift = slices.Clone(w.battery.Drift)
		w.battery.Drift[st.Slot] -= used
		for t := st.Slot + 1; t < len(w.levels); t++ {
			w.levels[t] = min(max(w.levels[t-1]+w.battery.Drift[t-1], 0), w.battery.Capacity)
		}
	}
}

// weights are what the home file makes a message worth.
func (w *watch) weights() traffic.Weights {
	p := w.home.Prices
	return traffic.Weights{Routine: p.Routine, Priority: p.Priority, Immediate: p.Immediate, Flash: p.Flash, HalfLife: p.Halving}
}

// draw is what calling takes above listening, W.
func (w *watch) draw() float64 {
	return w.home.Consumption.AboveListening().W()
}

// worth is what a letter earns when it is delivered in each slot.
func (w *watch) worth(l *Letter) []float64 {
	pr, _ := traffic.ParsePrecedence(l.Precedence)
	var due time.Time
	if l.Deadline != nil {
		due = *l.Deadline
	}
	out := make([]float64, w.pr.Slots)
	for t := range out {
		out[t] = traffic.Worth(pr, l.QueuedAt, due, w.pr.Start.Add(time.Duration(t+1)*forecast.Slot), w.weights())
	}
	return out
}

// alone works out, beside everything else, what each queue would be worth if it had the
// whole watch and battery to itself; but for the first, which has. Their sum bounds what
// any plan of all of them together can be worth; the queues are planned one after another,
// so theirs falls short by what they take from each other.
func (w *watch) alone(queues []queue) (values []chan float64) {
	first := true
	for _, q := range queues {
		p, _ := w.problem(q)
		if len(p.Items) == 0 {
			continue
		}
		if first {
			first = false
			continue
		}
		v := make(chan float64, 1)
		values = append(values, v)
		go func() { v <- plan.Solve(p, plan.DefaultGrid).Value() }()
	}
	return values
}

// fitting leaves out messages too large for the best the coming watch could carry: they
// would stand in the way of everything behind them.
func (w *watch) fitting(p *plan.Problem, letters []Letter) (*plan.Problem, []Letter) {
	most := 0.0
	for t := range p.Slots {
		best := 0.0
		for _, c := range p.Channels {
			if !math.IsInf(p.Wake[t], 1) && c.Cells[t].Open {
				for _, r := range c.Cells[t].Rate[forecast.States-1] {
					best = max(best, r*callMinutes[len(callMinutes)-1])
				}
			}
		}
		most = max(most, best)
	}
	q := *p
	q.Items = nil
	var kept []Letter
	for i, it := range p.Items {
		if it.Worth[0] <= 0 { // its deadline has passed
			continue
		}
		if it.Bytes <= most || it.Bearer > 0 && it.Worth[0] > it.Bearer {
			q.Items = append(q.Items, it)
			kept = append(kept, letters[i])
		}
	}
	return &q, kept
}

// call turns a step into words and figures.
func (w *watch) call(q queue, st plan.Step, kept []Letter) CallAnswer {
	c := &w.pr.Channels[q.channels[st.Action.Call]]
	cell := &c.Cells[st.Slot]
	start := w.pr.Start.Add(time.Duration(st.Slot) * forecast.Slot)
	if start.Before(w.at) {
		start = w.at
	}
	hour := c.At(w.pr.Start.Add(time.Duration(st.Slot)*forecast.Slot + forecast.Slot/2))
	out := CallAnswer{Start: start, Minutes: round(st.Minutes), AtMostMinutes: st.Limit, Station: c.Station.Name, MHz: c.MHz,
		Waveform: c.Links[cell.Link].Waveform, HeadingDeg: round(hour.Heading.Deg()), DistanceKm: math.Round(hour.Distance.Km()),
		Connect: round(st.Connect), ExpectedBytes: math.Round(st.Bytes), EnergyWh: round(st.Energy), Messages: []string{}, Fallbacks: []FallbackAnswer{}}
	for m := st.From; m < st.To; m++ {
		if name, in := strings.CutPrefix(kept[m].ID, inboundID); in {
			out.ExpectedIn += float64(w.inbound[name])
		} else {
			out.Messages = append(out.Messages, kept[m].ID)
		}
	}
	out.connectByState, out.free = cell.Connect, w.past.free(c.Station.Name)
	out.Why = w.why(c, st.Slot)
	out.Wake = w.who[st.Slot]
	if st.Action.Fallback >= 0 {
		f := &w.pr.Channels[q.channels[st.Action.Fallback]]
		out.Fallbacks = append(out.Fallbacks, FallbackAnswer{Station: f.Station.Name, MHz: f.MHz, Waveform: f.Links[f.Cells[st.Slot].Link].Waveform,
			HeadingDeg: round(f.Heading.Deg()), Connect: round(st.FallbackConnect), ExpectedBytes: math.Round(st.FallbackBytes), Because: because(c, f, st.Slot)})
	}
	return out
}

// why says in a sentence what carries the call.
func (w *watch) why(c *forecast.Channel, slot int) string {
	d := c.At(w.pr.Start.Add(time.Duration(slot)*forecast.Slot + forecast.Slot/2))
	if d.HasGround {
		switch d.MixOut.Region {
		case ground.GroundAlone:
			return fmt.Sprintf("ground wave over %.0f km; SNR %.0f dB out, %.0f dB in", c.Distance.Km(), d.Out.SNR, d.In.SNR)
		case ground.Fading, ground.SevereFading:
			return fmt.Sprintf("ground wave and %s %.0f dB apart, fading against each other; SNR %.0f dB out, %.0f dB in", d.Out.Mode, math.Abs(d.MixOut.KDB), d.Out.SNR, d.In.SNR)
		}
	}
	return fmt.Sprintf("%s, MUF %.1f MHz (%.0f %% of it); SNR %.0f dB out, %.0f dB in, in 3 kHz", d.Out.Mode, d.BasicMUF, 100*c.MHz/d.BasicMUF, d.Out.SNR, d.In.SNR)
}

// because says what a failure on one channel means for the other.
func because(c, f *forecast.Channel, slot int) string {
	switch {
	case c.Station == f.Station && f.MHz < c.MHz:
		return "same station, lower: a failure there means the sky may be below the forecast"
	case c.Station == f.Station:
		return "same station, another channel"
	case f.Cells[slot].Connect[0]/max(f.Cells[slot].Connect[2], 1e-9) > c.Cells[slot].Connect[0]/max(c.Cells[slot].Connect[2], 1e-9):
		return "another station, surer if the sky is below the forecast"
	}
	return "another station: the first may be absent or busy"
}

// bounds lists every message with its chance to be through in time.
func (w *watch) bounds(a *PlanAnswer) {
	for _, l := range w.letters {
		m := MessageBound{ID: l.ID, Precedence: l.Precedence, Subject: l.Subject, BytesOnAir: l.BytesOnAir, Deadline: l.Deadline, By: strings.Join(w.takers[l.ID], ", ")}
		if ch, ok := w.chances[l.ID]; ok {
			last := len(ch) - 1
			if l.Deadline != nil {
				last = min(last, int(l.Deadline.Sub(w.pr.Start)/forecast.Slot)-1)
			}
			if last >= 0 {
				m.Probability = round(ch[last])
				if several, ok := w.shares[l.ID]; ok {
					m.Stations = round(several[last])
				}
			}
		} else if len(w.takers[l.ID]) == 0 {
			m.Note = "no station in the directory takes it"
		} else if l.Deadline != nil && !l.Deadline.After(w.at) {
			m.Note = "its deadline has passed"
		} else if w.worth(&l)[0] <= 0 {
			m.Note = "its deadline passes before a call begun now is through"
		} else if !w.listens(w.takers[l.ID]) {
			m.Note = "no station that takes it can be called while somebody is on watch or may be woken"
		} else {
			m.Note = "more than the best channel of the watch carries in one call"
		}
		a.Messages = append(a.Messages, m)
	}
}

// listens says whether any of some stations may be called in the watch at all.
func (w *watch) listens(names []string) bool {
	for i := range w.pr.Channels {
		c := &w.pr.Channels[i]
		if c.Excluded != "" || !slices.Contains(names, c.Station.Name) {
			continue
		}
		for t := range c.Cells {
			if c.Cells[t].Open && !math.IsInf(w.wakeFirst[t], 1) {
				return true
			}
		}
	}
	return false
}

// sentence is the plan in one sentence: the next call, or why there is none.
func sentence(a *PlanAnswer, at time.Time) string {
	if len(a.Calls) == 0 {
		if len(a.Messages) == 0 {
			return "Nothing to send."
		}
		if n := len(a.Bearer); n > 0 {
			return fmt.Sprintf("No call: %d of %d messages go by %s, the first at %s.", n, len(a.Messages), a.Bearer[0].Bearer, a.Bearer[0].At.Format("15:04"))
		}
		return fmt.Sprintf("Rest: no call in the next %.0f hours is worth what it costs.", a.HorizonH)
	}
	c := &a.Calls[0]
	when := "Now"
	if c.Start.Sub(at) > time.Minute {
		when = "At " + c.Start.Format("15:04")
		switch c.Start.YearDay() {
		case at.YearDay():
		case at.AddDate(0, 0, 1).YearDay():
			when += " tomorrow"
		default:
			when += c.Start.Format(" on Monday")
		}
	}
	if c.Wake != "" {
		when += " wake " + c.Wake + " and"
	}
	s := fmt.Sprintf("%s call %s on %s kHz, point %03.0f°: %s to connect, %s in about %s.",
		when, c.Station, KHz(c.MHz), math.Mod(math.Round(c.HeadingDeg), 360), Chance(c.Connect), kB(c.ExpectedBytes), lasting(c.Minutes))
	if len(c.Fallbacks) > 0 {
		f := c.Fallbacks[0]
		if f.Station == c.Station {
			s += fmt.Sprintf(" No answer? Same station, %s.", KHz(f.MHz))
		} else {
			s += fmt.Sprintf(" No answer? %s, %s.", f.Station, KHz(f.MHz))
		}
	} else if c.Again != nil {
		s += " No answer? " + c.Again.Words(c) + "."
	}
	return s
}

// unanswered plans a call's queue again as if nobody had answered it: the call that would
// follow; nil: none.
func (w *watch) unanswered(c CallAnswer) *AgainAnswer {
	sv, st, ok := w.stepOf(c)
	if !ok {
		return nil
	}
	then := *w
	then.past.belief = w.past.belief.Clone()
	then.past.belief.Learn(c.Station, c.Start, c.connectByState, forecast.Silence)
	then.past.at = c.Start
	then.past.prior = then.past.belief.Sky(c.Start)
	then.wake, then.battery = slices.Clone(w.wakeFirst), w.batteryFirst
	for t := range st.Slot + 1 {
		then.wake[t] = math.Inf(1)
	}
	p, _ := then.problem(sv.q)
	if len(p.Items) == 0 {
		return nil
	}
	steps, _ := plan.Solve(p, plan.DefaultGrid).Follow()
	for _, next := range steps {
		if !next.Action.ByBearer() {
			ch := &w.pr.Channels[sv.q.channels[next.Action.Call]]
			return &AgainAnswer{w.pr.Start.Add(time.Duration(next.Slot) * forecast.Slot), ch.Station.Name, ch.MHz}
		}
	}
	return nil
}

// Words says in a few what follows a call that nobody answered.
func (n *AgainAnswer) Words(c *CallAnswer) string {
	at := n.Start.Format("15:04")
	if n.Start.YearDay() != c.Start.YearDay() {
		at = n.Start.Format("15:04 on Monday")
	}
	if n.Station == c.Station {
		return fmt.Sprintf("Again at %s, %s", at, KHz(n.MHz))
	}
	return fmt.Sprintf("At %s %s, %s", at, n.Station, KHz(n.MHz))
}

// KHz writes a frequency as the trade does: 12 604.5.
func KHz(mhz float64) string {
	t := int(math.Round(mhz * 1e4))
	k := t / 10
	if k >= 1000 {
		return fmt.Sprintf("%d %03d.%d", k/1000, k%1000, t%10)
	}
	return fmt.Sprintf("%d.%d", k, t%10)
}

func lasting(m float64) string {
	if m <= 1 {
		return "a minute"
	}
	return fmt.Sprintf("%.0f minutes", math.Ceil(m))
}

// Chance writes a probability in words: 7 in 10.
func Chance(p float64) string {
	switch n := math.Round(p * 10); {
	case n >= 10:
		return "nearly sure"
	case n < 1:
		return "under 1 in 10"
	default:
		return fmt.Sprintf("%.0f in 10", n)
	}
}

func kB(bytes float64) string {
	if bytes < 10_000 {
		return fmt.Sprintf("%.1f kB", bytes/1000)
	}
	return fmt.Sprintf("%.0f kB", bytes/1000)
}

// past is what the log of the last hours says of the sky and of each station.
type past struct {
	prior  [forecast.States]float64
	belief *forecast.Belief
	at     time.Time
}

func (p past) free(station string) float64 { return p.belief.Free(station, p.at) }

// promised is what the log keeps of a forecast, for the next plan to learn from.
type promised struct {
	ByState [forecast.States]float64 `json:"connect_by_state"`
	Free    float64                  `json:"free"`
	MUF     float64                  `json:"basic_muf_mhz"`
	SNROut  float64                  `json:"snr_out_db"`
	SNRIn   float64                  `json:"snr_in_db"`
}

// pastOf reads the recent log: each attempt moves the belief about the day's sky and
// about the station called.
func (d *Desk) pastOf(ctx context.Context, at time.Time) (past, error) {
	p := past{belief: forecast.NewBelief(), at: at}
	entries, err := d.DB.Entries(ctx, EntriesSince(at.Add(-2*forecast.Memory)))
	if err != nil {
		return p, err
	}
	book, err := logbook.Fold(entries)
	if err != nil {
		return p, err
	}
	var calls []logbook.Entry
	for row := range book.Standing() {
		if e := row.Entry; e.Attempt != nil && !e.At.After(at) && e.Attempt.Promised != nil {
			calls = append(calls, e)
		}
	}
	slices.SortStableFunc(calls, func(a, b logbook.Entry) int { return a.At.Compare(b.At) })
	for _, e := range calls {
		var f promised
		if json.Unmarshal(e.Attempt.Promised.Full, &f) != nil || f.Free <= 0 {
			continue
		}
		what := forecast.Silence
		switch e.Attempt.Outcome {
		case logbook.Connected, logbook.BrokenOff:
			what = forecast.Reached
		case logbook.Busy:
			what = forecast.Engaged
		}
		p.belief.Learn(e.Attempt.Station, e.At, f.ByState, what)
	}
	p.prior = p.belief.Sky(at)
	return p, nil
}
