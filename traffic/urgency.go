package traffic

import (
	"math"
	"net/mail"
	"net/textproto"
	"strconv"
	"strings"
	"time"
)

// Rule sets precedence and deadline of messages that fit it. Empty patterns fit
// everything. Address patterns know * for any run of letters; case is ignored.
type Rule struct {
	From            string        // fits when any sender does
	To              string        // fits when any recipient does
	SubjectContains string        // a piece of the subject, not a pattern
	Precedence      Precedence    // Unset: says nothing of it
	Deadline        time.Duration // from the mail's date; zero: says nothing of it
}

// Fits says whether a rule is about a message.
func (r Rule) Fits(m *Message) bool {
	return fitsAny(r.From, m.From) && fitsAny(r.To, m.To) &&
		strings.Contains(strings.ToLower(m.Subject), strings.ToLower(r.SubjectContains))
}

func fitsAny(pattern string, addresses []string) bool {
	if pattern == "" {
		return true
	}
	for _, a := range addresses {
		if Match(pattern, a) {
			return true
		}
	}
	return false
}

// Match says whether an address fits a pattern in which * stands for any run of
// letters, none included: "*@saltmarsh.example", "qx2sm", "*".
func Match(pattern, address string) bool {
	p, a := strings.ToLower(pattern), strings.ToLower(address)
	pieces := strings.Split(p, "*")
	if len(pieces) == 1 {
		return p == a
	}
	last := pieces[len(pieces)-1]
	rest, ok := strings.CutPrefix(a, pieces[0])
	if !ok || len(rest) < len(last) || !strings.HasSuffix(rest, last) {
		return false
	}
	rest = rest[:len(rest)-len(last)]
	for _, piece := range pieces[1 : len(pieces)-1] { // the leftmost place is never worse
		i := strings.Index(rest, piece)
		if i < 0 {
			return false
		}
		rest = rest[i+len(piece):]
	}
	return true
}

// judge sets precedence and deadline, each from the operator, else the first rule
// that fits and speaks of it, else the mail's own header.
func (m *Message) judge(h textproto.MIMEHeader, o Options) {
	m.Precedence, m.PrecedenceBy = m.headerPrecedence(h)
	m.Deadline, m.DeadlineBy = m.headerDeadline(h)
	if m.Precedence == Unset {
		m.Precedence, m.PrecedenceBy = Routine, "default"
	}
	from := m.Date
	if from.IsZero() {
		from = o.Queued
	}
	var ranked, dated bool
	for i, r := range o.Rules {
		if !r.Fits(m) {
			continue
		}
		by := "rule " + strconv.Itoa(i+1)
		if !ranked && r.Precedence != Unset {
			m.Precedence, m.PrecedenceBy, ranked = r.Precedence, by, true
		}
		switch {
		case dated || r.Deadline <= 0:
		case from.IsZero():
			m.warn(by + " gives a deadline, but the message has no date to count it from")
		default:
			m.Deadline, m.DeadlineBy, dated = from.Add(r.Deadline), by, true
		}
	}
	if o.Precedence != Unset {
		m.Precedence, m.PrecedenceBy = o.Precedence, "operator"
	}
	if !o.Deadline.IsZero() {
		m.Deadline, m.DeadlineBy = o.Deadline, "operator"
	}
}

// The headers that say when a message is too late, as the register of RFC 4021
// lists them (from memory, high). The earliest that is stated counts.
var deadlineHeaders = []string{"Latest-Delivery-Time", "Expires", "Expiry-Date", "Reply-By"}

func (m *Message) headerDeadline(h textproto.MIMEHeader) (deadline time.Time, by string) {
	for _, name := range deadlineHeaders {
		v := headerText(h.Get(name))
		if v == "" {
			continue
		}
		t, err := mail.ParseDate(v)
		switch {
		case err != nil:
			m.warn(name + " " + quote(v) + " is not a date and was passed over")
		case !m.Date.IsZero() && !t.After(m.Date):
			m.warn(name + " lies before the date of the message and was passed over")
		case deadline.IsZero() || t.Before(deadline):
			deadline, by = t, "header "+name
		}
	}
	return deadline, by
}

// Weights is what a message of each precedence is worth when delivered at once,
// and how fast one without a deadline fades.
type Weights struct {
	Routine, Priority, Immediate, Flash float64
	HalfLife                            time.Duration
}

// UsualWeights holds until the operator sets others.
func UsualWeights() Weights {
	return Weights{Routine: 1, Priority: 4, Immediate: 16, Flash: 64, HalfLife: 48 * time.Hour}
}

// Of returns the weight of a precedence; one that is unset counts as routine.
func (w Weights) Of(p Precedence) float64 {
	switch p {
	case Priority:
		return w.Priority
	case Immediate:
		return w.Immediate
	case Flash:
		return w.Flash
	}
	return w.Routine
}

// Worth returns what it is worth to deliver a message at t.
//
//	with a deadline D:  w (1 − ½ (t − q)/(D − q))   q ≤ t ≤ D
//	                    0                           t > D
//	without:            w 2^(−(t − q)/H)            t ≥ q
//
// q is when it was queued, w its weight, H the half-life; before q it is worth w.
//
// Domain: any times; a deadline not after q leaves w until it passes. H ≤ 0 does not fade.
func Worth(p Precedence, queuedAt, deadline, t time.Time, weights Weights) float64 {
	w := weights.Of(p)
	if !deadline.IsZero() && t.After(deadline) {
		return 0
	}
	age := t.Sub(queuedAt)
	switch {
	case age <= 0:
		return w
	case !deadline.IsZero():
		return w * (1 - 0.5*age.Seconds()/deadline.Sub(queuedAt).Seconds())
	case weights.HalfLife <= 0:
		return w
	}
	return w * math.Exp2(-age.Seconds()/weights.HalfLife.Seconds())
}
