package report

import "time"

// A Card is a watch on paper: for when the computer is off. Everything on it comes in;
// times are UTC.
type Card struct {
	Name, Call, Position string
	At, Until            time.Time
	VariationDeg         float64 // of the compass, east positive
	Sunset, Sunrise      time.Time
	Battery              string // what is in it and what stays, in words
	Traffic              string // what waits, in words
	Sentence             string // the plan in a sentence; said large where there is no call

	Calls   []CardCall
	Also    []string // what is sent by another bearer
	Ribbon  *Ribbon
	Week    Week
	Assumed []string // what the chances rest on: index with source and age, noise, power
}

// CardCall is a call with what to do if it fails.
type CardCall struct {
	Start     time.Time
	Minutes   float64
	Station   string
	MHz       float64
	Waveform  string
	Bearing   Bearing
	Connect   float64
	EnergyWh  float64
	Messages  int
	First     string  // subject of the most urgent
	Bytes     float64 // expected to get through
	BytesIn   float64 // expected to wait there
	GiveUp    time.Time
	Fallbacks []CardFallback
}

// CardFallback is tried when nobody answered by the moment before.
type CardFallback struct {
	Station string
	MHz     float64
	Bearing Bearing
	Connect float64
}

// A Bearing is where to point. Overhead: the way goes straight up, and there is no
// bearing to speak of.
type Bearing struct {
	TrueDeg, CompassDeg float64
	Overhead            bool
}

// A Week is the windows of some stations over days from one midnight on.
type Week struct {
	From     time.Time
	Days     int
	Stations []WeekStation // by distance
	Chosen   bool          // the operator named them: all are printed, on as many leaves as it takes
}

// WeekStation is a station's channels; First and Last are its bearings on the first and
// the last day. Planned: the card's calls and fallbacks use it.
type WeekStation struct {
	Name        string
	First, Last Bearing
	Planned     bool
	Channels    []WeekChannel
}

// WeekChannel is when a channel is usable. A span may begin before the week and end
// after it.
type WeekChannel struct {
	MHz   float64
	Spans []Span
}

// A Span of time.
type Span struct{ From, To time.Time }

// A Size of paper.
type Size string

// A5 is a page a leaf; A4 is two leaves side by side, to be folded.
const (
	A5 Size = "a5"
	A4 Size = "a4"
)

// Sizes there are.
var Sizes = []Size{A5, A4}

// Cautions stand on every card.
var Cautions = []string{
	"Not a distress watch: in distress use the distress channels and your beacon.",
	"Farhail never transmits by itself; you do.",
	"A chance is not a promise: keep the fallback ready.",
	"Your licence decides; the desk only reads what you told it.",
}
