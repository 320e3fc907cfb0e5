package station

import (
	"fmt"
	"slices"
	"strings"

	"farhail/hf/earth"
	"farhail/unit"
)

// Bandwidth tells how wide the emission of a waveform is; ok is false for a name
// that the modem does not have.
type Bandwidth func(waveform string) (width unit.Freq, ok bool)

// Common returns the waveforms that home and channel both have, in home's order.
func Common(h *Home, c *Channel) []string {
	var out []string
	for _, w := range h.Waveforms {
		if slices.Contains(c.Waveforms, w) {
			out = append(out, w)
		}
	}
	return out
}

// Check holds home and directory against each other: what each file alone cannot
// know. Errors are what must not be planned with, a channel on a distress frequency
// or a waveform nobody has; warnings are what keeps a station from being called.
// The names are those that width knows.
func Check(h *Home, d *Directory, width Bandwidth, names []string) Faults {
	c := checker{h: h, width: width, names: names}
	c.home()
	for i := range d.Stations {
		c.station(&d.Stations[i])
	}
	return c.faults.sorted()
}

type checker struct {
	h      *Home
	width  Bandwidth
	names  []string
	faults Faults
}

func (c *checker) add(at Place, sev Severity, field, problem, hint string) {
	c.faults = append(c.faults, Fault{at.File, at.Line, at.Col, field, problem, hint, sev})
}

// at finds a field of the home file, or the file as a whole.
func (c *checker) at(field string) Place {
	if p, ok := c.h.Where(field); ok {
		return p
	}
	return Place{File: c.file()}
}

func (c *checker) file() string {
	for _, p := range c.h.where {
		return p.File
	}
	return "home"
}

func (c *checker) home() {
	h := c.h
	if len(h.Permits) == 0 {
		c.add(Place{File: c.file()}, Error, "permit", "there is no permit, so nobody may be called", "add [[permit]] with from, to, bandwidth and power from your licence")
	}
	c.unknown(h.Waveforms, c.at("transmitter.waveforms"), "transmitter.waveforms")
	if b := h.Battery; b.Limited() && b.Charge <= b.Reserve {
		c.add(c.at("battery.charge"), Warning, "battery.charge", fmt.Sprintf("%s is not above the reserve, %s", shareText(b.Charge), shareText(b.Reserve)), "no call will be planned until it is charged")
	}
	if h.Battery.Limited() && h.Consumption.Transmit < h.Power {
		c.add(c.at("consumption.transmit"), Warning, "consumption.transmit", fmt.Sprintf("%s drawn while sending is less than the %s sent", powerText(h.Consumption.Transmit), powerText(h.Power)), "measure the current with the carrier up")
	}
	for i, n := range h.Noise.Measured {
		if n.Meter != "" {
			c.add(c.at("noise.measured"), Warning, fmt.Sprintf("noise.measured[%d]", i+1), fmt.Sprintf("%s is taken for %.0f dBm, but an S-meter is seldom calibrated, least of all below S9", n.Meter, float64(n.Level)+30),
				"read a level in dBm where the receiver shows one; see that "+freqText(n.In)+" is the width of the filter you read it with")
		}
	}
	for i := range h.Permits {
		p := &h.Permits[i]
		if h.Power > p.Power {
			c.add(p.At, Warning, fmt.Sprintf("permit[%d].power", i+1), fmt.Sprintf("it allows %s, the transmitter gives %s", powerText(p.Power), powerText(h.Power)), "turn the power down before a call in this segment")
		}
	}
}

// unknown faults names of waveforms that the modem does not have.
func (c *checker) unknown(waveforms []string, at Place, field string) {
	if c.width == nil {
		return
	}
	for _, w := range waveforms {
		if _, ok := c.width(w); !ok {
			c.add(at, Error, field, fmt.Sprintf("%q is a waveform the desk does not know", w), meant(w, c.names))
		}
	}
}

func (c *checker) station(s *Station) {
	h := c.h
	if strings.EqualFold(s.Call, h.Call) && s.Call != "" {
		c.add(s.At, Error, s.path+"call", fmt.Sprintf("%s is our own call sign", s.Call), "take our own station out of the directory")
	} else if d := earth.Between(h.Position, s.Position).D; d < unit.Km {
		c.add(s.At, Warning, s.path+"position", fmt.Sprintf("%s is %.0f m from home", s.Name, d.M()), "check both positions")
	}
	free := 0
	for i := range s.Channels {
		if c.channel(s, &s.Channels[i], fmt.Sprintf("%schannel[%d]", s.path, i+1)) {
			free++
		}
	}
	if free == 0 && len(s.Channels) > 1 {
		c.add(s.At, Warning, strings.TrimSuffix(s.path, "."), fmt.Sprintf("none of the %d channels of %s may be called", len(s.Channels), s.Name), "see what is said of each")
	}
	if attended := c.attended(); len(s.Service().Intersect(attended)) == 0 {
		c.add(s.At, Warning, s.path+"hours", fmt.Sprintf("%s listens %s, when nobody is at our radio (%s)", s.Name, s.Service(), attended), "lengthen the watch or name somebody under [[wake]]")
	}
}

// attended returns when somebody is or may be called to the radio.
func (c *checker) attended() Spans {
	a := c.h.Watch
	for _, w := range c.h.Wake {
		a = a.Union(w.Hours)
	}
	return a
}

// channel says whether home may call there.
func (c *checker) channel(s *Station, ch *Channel, field string) bool {
	if reason, ok := Kept(ch.Centre, ch.Bandwidth); !ok {
		c.add(ch.At, Error, field+".frequency", reason, "take the channel out; no call is planned there")
		return false
	}
	c.unknown(ch.Waveforms, ch.At, field+".waveforms")
	if len(s.OpenHours(ch)) == 0 {
		c.add(ch.At, Warning, field+".hours", fmt.Sprintf("%s lies outside the hours of %s, %s", ch.Hours, s.Name, s.Service()), "change one of them")
		return false
	}
	common := Common(c.h, ch)
	if len(common) == 0 {
		c.add(ch.At, Warning, field+".waveforms", fmt.Sprintf("it takes %s, our modem has %s", strings.Join(ch.Waveforms, ", "), strings.Join(c.h.Waveforms, ", ")), "no call can connect there")
		return false
	}
	why := ""
	for _, w := range common {
		width := ch.Bandwidth
		if c.width != nil {
			known := false
			if width, known = c.width(w); !known {
				continue
			}
		}
		ok, reason := Permitted(c.h, ch, width, min(c.h.Power, PowerLimit(c.h, ch, width)))
		if ok {
			return true
		}
		why = reason
	}
	if why != "" && len(c.h.Permits) > 0 {
		c.add(ch.At, Warning, field+".frequency", why, "no call is planned there")
	}
	return false
}
