package logbook

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"time"

	"farhail/hf/earth"
	"farhail/unit"
)

// Outcome is how an attempt to link ended.
type Outcome string

const (
	Connected Outcome = "connected"
	NoAnswer  Outcome = "no answer"
	Busy      Outcome = "busy"       // the far station was heard working another
	BrokenOff Outcome = "broken off" // connected, then lost; acknowledged messages count
)

// Heard is the answer of a listening check.
type Heard string

const (
	Clear    Heard = "heard"
	Faint    Heard = "faint"
	NotHeard Heard = "not heard"
)

// Entry is one line of the log. Exactly one of Attempt, Listening and Strike is set.
type Entry struct {
	ID      string
	At      time.Time // UTC: when it began; for a strike, when it was struck
	Written time.Time // UTC: when the line was written down

	Attempt   *Attempt
	Listening *Listening
	Strike    *Strike
}

// Attempt is one call to a far station, whatever came of it.
type Attempt struct {
	Station   string
	Freq      unit.Freq // centre of the channel
	Waveform  string    // empty: not known
	Outcome   Outcome
	Out, In   unit.Bytes // traffic through, from us and to us
	Took      time.Duration
	SNROut    *unit.DB   // at the far receiver, in 3 kHz; nil: not known
	SNRIn     *unit.DB   // at our receiver, in 3 kHz; nil: not known
	Power     unit.Power // 0: not known
	Position  *earth.Point
	Delivered []string // ids of the messages that got through whole
	Promised  *Forecast
	Remark    string
}

// Listening is a check of whether a station is to be heard, without calling it.
type Listening struct {
	Station  string
	Freq     unit.Freq
	Heard    Heard
	SNR      *unit.DB // in 3 kHz; nil: not known
	Position *earth.Point
	Promised *Forecast
	Remark   string
}

// Forecast is what the desk promised at the time, kept beside what happened so
// that its honesty can be judged later.
type Forecast struct {
	Chance float64    // to connect, or to be heard; 0…1
	Bytes  unit.Bytes // expected through, both ways
	Index  string     // solar index believed, "IG12" or "R12"
	Value  float64    // its value
	Full   json.RawMessage
}

// Strike strikes out an earlier entry. The struck entry stays legible.
type Strike struct {
	Of     string // its id
	Reason string
}

// Kind returns "attempt", "listening" or "strike".
func (e Entry) Kind() string {
	switch {
	case e.Attempt != nil:
		return "attempt"
	case e.Listening != nil:
		return "listening"
	}
	return "strike"
}

// NewID returns an id for an entry written at t: the minute, and four consonants
// for what else is written in that minute, here or at another station of a net.
// They sort by time and can be read out over the air.
func NewID(t time.Time, r *rand.Rand) string {
	const consonants = "bcdfghjkmnpqrstvwxz"
	var tail [4]byte
	for i := range tail {
		tail[i] = consonants[r.IntN(len(consonants))]
	}
	return fmt.Sprintf("%s-%s", t.UTC().Format("060102-1504"), tail[:])
}
