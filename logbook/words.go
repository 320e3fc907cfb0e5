package logbook

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"farhail/unit"
)

// word is one word of a typed line. A word that begins with a quote is a name,
// whatever it looks like.
type word struct {
	text   string
	quoted bool
}

// split cuts a line into words and the note at its end.
func split(line string) (words []word, note string, err error) {
	var b strings.Builder
	open, begun, quoted := false, false, false
	end := func() {
		if begun {
			words = append(words, word{b.String(), quoted})
		}
		b.Reset()
		begun, quoted = false, false
	}
	for i, r := range line {
		switch {
		case r == '"':
			if !begun {
				quoted = true
			}
			open, begun = !open, true
		case !open && unicode.IsSpace(r):
			end()
		case !open && !begun && len(line) >= i+5 && strings.EqualFold(line[i:i+5], "note:"):
			return words, strings.TrimSpace(line[i+5:]), nil
		default:
			begun = true
			b.WriteRune(r)
		}
	}
	if open {
		return nil, "", wrong("", "a double quote is not closed: put one behind the name")
	}
	end()
	return words, "", nil
}

var pairs = [][2]string{{"no", "answer"}, {"not", "heard"}, {"broken", "off"}}

// units that may stand apart from their number; MHz and kHz are told apart from
// station names by what stands before them.
var units = []string{"MHz", "kHz", "Hz", "min", "s", "h", "B", "kB", "MB", "dB", "W"}

// glue joins the terms of two words, and numbers with the units that follow them.
func glue(words []word) []word {
	var out []word
	for i := 0; i < len(words); i++ {
		w := words[i]
		if i+1 < len(words) && !w.quoted && !words[i+1].quoted {
			next := words[i+1].text
			isPair := slices.ContainsFunc(pairs, func(p [2]string) bool {
				return strings.EqualFold(w.text, p[0]) && strings.EqualFold(next, p[1])
			})
			switch {
			case isPair:
				w.text, i = w.text+"-"+next, i+1
			case endsInDigit(w.text) && slices.Contains(units, next):
				w.text, i = w.text+next, i+1
			}
		}
		if w.text != "" {
			out = append(out, w)
		}
	}
	return out
}

func endsInDigit(s string) bool {
	return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9'
}

// verb returns the outcome or the answer a word stands for, or "".
func verb(s string) string {
	for _, v := range []string{string(Connected), string(NoAnswer), string(Busy), string(BrokenOff), string(Clear), string(Faint), string(NotHeard)} {
		if strings.EqualFold(strings.ReplaceAll(s, "-", " "), v) {
			return v
		}
	}
	return ""
}

// key is a name as names are compared: its letters and digits in lower case.
func key(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, name)
}

// startsStation says whether a word that begins with a digit can be a call sign
// or a name.
func startsStation(word string, all []Station) bool {
	k := key(word)
	return slices.ContainsFunc(all, func(s Station) bool {
		return k != "" && (key(s.CallSign) == k || strings.HasPrefix(key(s.Name), k))
	})
}

// round returns the whole number of hertz: no dial shows less.
func round(f unit.Freq) unit.Freq { return unit.Freq(math.Round(f.Hz())) }
