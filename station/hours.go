package station

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

const dayMin = 24 * 60

// Span is a part of the UTC day in minutes from midnight, From included, To not:
// 0 ≤ From < To ≤ 1440.
type Span struct{ From, To int }

// Spans is a set of minutes of the UTC day, as spans in order that neither overlap
// nor touch. What passes midnight is two spans, one at each end. Nil is never.
type Spans []Span

// Always is the whole day.
func Always() Spans { return Spans{{0, dayMin}} }

// union brings spans, each possibly past midnight (To up to 2880), into order.
func union(parts ...Span) Spans {
	var flat []Span
	for _, p := range parts {
		switch {
		case p.To-p.From >= dayMin:
			return Always()
		case p.To > dayMin:
			flat = append(flat, Span{p.From, dayMin}, Span{0, p.To - dayMin})
		case p.From < p.To:
			flat = append(flat, p)
		}
	}
	slices.SortFunc(flat, func(a, b Span) int { return a.From - b.From })
	var out Spans
	for _, p := range flat {
		if n := len(out); n > 0 && p.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, p.To)
		} else {
			out = append(out, p)
		}
	}
	return out
}

// Union returns the minutes in either.
func (a Spans) Union(b Spans) Spans { return union(slices.Concat(a, b)...) }

// Intersect returns the minutes in both.
func (a Spans) Intersect(b Spans) Spans {
	var out Spans
	for i, j := 0, 0; i < len(a) && j < len(b); {
		if s := (Span{max(a[i].From, b[j].From), min(a[i].To, b[j].To)}); s.From < s.To {
			out = append(out, s)
		}
		if a[i].To < b[j].To {
			i++
		} else {
			j++
		}
	}
	return out
}

// Minutes returns how long they last together.
func (a Spans) Minutes() int {
	n := 0
	for _, s := range a {
		n += s.To - s.From
	}
	return n
}

// Has says whether a minute of the day lies in them.
func (a Spans) Has(minute int) bool {
	return slices.ContainsFunc(a, func(s Span) bool { return minute >= s.From && minute < s.To })
}

// At says whether a moment lies in them.
func (a Spans) At(t time.Time) bool {
	t = t.UTC()
	return a.Has(t.Hour()*60 + t.Minute())
}

// Next returns the first moment after t at which they open or shut; ok is false
// when they never do, being empty or the whole day.
func (a Spans) Next(t time.Time) (change time.Time, ok bool) {
	t = t.UTC()
	midnight := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
	now := a.At(t)
	for day := range 2 {
		for _, s := range a {
			for _, m := range [2]int{s.From, s.To} {
				at := midnight.Add(time.Duration(day*dayMin+m) * time.Minute)
				if at.After(t) && a.Has(m%dayMin) != now {
					return at, true
				}
			}
		}
	}
	return time.Time{}, false
}

// clauses are the spans as people write them, one past midnight in one piece.
func (a Spans) clauses() []string {
	s := slices.Clone(a)
	if n := len(s); n > 1 && s[0].From == 0 && s[n-1].To == dayMin {
		s[n-1].To = s[0].To
		s = s[1:]
	}
	out := make([]string, len(s))
	for i, p := range s {
		out[i] = clock(p.From) + "-" + clock(p.To)
	}
	return out
}

// String writes them as in a file, "06:00-10:00, 22:00-02:00".
func (a Spans) String() string {
	switch {
	case len(a) == 0:
		return "never"
	case a.Minutes() == dayMin:
		return "always"
	}
	return strings.Join(a.clauses(), ", ")
}

func clock(minute int) string { return fmt.Sprintf("%02d:%02d", minute/60, minute%60) }

// ParseSpan reads "06:00-22:00" in UTC; an end before its beginning passes
// midnight, then To is over 1440.
func ParseSpan(s string) (Span, error) {
	const how = `; write it in UTC like "06:00-22:00"`
	t := strings.TrimSpace(strings.NewReplacer("–", "-", "−", "-").Replace(s))
	t = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(t, "UTC"), "Z"))
	a, b, ok := strings.Cut(t, "-")
	from, okA := minuteOf(a)
	to, okB := minuteOf(b)
	switch {
	case !ok || !okA || !okB || from == dayMin:
		return Span{}, fmt.Errorf("%q is not a span of hours%s", s, how)
	case from == to:
		return Span{}, fmt.Errorf(`%q lasts no time; for the whole day write "00:00-24:00"`, s)
	case to < from:
		to += dayMin
	}
	return Span{from, to}, nil
}

// minuteOf reads "06:30", 00:00 to 24:00.
func minuteOf(s string) (int, bool) {
	h, m, ok := strings.Cut(strings.TrimSpace(s), ":")
	if !ok || len(h) == 0 || len(h) > 2 || len(m) != 2 {
		return 0, false
	}
	hh, err1 := strconv.ParseUint(h, 10, 8)
	mm, err2 := strconv.ParseUint(m, 10, 8)
	n := int(hh*60 + mm)
	return n, err1 == nil && err2 == nil && mm < 60 && n <= dayMin
}

// spans reads a list of spans; absent or faulty, dst stays as it is. Spans of one list that
// overlap are a fault: one of them was not meant.
func (s *section) spans(key string, dst *Spans) bool {
	items := s.texts(key, `["06:00-22:00"]`, false)
	var all []Span
	for i, e := range items {
		name := key
		if len(items) > 1 {
			name = fmt.Sprintf("%s[%d]", key, i+1)
		}
		p, err := ParseSpan(e.text)
		if err != nil {
			problem, hint := explain(err, "")
			s.fault(e, name, problem, hint)
			continue
		}
		if union(append(slices.Clone(all), p)...).Minutes() < union(all...).Minutes()+union(p).Minutes() {
			s.fault(e, name, fmt.Sprintf("%q overlaps another span of the list", e.text), "write each hour once")
			continue
		}
		all = append(all, p)
	}
	if len(all) == 0 || len(all) < len(items) {
		return false
	}
	*dst = union(all...)
	return true
}
