package traffic

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"farhail/unit"
)

// A Place is what the order of sending looks at in a message that waits.
type Place struct {
	ID         string
	Precedence Precedence
	// Rank is what the operator's hand made of the order, within the precedence: below 0
	// ahead of all that the rule orders, above 0 behind it, ascending; 0 by the rule.
	Rank     int
	Deadline time.Time // zero: none
	OnAir    unit.Bytes
	Queued   time.Time
}

// Order is the order of sending: the higher precedence, then the rank given by hand, then
// by rule: what has the earlier deadline, what is smaller, what waited longer, the id.
func Order(a, b Place) int {
	switch {
	case a.Precedence != b.Precedence:
		return cmp.Compare(b.Precedence, a.Precedence)
	case a.Rank != b.Rank:
		return cmp.Compare(a.Rank, b.Rank)
	case a.Deadline.IsZero() != b.Deadline.IsZero():
		if a.Deadline.IsZero() {
			return 1
		}
		return -1
	}
	return cmp.Or(a.Deadline.Compare(b.Deadline), cmp.Compare(a.OnAir, b.OnAir), a.Queued.Compare(b.Queued), strings.Compare(a.ID, b.ID))
}

// Where says where a message is moved to.
type Where uint8

const (
	First  Where = iota // of its precedence
	Last                // of its precedence
	Before              // another message
	After               // another message
)

// A Target is a place in the order of one precedence.
type Target struct {
	Where Where
	Other string // id, for Before and After
}

// Move returns the ranks that put message id of a queue at a target, those alone that
// change. The message itself is ranked by hand from then on. Others are ranked only as far
// as that needs: all ahead of it, or all behind it, whichever are fewer to rank anew; the
// rest, and what comes later, goes by the rule. Across precedences nothing moves: an *Error.
func Move(queue []Place, id string, to Target) (map[string]int, error) {
	at := func(id string) (Place, error) {
		i := slices.IndexFunc(queue, func(p Place) bool { return p.ID == id })
		if i < 0 {
			return Place{}, &Error{Fault: NotQueued, Detail: id}
		}
		return queue[i], nil
	}
	m, err := at(id)
	if err != nil {
		return nil, err
	}
	var rest []Place
	for _, p := range queue {
		if p.Precedence == m.Precedence && p.ID != id {
			rest = append(rest, p)
		}
	}
	slices.SortFunc(rest, Order)
	var i int // m goes before rest[i]
	switch to.Where {
	case First:
	case Last:
		i = len(rest)
	default:
		other, err := at(to.Other)
		switch {
		case err != nil:
			return nil, err
		case other.ID == id:
			return nil, &Error{Fault: BesideItself, Detail: id}
		case other.Precedence != m.Precedence:
			return nil, &Error{Fault: OtherPrecedence, Detail: fmt.Sprintf("%s is %v and %s %v", id, m.Precedence, other.ID, other.Precedence)}
		}
		i = slices.IndexFunc(rest, func(p Place) bool { return p.ID == to.Other })
		if to.Where == After {
			i++
		}
	}
	anew := func(part []Place, kept func(rank int) bool) (n int) {
		for _, p := range part {
			if !kept(p.Rank) {
				n++
			}
		}
		return n
	}
	ahead := func(rank int) bool { return rank < 0 }
	behind := func(rank int) bool { return rank > 0 }
	before, after := anew(rest[:i], ahead), anew(rest[i:], behind)
	if to.Where == Last || to.Where != First && after < before {
		j := i
		for j > 0 && behind(rest[j-1].Rank) {
			j--
		}
		return rank(slices.Insert(slices.Clone(rest[j:]), i-j, m), 1), nil
	}
	j := i
	for j < len(rest) && ahead(rest[j].Rank) {
		j++
	}
	part := slices.Insert(slices.Clone(rest[:j]), i, m)
	return rank(part, -len(part)), nil
}

// rank numbers messages in their order from a rank on, and returns the numbers that are new.
func rank(list []Place, from int) map[string]int {
	out := map[string]int{}
	for k, p := range list {
		if p.Rank != from+k {
			out[p.ID] = from + k
		}
	}
	return out
}

// ByRule returns the ranks that give the messages of a precedence back to the rule, all
// precedences if it is Unset.
func ByRule(queue []Place, p Precedence) map[string]int {
	out := map[string]int{}
	for _, q := range queue {
		if q.Rank != 0 && (p == Unset || q.Precedence == p) {
			out[q.ID] = 0
		}
	}
	return out
}
