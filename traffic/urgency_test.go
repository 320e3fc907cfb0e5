package traffic

import (
	"errors"
	"math"
	"testing"
	"time"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

func withHeaders(h string) []byte {
	return crlf("From: a@x.example\nTo: b@y.example, post4@tamarind.example\nSubject: Position 12:00\nDate: Wed, 25 Nov 2026 12:00:00 +0000\n" + h + "\nx\n")
}

func TestPrecedenceFromHeader(t *testing.T) {
	for h, want := range map[string]Precedence{
		"":                                                   Routine,
		"MMHS-Primary-Precedence: flash\n":                   Flash,
		"mmhs-primary-precedence: IMMEDIATE\n":               Immediate,
		"MMHS-Primary-Precedence: 2\n":                       Priority,
		"MMHS-Primary-Precedence: deferred\n":                Routine,
		"MMHS-Primary-Precedence: override\n":                Flash,
		"MMHS-Primary-Precedence: soon\n":                    Routine,
		"MT-Priority: -9\n":                                  Routine,
		"MT-Priority: 0\n":                                   Routine,
		"MT-Priority: 1\n":                                   Priority,
		"MT-Priority: 3 (a comment)\n":                       Immediate,
		"MT-Priority: 9\n":                                   Flash,
		"MT-Priority: 10\n":                                  Routine,
		"MT-Priority: 9\nMMHS-Primary-Precedence: routine\n": Routine,
		"MT-Priority: 4\nMMHS-Primary-Precedence: soon\n":    Flash,
	} {
		if m := mustParse(t, withHeaders(h)); m.Precedence != want {
			t.Errorf("%q: got %v by %s, want %v; warnings %q", h, m.Precedence, m.PrecedenceBy, want, m.Warnings)
		}
	}
}

func TestDeadlineFromHeader(t *testing.T) {
	for h, want := range map[string]time.Time{
		"": {},
		"Expires: Wed, 25 Nov 2026 18:00:00 +0000\n":                                            noon.Add(6 * time.Hour),
		"Expires: Thu, 26 Nov 2026 18:00:00 +0000\nReply-By: Wed, 25 Nov 2026 22:00:00 +0100\n": noon.Add(9 * time.Hour),
		"Latest-Delivery-Time: Wed, 25 Nov 2026 13:00:00 +0000\nExpires: 0\n":                   noon.Add(time.Hour),
		"Expires: Tue, 24 Nov 2026 18:00:00 +0000\n":                                            {},
		"Expires: -1\n": {},
	} {
		if m := mustParse(t, withHeaders(h)); !m.Deadline.Equal(want) {
			t.Errorf("%q: got %v by %q, want %v; warnings %q", h, m.Deadline, m.DeadlineBy, want, m.Warnings)
		}
	}
}

// The operator's word stands above the rules, the first rule that speaks above
// later ones, any rule above the header; precedence and deadline apart.
func TestWhoDecides(t *testing.T) {
	raw := withHeaders("MMHS-Primary-Precedence: flash\nExpires: Thu, 26 Nov 2026 12:00:00 +0000\n")
	rules := []Rule{
		{To: "*@nowhere.example", Precedence: Immediate},
		{SubjectContains: "position", Deadline: 6 * time.Hour},
		{To: "post?@*", Precedence: Immediate}, // ? is a letter like others
		{From: "a@X.example", To: "post*@TAMARIND.example", Precedence: Priority, Deadline: 2 * time.Hour},
		{Precedence: Routine, Deadline: time.Hour},
	}
	for name, c := range map[string]struct {
		o        Options
		p        Precedence
		pBy      string
		deadline time.Duration
		dBy      string
	}{
		"header":   {Options{}, Flash, "header MMHS-Primary-Precedence", 24 * time.Hour, "header Expires"},
		"rules":    {Options{Rules: rules}, Priority, "rule 4", 6 * time.Hour, "rule 2"},
		"operator": {Options{Rules: rules, Precedence: Immediate, Deadline: noon.Add(3 * time.Hour)}, Immediate, "operator", 3 * time.Hour, "operator"},
		"half":     {Options{Rules: rules, Precedence: Immediate}, Immediate, "operator", 6 * time.Hour, "rule 2"},
	} {
		m, err := Parse(raw, c.o)
		if err != nil {
			t.Fatal(err)
		}
		if m.Precedence != c.p || m.PrecedenceBy != c.pBy || m.Deadline.Sub(noon) != c.deadline || m.DeadlineBy != c.dBy {
			t.Errorf("%s: got %v by %q, %v by %q; want %+v", name, m.Precedence, m.PrecedenceBy, m.Deadline.Sub(noon), m.DeadlineBy, c)
		}
	}
}

// A rule's span needs a beginning: the mail's date, else when it was queued.
func TestRuleWithoutDate(t *testing.T) {
	raw := []byte("To: b@y.example\n\nx\n")
	rules := []Rule{{Deadline: time.Hour}}
	if m, _ := Parse(raw, Options{Rules: rules}); !m.Deadline.IsZero() || len(m.Warnings) != 3 {
		t.Errorf("no date, no queue: deadline %v, warnings %q", m.Deadline, m.Warnings)
	}
	if m, _ := Parse(raw, Options{Rules: rules, Queued: noon}); !m.Deadline.Equal(noon.Add(time.Hour)) {
		t.Errorf("queued at noon: deadline %v, want an hour later", m.Deadline)
	}
}

func TestMatch(t *testing.T) {
	for _, c := range []struct {
		pattern, address string
		want             bool
	}{
		{"*", "", true}, {"*", "a@b", true}, {"", "a@b", false}, {"a@b", "A@B", true}, {"a@b", "a@bc", false},
		{"*@saltmarsh.example", "tom@saltmarsh.example", true}, {"*@saltmarsh.example", "tom@saltmarsh.example.evil", false},
		{"post*@*", "post4@tamarind.example", true}, {"post*@*", "repost4@tamarind.example", false},
		{"a*b*c", "abc", true}, {"a*b*c", "aXbYbZc", true}, {"a*b*c", "acb", false}, {"ab*ba", "aba", false},
		{"a*a", "a", false}, {"**", "x", true}, {"*b*", "abc", true}, {"*b*", "ac", false},
	} {
		if got := Match(c.pattern, c.address); got != c.want {
			t.Errorf("Match(%q, %q) = %v, want %v", c.pattern, c.address, got, c.want)
		}
	}
}

func TestPrecedenceWords(t *testing.T) {
	for p := Routine; p <= Flash; p++ {
		b, _ := p.MarshalText()
		var back Precedence
		if err := back.UnmarshalText(b); err != nil || back != p {
			t.Errorf("%v written %q read %v, %v", p, b, back, err)
		}
	}
	kept := Priority
	if err := kept.UnmarshalText([]byte("urgent")); err == nil || kept != Priority {
		t.Errorf(`"urgent": %v, %v; want an error and the value kept`, kept, err)
	}
	var e *Error
	if _, err := ParsePrecedence("unset"); !errors.As(err, &e) || e.Fault != UnknownPrecedence {
		t.Errorf(`"unset" is read: %v`, err)
	}
}

func TestWorth(t *testing.T) {
	w := UsualWeights()
	h := func(n float64) time.Time { return noon.Add(time.Duration(n * float64(time.Hour))) }
	for _, c := range []struct {
		p           Precedence
		deadline, t time.Time
		want        float64
	}{
		{Flash, time.Time{}, noon, 64}, {Immediate, time.Time{}, noon, 16}, {Priority, time.Time{}, noon, 4}, {Routine, time.Time{}, noon, 1}, {Unset, time.Time{}, noon, 1},
		{Priority, h(10), h(0), 4}, {Priority, h(10), h(5), 3}, {Priority, h(10), h(10), 2}, {Priority, h(10), h(10).Add(1), 0},
		{Routine, time.Time{}, h(48), 0.5}, {Routine, time.Time{}, h(96), 0.25}, {Routine, time.Time{}, h(24), math.Sqrt2 / 2},
		{Flash, h(10), h(-1), 64}, {Flash, h(-2), h(-3), 64}, {Flash, h(-2), h(-1), 0}, {Flash, h(0), h(0), 64},
	} {
		if got := Worth(c.p, noon, c.deadline, c.t, w); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("Worth(%v, deadline %v, %v) = %g, want %g within 1e-12", c.p, c.deadline, c.t.Sub(noon), got, c.want)
		}
	}
	// Laws: never rises with time, never below zero, a heavier precedence is never worth less.
	for _, deadline := range []time.Time{{}, h(30)} {
		for p := Routine; p <= Flash; p++ {
			last := math.Inf(1)
			for m := -60.0; m < 3000; m += 7 {
				v := Worth(p, noon, deadline, h(m/60), w)
				if v > last || v < 0 || v < Worth(p-1, noon, deadline, h(m/60), w) {
					t.Fatalf("%v, deadline %v, after %g min: %g follows %g", p, deadline, m, v, last)
				}
				last = v
			}
		}
	}
}
