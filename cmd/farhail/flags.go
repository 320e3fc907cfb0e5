package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"farhail/hf/earth"
	"farhail/unit"
)

// A value is a flag read by one of our parsers; the error keeps the parser's sentence.
type value[T any] struct {
	to    *T
	parse func(string) (T, error)
	kind  string
	text  string
}

func (v *value[T]) String() string { return v.text }
func (v *value[T]) Type() string   { return v.kind }
func (v *value[T]) Set(s string) error {
	x, err := v.parse(s)
	if err != nil {
		return err
	}
	*v.to, v.text = x, s
	return nil
}

// quantity adds a flag that takes a number with its unit.
func quantity[T any](f *pflag.FlagSet, to *T, name, kind, start, help string, parse func(string) (T, error)) {
	v := &value[T]{to: to, parse: parse, kind: kind}
	if start != "" {
		if err := v.Set(start); err != nil {
			panic("farhail: default of --" + name + ": " + err.Error())
		}
	}
	f.Var(v, name, help)
}

// place reads "LAT,LON" in degrees, degrees and minutes, or a locator.
func place(f *pflag.FlagSet, to *earth.Point, name, help string) {
	quantity(f, to, name, "place", "", help, earth.ParsePosition)
}

// yearMonth reads "2026-06".
type yearMonth struct{ year, month int }

func parseMonth(s string) (yearMonth, error) {
	y, m, ok := strings.Cut(s, "-")
	year, err1 := strconv.Atoi(y)
	month, err2 := strconv.Atoi(m)
	if !ok || err1 != nil || err2 != nil || len(y) != 4 {
		return yearMonth{}, fmt.Errorf("%q is not a month: write it like 2026-06", s)
	}
	if err := unit.Check("month", float64(month), 1, 12, ""); err != nil {
		return yearMonth{}, err
	}
	return yearMonth{year, month}, nil
}

// numbers reads a list of bare numbers parted by commas.
func numbers(s string) ([]float64, error) {
	var out []float64
	for _, w := range strings.Split(s, ",") {
		v, err := strconv.ParseFloat(strings.TrimSpace(w), 64)
		if err != nil {
			return nil, fmt.Errorf("%q is not a list of frequencies in MHz: write it like 3.6,7.1", s)
		}
		out = append(out, v)
	}
	return out, nil
}

func (s *shell) atFlag(f *pflag.FlagSet, help string) {
	f.StringVar(&s.at, "at", "", help)
}

// optional is a number that may be left unsaid.
func optional(f *pflag.FlagSet, to **float64, name, help string) {
	quantity(f, to, name, "number", "", help, func(s string) (*float64, error) {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return nil, fmt.Errorf("%q is not a number", s)
		}
		return &v, nil
	})
}

// thisMonth is the month of the clock, for commands that were given none.
func thisMonth() yearMonth {
	t := time.Now().UTC()
	return yearMonth{t.Year(), int(t.Month())}
}
