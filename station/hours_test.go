package station

import (
	"math/rand/v2"
	"testing"
	"time"
)

func mustSpans(t *testing.T, texts ...string) Spans {
	t.Helper()
	var all []Span
	for _, s := range texts {
		p, err := ParseSpan(s)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	return union(all...)
}

func TestSpans(t *testing.T) {
	for _, c := range []struct {
		in      []string
		text    string
		minutes int
	}{
		{nil, "never", 0},
		{[]string{"00:00-24:00"}, "always", 1440},
		{[]string{"06:00-22:00"}, "06:00-22:00", 960},
		{[]string{"22:00-06:00"}, "22:00-06:00", 480},
		{[]string{"6:00–7:00 UTC"}, "06:00-07:00", 60},
		{[]string{"06:00-12:00", "12:00-18:00"}, "06:00-18:00", 720},
		{[]string{"16:00-01:00", "06:00-10:00"}, "06:00-10:00, 16:00-01:00", 780},
		{[]string{"12:00-24:00", "00:00-12:00"}, "always", 1440},
		{[]string{"23:59-00:00"}, "23:59-24:00", 1},
		{[]string{"12:00-11:59"}, "12:00-11:59", 1439},
	} {
		got := mustSpans(t, c.in...)
		if got.String() != c.text || got.Minutes() != c.minutes {
			t.Errorf("%q: %s, %d minutes; want %s, %d", c.in, got, got.Minutes(), c.text, c.minutes)
		}
		if back := mustSpans(t, got.list()...); len(got) > 0 && back.String() != got.String() {
			t.Errorf("%q written as %q reads as %s", c.in, got.list(), back)
		}
	}
}

// The slow road: a day as 1440 switches.
func switches(a Spans) (day [dayMin]bool) {
	for m := range day {
		day[m] = a.Has(m)
	}
	return day
}

// Union, intersection and rest agree with the switches, minute by minute, and the
// next change is the first minute that differs.
func TestSpansAgainstSwitches(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	some := func() Spans {
		var p []Span
		for range r.IntN(4) {
			from := r.IntN(dayMin)
			p = append(p, Span{from, from + 1 + r.IntN(dayMin)})
		}
		return union(p...)
	}
	midnight := time.Date(2026, 12, 31, 0, 0, 0, 0, time.UTC)
	for range 300 {
		a, b := some(), some()
		da, db, or, and, not := switches(a), switches(b), switches(a.Union(b)), switches(a.Intersect(b)), switches(off(a))
		for m := range da {
			if or[m] != (da[m] || db[m]) || and[m] != (da[m] && db[m]) || not[m] == da[m] {
				t.Fatalf("%s and %s at %s: or %v, and %v, not %v", a, b, clock(m), or[m], and[m], not[m])
			}
		}
		now := r.IntN(dayMin)
		at := midnight.Add(time.Duration(now)*time.Minute + 30*time.Second)
		want, ok := 0, false
		for n := 1; n <= dayMin; n++ {
			if da[(now+n)%dayMin] != da[now] {
				want, ok = n, true
				break
			}
		}
		got, gotOK := a.Next(at)
		if gotOK != ok || ok && !got.Equal(midnight.Add(time.Duration(now+want)*time.Minute)) {
			t.Fatalf("%s after %s: next change %v, %v; want %d minutes on, %v", a, clock(now), got, gotOK, want, ok)
		}
	}
}

func TestOpen(t *testing.T) {
	s := Station{Hours: mustSpans(t, "10:00-02:00"), Skeds: []int{0, 720}, SkedMargin: 30 * time.Minute}
	c := Channel{Hours: mustSpans(t, "00:15-12:15")}
	if got := s.Service().String(); got != "11:30-12:30, 23:30-00:30" {
		t.Errorf("service %s", got)
	}
	if got := s.OpenHours(&c).String(); got != "00:15-00:30, 11:30-12:15" {
		t.Errorf("the channel is open %s", got)
	}
	// Another zone's clock says the same moment.
	zone := time.FixedZone("east", 2*3600)
	at := time.Date(2026, 11, 25, 2, 20, 0, 0, zone) // 00:20 UTC
	if !s.OpenHours(&c).At(at) {
		t.Errorf("shut at %v", at)
	}
	if next, ok := s.OpenHours(&c).Next(at); !ok || next.Format("02 15:04 MST") != "25 00:30 UTC" {
		t.Errorf("next change %v, %v; want 25 00:30 UTC", next, ok)
	}
	always := Station{Hours: Always()}
	if _, ok := always.OpenHours(&Channel{Hours: Always()}).Next(at); ok {
		t.Error("what is always open changes")
	}
}
