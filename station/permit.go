package station

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"farhail/unit"
)

// guard is how far a channel's edges stay from a frequency kept for others.
const guard = 3 * unit.KHz

// kept are the frequencies on which no plan puts a call.
var kept = []struct {
	why string
	kHz []float64
}{
	// Source: ITU Radio Regulations App. 15, from memory (high): distress, urgency and
	// safety by voice, digital selective calling, direct printing and safety
	// information, and 8 364 kHz for survival craft.
	{"distress and safety (ITU Radio Regulations App. 15, from memory)", []float64{
		2182, 2187.5, 3023, 4125, 4177.5, 4207.5, 4209.5, 4210, 5680,
		6215, 6268, 6312, 6314, 8291, 8364, 8376.5, 8414.5, 8416.5,
		12290, 12520, 12577, 12579, 16420, 16695, 16804.5, 16806.5,
		19680.5, 22376, 26100.5,
	}},
	// Source: ITU Radio Regulations Art. 5, from memory (high).
	{"standard frequency and time (ITU Radio Regulations Art. 5, from memory)", []float64{2500, 5000, 10000, 15000, 20000, 25000}},
}

// Kept returns why nobody may call there: an edge of the channel lies within 3 kHz
// of a distress, safety or standard frequency. ok is true when none does.
func Kept(centre, bandwidth unit.Freq) (reason string, ok bool) {
	for _, list := range kept {
		for _, kHz := range list.kHz {
			if math.Abs(centre.KHz()-kHz)-bandwidth.KHz()/2 < guard.KHz()-1e-6 {
				return fmt.Sprintf("%s comes within 3 kHz of %s kHz, kept for %s", channelText(centre, bandwidth), thousands(kHz), list.why), false
			}
		}
	}
	return "", true
}

// Permitted says whether the home station may call on a channel with an emission of
// a bandwidth and a power, and if not, by which rule.
func Permitted(h *Home, c *Channel, bandwidth unit.Freq, power unit.Power) (ok bool, reason string) {
	if bandwidth > c.Bandwidth {
		return false, fmt.Sprintf("the channel is %s wide, the emission takes %s", freqText(c.Bandwidth), freqText(bandwidth))
	}
	if reason, ok := Kept(c.Centre, c.Bandwidth); !ok {
		return false, reason
	}
	reason = fmt.Sprintf("no permit covers %s", channelText(c.Centre, bandwidth))
	for i := range h.Permits {
		p := &h.Permits[i]
		if !p.covers(c.Centre, bandwidth) {
			continue
		}
		why := p.forbids(c, bandwidth, power)
		if why == "" {
			return true, ""
		}
		reason = fmt.Sprintf("the permit %s to %s MHz allows %s", mhzText(p.From), mhzText(p.To), why)
	}
	return false, reason
}

// PowerLimit returns the most power any permit allows on a channel with an emission
// of a bandwidth; zero when none allows it at all.
func PowerLimit(h *Home, c *Channel, bandwidth unit.Freq) unit.Power {
	var most unit.Power
	if _, ok := Kept(c.Centre, c.Bandwidth); !ok || bandwidth > c.Bandwidth {
		return 0
	}
	for i := range h.Permits {
		if p := &h.Permits[i]; p.covers(c.Centre, bandwidth) && p.forbids(c, bandwidth, 0) == "" {
			most = max(most, p.Power)
		}
	}
	return most
}

// covers says whether the whole emission lies in the segment, to a tenth of a hertz.
func (p *Permit) covers(centre, bandwidth unit.Freq) bool {
	return centre-bandwidth/2 >= p.From-0.1 && centre+bandwidth/2 <= p.To+0.1
}

// forbids returns what of an emission the permit does not allow, empty if nothing.
func (p *Permit) forbids(c *Channel, bandwidth unit.Freq, power unit.Power) string {
	switch {
	case bandwidth > p.Bandwidth+0.1:
		return fmt.Sprintf("%s, the emission takes %s", freqText(p.Bandwidth), freqText(bandwidth))
	case power > p.Power*(1+1e-9):
		return fmt.Sprintf("%s, the transmitter gives %s", powerText(p.Power), powerText(power))
	case c.Emission != "" && len(p.Emissions) > 0 && !p.allows(c.Emission):
		return fmt.Sprintf("%s, the channel takes %s", strings.Join(p.Emissions, ", "), c.Emission)
	}
	return ""
}

// allows compares classes of emission, the three symbols behind the bandwidth.
func (p *Permit) allows(emission string) bool {
	for _, e := range p.Emissions {
		if emissionClass(e) == emissionClass(emission) {
			return true
		}
	}
	return false
}

// emission is a designator of the Radio Regulations: a necessary bandwidth of four
// symbols (may be left out), the three symbols of the class, and up to two more.
//
// Source: ITU Radio Regulations App. 1, from memory (high).
var emission = regexp.MustCompile(`^([0-9HKMG]{4})?([NABCHRJDFGKLMPQVWX][0-9X][NABCDEFWX])([A-Z-]{2})?$`)

func emissionClass(e string) string {
	if m := emission.FindStringSubmatch(e); m != nil {
		return m[2]
	}
	return e
}

func (s *section) permit() Permit {
	p := Permit{At: s.d.place(s.t.at)}
	channelFreq.required(s, "from", &p.From)
	channelFreq.required(s, "to", &p.To)
	bandwidths.required(s, "bandwidth", &p.Bandwidth)
	senderPower.required(s, "power", &p.Power)
	for _, e := range s.texts("emissions", `["2K80J2D"]`, false) {
		if !emission.MatchString(e.text) {
			s.fault(e, "emissions", fmt.Sprintf("%q is not an emission", e.text), `write its designator like "2K80J2D" or its class like "J2D"`)
			continue
		}
		p.Emissions = append(p.Emissions, e.text)
	}
	s.text("note", "maritime mobile", &p.Note, false)
	if p.From > 0 && p.To > 0 {
		if to := s.t.find("to"); p.To <= p.From {
			s.fault(to, "to", fmt.Sprintf("%s MHz is not above from, %s MHz", mhzText(p.To), mhzText(p.From)), "give the lower end first")
		} else if p.Bandwidth > p.To-p.From {
			s.fault(s.t.find("bandwidth"), "bandwidth", fmt.Sprintf("%s is more than the whole segment, %s", freqText(p.Bandwidth), freqText(p.To-p.From)), "give the widest emission that the permit allows")
		}
	}
	s.close()
	return p
}

func mhzText(f unit.Freq) string {
	return strconv.FormatFloat(math.Round(f.Hz()*10)/1e7, 'f', -1, 64)
}

// freqText writes a frequency or bandwidth in the unit one would say.
func freqText(f unit.Freq) string {
	return exactly(f, readFreq, freqScales(f)...)
}

func powerText(p unit.Power) string {
	return exactly(p, unit.ParsePower, scale{"W", 1})
}

// channelText says where an emission lies, "4 187.0 kHz ± 1.5 kHz".
func channelText(centre, bandwidth unit.Freq) string {
	return thousands(centre.KHz()) + " kHz ± " + strconv.FormatFloat(math.Round(bandwidth.Hz()*5)/1e4, 'f', -1, 64) + " kHz"
}

// thousands writes kHz the way operators read them, "12 604.5".
func thousands(kHz float64) string {
	s := strconv.FormatFloat(math.Round(kHz*1e4)/1e4, 'f', -1, 64)
	whole, _, _ := strings.Cut(s, ".")
	if n := len(whole); n > 3 {
		s = s[:n-3] + " " + s[n-3:]
	}
	return s
}
