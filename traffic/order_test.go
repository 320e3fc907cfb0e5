package traffic

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"farhail/unit"
)

func ids(queue []Place) string {
	q := slices.Clone(queue)
	slices.SortFunc(q, Order)
	var s []string
	for _, p := range q {
		s = append(s, p.ID)
	}
	return strings.Join(s, " ")
}

func ranked(queue []Place, ranks map[string]int) []Place {
	q := slices.Clone(queue)
	for i := range q {
		if r, ok := ranks[q[i].ID]; ok {
			q[i].Rank = r
		}
	}
	return q
}

// five routine messages that the rule orders a b c d e, under one priority message.
func five() []Place {
	q := []Place{{ID: "p", Precedence: Priority, OnAir: 900, Queued: noon}}
	for i, id := range []string{"e", "d", "c", "b", "a"} {
		q = append(q, Place{ID: id, Precedence: Routine, OnAir: unit.Bytes(500 - 100*i), Queued: noon})
	}
	return q
}

func TestOrderByRule(t *testing.T) {
	soon, late := noon.Add(time.Hour), noon.Add(2*time.Hour)
	want := []Place{
		{ID: "z", Precedence: Flash, OnAir: 9000, Queued: noon},
		{ID: "y", Precedence: Routine, Rank: -2, OnAir: 9000, Queued: noon},
		{ID: "x", Precedence: Routine, Rank: -1, OnAir: 9000, Queued: noon},
		{ID: "w", Precedence: Routine, Deadline: soon, OnAir: 9000, Queued: noon},
		{ID: "v", Precedence: Routine, Deadline: late, OnAir: 10, Queued: noon},
		{ID: "u", Precedence: Routine, OnAir: 20, Queued: noon},
		{ID: "t", Precedence: Routine, OnAir: 30, Queued: noon},
		{ID: "r", Precedence: Routine, OnAir: 30, Queued: soon},
		{ID: "s", Precedence: Routine, OnAir: 30, Queued: soon},
		{ID: "a", Precedence: Routine, Rank: 1, Deadline: soon, OnAir: 1, Queued: noon},
	}
	got := slices.Clone(want)
	slices.Reverse(got)
	if s := ids(got); s != ids(want) || s != "z y x w v u t r s a" {
		t.Errorf("order %s", s)
	}
}

func TestMove(t *testing.T) {
	for _, c := range []struct {
		id     string
		to     Target
		want   string
		ranked int // messages put by hand
	}{
		{"e", Target{Where: First}, "p e a b c d", 1},
		{"a", Target{Where: Last}, "p b c d e a", 1},
		{"a", Target{Where: First}, "p a b c d e", 1}, // where it stood: held there
		{"d", Target{Before, "b"}, "p a d b c e", 2},
		{"b", Target{After, "d"}, "p a c d b e", 2},
		{"c", Target{Before, "b"}, "p a c b d e", 2},
		{"c", Target{After, "e"}, "p a b d e c", 1},
		{"c", Target{Before, "a"}, "p c a b d e", 1},
		{"c", Target{After, "d"}, "p a b d c e", 2},
		{"p", Target{Where: Last}, "p a b c d e", 1},
	} {
		ranks, err := Move(five(), c.id, c.to)
		if got := ids(ranked(five(), ranks)); err != nil || got != c.want || len(ranks) != c.ranked {
			t.Errorf("move %s to %v: %s by %v, %v; want %s with %d ranked", c.id, c.to, got, ranks, err, c.want, c.ranked)
		}
	}
}

// What comes later goes by the rule: ahead of what was put last, behind what was put first.
func TestMoveLeavesRoomForTheRule(t *testing.T) {
	q := five()
	for _, m := range []struct {
		id string
		to Target
	}{{"e", Target{Where: First}}, {"a", Target{Where: Last}}} {
		ranks, err := Move(q, m.id, m.to)
		if err != nil {
			t.Fatal(err)
		}
		q = ranked(q, ranks)
	}
	q = append(q, Place{ID: "new", Precedence: Routine, OnAir: 1, Queued: noon})
	if got := ids(q); got != "p e new b c d a" {
		t.Errorf("a new message stands wrong: %s", got)
	}
}

func TestMoveRefuses(t *testing.T) {
	for _, c := range []struct {
		id    string
		to    Target
		fault Fault
		say   string
	}{
		{"a", Target{Before, "p"}, OtherPrecedence, "a is routine and p priority: a message moves only within its precedence; give it the other precedence first"},
		{"a", Target{After, "a"}, BesideItself, "message a cannot go before or after itself: name another of its precedence"},
		{"a", Target{Before, "q"}, NotQueued, "message q does not wait in the queue: name one that farhail traffic list shows"},
		{"q", Target{Where: First}, NotQueued, "message q does not wait in the queue: name one that farhail traffic list shows"},
	} {
		ranks, err := Move(five(), c.id, c.to)
		var typed *Error
		if !errors.As(err, &typed) || typed.Fault != c.fault || err.Error() != c.say || ranks != nil {
			t.Errorf("move %s to %v: %v, %v; want %q", c.id, c.to, ranks, err, c.say)
		}
	}
}

// Whatever was moved before, a move does to the order what moving a card in a stack does,
// and to nothing else; given back to the rule, the order is what it was.
func TestMoveIsAMove(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 7))
	for round := range 300 {
		var q []Place
		for i := range 2 + r.IntN(12) {
			q = append(q, Place{ID: fmt.Sprint("m", i), Precedence: Routine + Precedence(r.IntN(2)), OnAir: unit.Bytes(r.IntN(4)), Queued: noon})
		}
		byRule := ids(q)
		for range 20 {
			m, o := q[r.IntN(len(q))], q[r.IntN(len(q))]
			to := Target{Where(r.IntN(4)), o.ID}
			if m.ID == o.ID || m.Precedence != o.Precedence {
				continue
			}
			var part []string
			for _, id := range strings.Fields(ids(q)) {
				if i := slices.IndexFunc(q, func(p Place) bool { return p.ID == id }); q[i].Precedence == m.Precedence && id != m.ID {
					part = append(part, id)
				}
			}
			at := map[Where]int{First: 0, Last: len(part), Before: slices.Index(part, o.ID), After: slices.Index(part, o.ID) + 1}[to.Where]
			part = slices.Insert(part, at, m.ID)
			ranks, err := Move(q, m.ID, to)
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range q {
				if old, changed := ranks[p.ID]; changed && (p.Precedence != m.Precedence || old == p.Rank) {
					t.Fatalf("round %d: moving %s ranks %s %d, which was %d", round, m.ID, p.ID, old, p.Rank)
				}
			}
			q = ranked(q, ranks)
			if got := strings.Join(strings.Fields(ids(q)), " "); !strings.Contains(" "+got+" ", " "+strings.Join(part, " ")+" ") {
				t.Fatalf("round %d: %s to %v gives %s, want %s", round, m.ID, to, got, strings.Join(part, " "))
			}
			if i := slices.IndexFunc(q, func(p Place) bool { return p.ID == m.ID }); q[i].Rank == 0 {
				t.Fatalf("round %d: %s is not ranked by hand", round, m.ID)
			}
		}
		if back := ids(ranked(q, ByRule(q, Unset))); back != byRule {
			t.Fatalf("round %d: given back to the rule %s, was %s", round, back, byRule)
		}
		one := ranked(q, ByRule(q, Priority))
		for i, p := range one {
			if p.Precedence == Priority && p.Rank != 0 || p.Precedence == Routine && p.Rank != q[i].Rank {
				t.Fatalf("round %d: priority given back, %+v was %+v", round, p, q[i])
			}
		}
	}
}
