package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"farhail/forecast"
	"farhail/logbook"
	"farhail/station"
)

// callingSetting keeps the call under way, as JSON; empty: none.
const callingSetting = "calling"

// A Calling is a call that the operator said was begun, with what counting it needs. The
// store keeps it until an answer is logged, so that a page loaded again, a page beside it
// and every command count the same call. Farhail keys nothing: it only counts.
type Calling struct {
	Call    CallAnswer `json:"call"` // as planned; of a channel the plan does not name, as it would be
	Began   time.Time  `json:"began"`
	Since   time.Time  `json:"since"`     // the same by the computer's clock: a demo world's stands still
	Tries   int        `json:"tries"`     // after which to give up
	TryS    float64    `json:"try_s"`     // seconds a try takes that nobody answers
	DrawW   float64    `json:"draw_w"`    // above listening, the mean over a call
	Elapsed float64    `json:"elapsed_s"` // when it was asked for
}

// forgotten is how long after its time a call that was never answered for stops to count.
const forgotten = time.Hour

// Calling is the call under way; nil when there is none.
func (d *Desk) Calling(ctx context.Context) (*Calling, error) {
	s, ok, err := d.DB.Setting(ctx, callingSetting)
	if err != nil || !ok || s == "" {
		return nil, err
	}
	c := &Calling{}
	if err := json.Unmarshal([]byte(s), c); err != nil {
		return nil, fmt.Errorf("read the call under way: %w", err)
	}
	past := max(time.Since(c.Since), 0)
	if past > time.Duration(c.Call.AtMostMinutes*float64(time.Minute))+forgotten {
		return nil, nil
	}
	c.Elapsed = past.Seconds()
	return c, nil
}

// BeginCalling notes that a call on a channel begins now. What is planned of it is taken
// from the plan, when that names it.
func (d *Desk) BeginCalling(ctx context.Context, a *PlanAnswer, name string, mhz float64) (*Calling, error) {
	if c, err := d.Calling(ctx); err != nil {
		return nil, err
	} else if c != nil {
		return nil, &InputError{fmt.Sprintf("%s is being called since %s", c.Call.Station, c.Began.Format("15:04")), "say first what came of it, or that nobody is called"}
	}
	now := d.Now()
	ch, err := d.channel(ctx, name, mhz, now)
	if err != nil {
		return nil, err
	}
	if ch.Excluded != "" {
		return nil, &InputError{fmt.Sprintf("%s on %s kHz is not used: %s", ch.Station.Name, KHz(ch.MHz), ch.Excluded), "choose another channel"}
	}
	_, silent := ch.Calling.Try(ch.Distance)
	c := &Calling{Call: a.named(ch), Began: now, Since: time.Now().UTC(), Tries: ch.Calling.Tries,
		TryS: (silent.Sending + silent.Receiving).Seconds(), DrawW: d.Home.Consumption.AboveListening().W()}
	b, err := json.Marshal(c)
	if err != nil {
		return nil, fmt.Errorf("keep the call under way: %w", err)
	}
	return c, d.DB.SetSetting(ctx, callingSetting, string(b))
}

// StopCalling forgets the call under way: nothing is logged.
func (d *Desk) StopCalling(ctx context.Context) error {
	return d.DB.SetSetting(ctx, callingSetting, "")
}

// named is what the plan says of a channel: as a call, as the fallback of the first call,
// else only where it is and how long a call may last.
func (a *PlanAnswer) named(c *forecast.Channel) CallAnswer {
	out := CallAnswer{Station: c.Station.Name, MHz: c.MHz, HeadingDeg: round(c.Heading.Deg()), DistanceKm: math.Round(c.Distance.Km()),
		AtMostMinutes: callMinutes[len(callMinutes)-1], Messages: []string{}, Fallbacks: []FallbackAnswer{}}
	out.Minutes = out.AtMostMinutes
	for i, call := range a.Calls {
		if call.Station == out.Station && call.MHz == out.MHz {
			return call
		}
		for _, f := range call.Fallbacks {
			if i == 0 && f.Station == out.Station && f.MHz == out.MHz {
				out.Waveform, out.Connect, out.ExpectedBytes = f.Waveform, f.Connect, f.ExpectedBytes
			}
		}
	}
	return out
}

// channel works one channel out for the slot of a moment.
func (d *Desk) channel(ctx context.Context, name string, mhz float64, at time.Time) (*forecast.Channel, error) {
	s, err := d.station(name)
	if err != nil {
		return nil, err
	}
	index, err := d.believed(ctx, d.Now())
	if err != nil {
		return nil, err
	}
	pr, err := prospectOf(d.Home, &station.Directory{Stations: []station.Station{*s}}, d.where(), index, at, forecast.Slot)
	if err != nil {
		return nil, err
	}
	for i := range pr.Channels {
		if c := &pr.Channels[i]; math.Abs(c.MHz-mhz) < 5e-5 {
			return c, nil
		}
	}
	return nil, &MissingError{fmt.Sprintf("%s has no channel on %s kHz", s.Name, KHz(mhz)), "farhail stations lists them"}
}

// count gives an attempt the minutes of the call under way, when it is that call and the
// line gives neither a length nor a time; it says whether it is that call.
func (c *Calling) count(a *logbook.Attempt, at *time.Time, now time.Time) bool {
	if c == nil || a.Station != c.Call.Station || math.Abs(a.Freq.MHz()-c.Call.MHz) > 5e-4 {
		return false
	}
	if a.Took == 0 && at.Equal(now) {
		a.Took = max(time.Duration(math.Ceil(c.Elapsed/60)), 1) * time.Minute
		*at = c.Began
	}
	return true
}
