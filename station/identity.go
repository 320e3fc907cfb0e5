package station

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"farhail/hf/earth"
	"farhail/unit"
)

var callSign = regexp.MustCompile(`^[A-Z0-9]+(/[A-Z0-9]+)*$`)

// identity reads name and call sign; a far station may have no call sign.
func (s *section) identity(name, call *string, needCall bool) {
	if s.text("name", "Saltmarsh", name, true) {
		if e := s.t.find("name"); len(*name) > 60 {
			s.fault(e, "name", fmt.Sprintf("has %d characters, more than 60", len(*name)), "shorten it; the rest can go into a note")
		} else if slug(*name) == "" {
			s.fault(e, "name", fmt.Sprintf("%q has neither letter nor figure", *name), `write a name like "Saltmarsh"`)
		}
	}
	if s.text("call", "QX2SM", call, needCall) {
		*call = strings.ToUpper(*call)
		if len(*call) < 2 || len(*call) > 15 || !callSign.MatchString(*call) {
			s.fault(s.t.find("call"), "call", fmt.Sprintf("%q is not a call sign", *call), `write letters and figures like "QX2SM"`)
		}
	}
}

func (s *section) position(p *earth.Point) {
	m := measure[earth.Point]{earth.ParsePosition, func(earth.Point) bool { return true }, "", "38 31.2N 28 37.9W"}
	m.parse = func(t string) (earth.Point, error) {
		p, err := earth.ParsePosition(t)
		if re, ok := err.(*unit.RangeError); ok {
			plus, minus := "N", "S"
			if re.Quantity == "longitude" {
				plus, minus = "E", "W"
			}
			side := plus
			if re.Got < 0 {
				side = minus
			}
			return p, fmt.Errorf("%s of %g°%s is out of range; give %g°%s to %g°%s", re.Quantity, math.Abs(re.Got), side, re.Hi, minus, re.Hi, plus)
		}
		return p, err
	}
	m.required(s, "position", p)
}

var waveformName = regexp.MustCompile(`^[a-z0-9][a-z0-9.-]*$`)

// waveforms reads a list of names of waveforms, each once.
func (s *section) waveforms(required bool) []string {
	var out []string
	for _, e := range s.texts("waveforms", `["serial-3k"]`, required) {
		switch {
		case !waveformName.MatchString(e.text):
			s.fault(e, "waveforms", fmt.Sprintf("%q is not the name of a waveform", e.text), `names have small letters, figures and hyphens, like "serial-3k"`)
		case slices.Contains(out, e.text):
			s.fault(e, "waveforms", fmt.Sprintf("%q is listed twice", e.text), "keep one of them")
		default:
			out = append(out, e.text)
		}
	}
	return out
}
