package station

import (
	"time"

	"farhail/hf/antenna"
	"farhail/hf/earth"
	"farhail/unit"
)

// Environment is a category of man-made noise of ITU-R P.372.
type Environment string

const (
	City        Environment = "city"
	Residential Environment = "residential"
	Rural       Environment = "rural"
	QuietRural  Environment = "quiet-rural"
)

var environments = []string{string(City), string(Residential), string(Rural), string(QuietRural)}

// Home is our own station.
type Home struct {
	Name     string
	Call     string
	Position earth.Point
	Track    string // file of a track, beside the home file; empty: it stays at Position

	Power     unit.Power // that the transmitter gives to the feeder
	Waveforms []string   // what the modem can do

	Antenna     antenna.Spec
	FeederLoss  unit.DB
	NoiseFigure unit.DB // of the receiver
	Noise       Noise

	Battery     Battery
	Consumption Consumption
	Solar       Solar
	Generator   Generator

	Watch   Spans
	Wake    []Wake
	Permits []Permit
	Prices  Prices
	Rules   []Rule
	Bearer  Bearer

	where places
}

// Noise is what the receiver hears besides the sky: a category of P.372 and,
// where the operator has read them off the receiver, levels that stand above it.
type Noise struct {
	Environment Environment
	Measured    []NoiseLevel
}

// Battery is what runs the station. Capacity zero means a supply without end
// (mains, a running engine): nothing needs to be saved.
type Battery struct {
	Voltage  unit.Voltage
	Capacity unit.Charge
	Reserve  float64 // share of the capacity that is never used, 0…1
	Charge   float64 // share in it now, 0…1
}

// Limited says whether there is a battery to look after.
func (b Battery) Limited() bool { return b.Capacity > 0 }

// Energy returns what the full battery holds.
func (b Battery) Energy() unit.Energy { return b.Capacity.At(b.Voltage) }

// Consumption is what is drawn from the battery.
type Consumption struct {
	Receive  unit.Power // the radio listening
	Transmit unit.Power // the radio while the carrier is up
	Duty     float64    // share of a call in which it is up, 0…1
	Other    unit.Power // everything else aboard, day and night
}

// Calling returns the mean drawn by the radio during a call.
func (c Consumption) Calling() unit.Power {
	return unit.Power(c.Duty)*c.Transmit + unit.Power(1-c.Duty)*c.Receive
}

// AboveListening returns what a call draws on top of listening.
func (c Consumption) AboveListening() unit.Power { return c.Calling() - c.Receive }

// Solar is a set of panels: together they give Panels × Each × the sine of the
// sun's height, and nothing at night.
type Solar struct {
	Panels int
	Each   unit.Power
}

// Generator charges the battery at a constant power in its hours.
type Generator struct {
	Power unit.Power
	Hours Spans
}

// Wake is somebody who may be called to the radio outside the watch.
type Wake struct {
	Who   string
	Hours Spans
	Price float64 // in the planner's measure of value (Prices)
}

// Permit is a segment of the spectrum that our licence lets us use.
type Permit struct {
	From, To  unit.Freq
	Bandwidth unit.Freq  // widest emission
	Power     unit.Power // most into the antenna
	Emissions []string   // designators of the Radio Regulations, none: any
	Note      string
	At        Place
}

// Prices say what the planner weighs: the worth of a message delivered, and what
// energy and sleep cost in the same measure.
type Prices struct {
	Flash, Immediate, Priority, Routine float64

	Halving     time.Duration // a message without a deadline is worth half after this
	EnergyPerWh float64       // with a full battery
	Doubling    float64       // the price of energy doubles with each such share of capacity gone
	Waking      float64       // of somebody who states no price of their own
}

// Rule gives messages a precedence or a deadline by who they are from or to and
// what their subject contains. Patterns are without regard to case; * stands for
// anything. The first rule that fits and speaks of it is taken.
type Rule struct {
	From, To, Subject string        // empty: any
	Precedence        string        // flash, immediate, priority, routine; empty: as it is
	Deadline          time.Duration // after the mail was written; zero: as it is
	At                Place
}

var precedences = []string{"flash", "immediate", "priority", "routine"}

// DefaultHome returns a home with the values of what a file need not say. Name,
// call sign, position, power, waveforms and antenna have none.
//
// Source: prices are ours; a noise figure of 15 dB and residential noise are
// common practice for a station nobody has measured.
func DefaultHome() Home {
	return Home{
		NoiseFigure: 15,
		Noise:       Noise{Environment: Residential},
		Consumption: Consumption{Duty: 0.5},
		Watch:       Always(),
		Prices: Prices{
			Flash: 64, Immediate: 16, Priority: 4, Routine: 1,
			Halving: 48 * time.Hour, EnergyPerWh: 0.01, Doubling: 0.1, Waking: 2,
		},
	}
}

// OnWatch says whether somebody is at the radio.
func (h *Home) OnWatch(t time.Time) bool { return h.Watch.At(t) }

// WakePrice returns what it costs to have somebody at the radio at a moment and
// who that is: nothing on watch, else the cheapest who may be woken; ok is false
// when nobody may.
func (h *Home) WakePrice(t time.Time) (price float64, who string, ok bool) {
	if h.OnWatch(t) {
		return 0, "", true
	}
	for _, w := range h.Wake {
		if w.Hours.At(t) && (!ok || w.Price < price) {
			price, who, ok = w.Price, w.Who, true
		}
	}
	return price, who, ok
}

// Where returns the place of a field in the file the home was read from,
// "battery.charge", as far as it was written there.
func (h *Home) Where(field string) (Place, bool) {
	p, ok := h.where[field]
	return p, ok
}

// Bearer is another way to send that never fails but costs, such as a satellite
// terminal. The zero value is none.
type Bearer struct {
	Name       string
	PricePerKB float64 // in the planner's measure of value (Prices)
}

// Has says whether there is one.
func (b Bearer) Has() bool { return b.Name != "" }
