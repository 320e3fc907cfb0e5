package traffic

import (
	"net/textproto"
	"strconv"
	"strings"
)

// Precedence says which message goes first. The numbers are those of RFC 6477;
// its 0, deferred, and 5, override, are read as routine and flash.
type Precedence uint8

const (
	Unset Precedence = iota // nobody has said; a Message never has it
	Routine
	Priority
	Immediate
	Flash
)

var precedences = [...]string{"unset", "routine", "priority", "immediate", "flash"}

func (p Precedence) String() string {
	if int(p) < len(precedences) {
		return precedences[p]
	}
	return "precedence(" + strconv.Itoa(int(p)) + ")"
}

// ParsePrecedence reads one of the four words, in any case, or its first letter
// (R, P, O, Z are the letters of the trade; I and F are taken too).
func ParsePrecedence(s string) (Precedence, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "routine", "r":
		return Routine, nil
	case "priority", "p":
		return Priority, nil
	case "immediate", "o", "i":
		return Immediate, nil
	case "flash", "z", "f":
		return Flash, nil
	}
	return Unset, &Error{Fault: UnknownPrecedence, Detail: clean(s, 40)}
}

// MarshalText writes the word; an unset precedence is written as nothing.
func (p Precedence) MarshalText() ([]byte, error) {
	if p == Unset {
		return nil, nil
	}
	return []byte(p.String()), nil
}

func (p *Precedence) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*p = Unset
		return nil
	}
	v, err := ParsePrecedence(string(b))
	if err == nil {
		*p = v
	}
	return err
}

const (
	hdrMMHS       = "Mmhs-Primary-Precedence" // as the library writes its case
	hdrMTPriority = "Mt-Priority"
)

// headerPrecedence reads the precedence that the mail itself states: the field of
// RFC 6477 before that of RFC 6758, each the first time it occurs.
func (m *Message) headerPrecedence(h textproto.MIMEHeader) (Precedence, string) {
	if v, ok := bareValue(h, hdrMMHS); ok {
		if p := mmhsPrecedence(v); p != Unset {
			return p, "header MMHS-Primary-Precedence"
		}
		m.warn("MMHS-Primary-Precedence " + quote(v) + " is not a precedence and was passed over")
	}
	if v, ok := bareValue(h, hdrMTPriority); ok {
		if n, err := strconv.Atoi(v); err == nil && n >= -9 && n <= 9 {
			return mtPrecedence(n), "header MT-Priority"
		}
		m.warn("MT-Priority " + quote(v) + " is not a number from -9 to 9 and was passed over")
	}
	return Unset, ""
}

// bareValue is the first value of a header without an RFC 5322 comment after it.
func bareValue(h textproto.MIMEHeader, name string) (string, bool) {
	if len(h[name]) == 0 {
		return "", false
	}
	v, _, _ := strings.Cut(headerText(h[name][0]), "(")
	return strings.ToLower(strings.TrimSpace(v)), true
}

// mmhsPrecedence reads a value of MMHS-Primary-Precedence, word or digit.
//
// Source:  RFC 6477 §3 (names from memory, high; digits from memory, medium).
// Departs: deferred counts as routine and override as flash; we have four levels.
func mmhsPrecedence(v string) Precedence {
	switch v {
	case "deferred", "0", "routine", "1":
		return Routine
	case "priority", "2":
		return Priority
	case "immediate", "3":
		return Immediate
	case "flash", "4", "override", "5":
		return Flash
	}
	return Unset
}

// mtPrecedence reads an MT-Priority from -9 to 9.
//
// Source:  RFC 6758 §3; the steps of 2 after the military profile of RFC 6710
// (deferred -4, routine -2, priority 0, immediate 2, flash 4, override 6; from memory, medium).
// Departs: 0 is routine, not priority, as it is also what RFC 6710 gives to mail
// of which nobody has said anything; priority begins at 1.
func mtPrecedence(n int) Precedence {
	switch {
	case n >= 4:
		return Flash
	case n >= 2:
		return Immediate
	case n >= 1:
		return Priority
	}
	return Routine
}
