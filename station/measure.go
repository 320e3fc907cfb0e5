package station

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"farhail/unit"
)

// measure is a kind of quantity: how it is read, what it may be, how people write it.
type measure[T any] struct {
	parse   func(string) (T, error)
	valid   func(T) bool
	limits  string // "0.1 W to 20 kW"
	example string // "100 W"
}

// between makes the limits of a measure.
func between[T interface{ ~float64 | ~int64 }](lo, hi T) func(T) bool {
	return func(v T) bool { return v >= lo && v <= hi }
}

// optional reads a quantity into dst and leaves dst as it is when the key is absent.
func (m measure[T]) optional(s *section, key string, dst *T) { m.read(s, key, dst, false) }

// required reads a quantity whose absence is a fault.
func (m measure[T]) required(s *section, key string, dst *T) { m.read(s, key, dst, true) }

func (m measure[T]) read(s *section, key string, dst *T, required bool) {
	if e, ok := s.scalar(key, m.example, required); ok {
		m.entry(s, key, e, dst)
	}
}

func (m measure[T]) entry(s *section, key string, e *entry, dst *T) bool {
	v, err := m.parse(e.text)
	switch {
	case err != nil:
		problem, hint := explain(err, m.example)
		s.fault(e, key, problem, hint)
	case e.kind == numberKind: // a unitless form that parses: still not in quotes
		s.fault(e, key, e.text+" is a bare number", fmt.Sprintf("write it in quotes like %q", m.example))
	case !m.valid(v):
		s.fault(e, key, fmt.Sprintf("%q is out of range", e.text), "give "+m.limits)
	default:
		*dst = v
		return true
	}
	return false
}

// explain splits an error of a parser into what is wrong and what to do.
func explain(err error, example string) (problem, hint string) {
	var se *unit.SyntaxError
	if errors.As(err, &se) {
		if _, err := strconv.ParseFloat(strings.TrimSpace(se.Got), 64); err == nil {
			return se.Got + " has no unit", fmt.Sprintf("write a %s like %q (%s)", se.Quantity, example, se.Units)
		}
		return fmt.Sprintf("%q is not a %s", se.Got, se.Quantity), fmt.Sprintf("write it like %q (%s)", example, se.Units)
	}
	problem, hint, _ = strings.Cut(err.Error(), "; ")
	return problem, hint
}
