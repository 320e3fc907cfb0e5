package logbook

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"farhail/unit"
)

// Around is what the desk knows when the operator types: the words lean on it.
type Around struct {
	Now      time.Time
	Stations []Station // whom the words may mean
	Planned  *Call     // the call the plan proposes; nil: none
}

// Station is a far station as the line may name it.
type Station struct {
	Name, CallSign string
	Channels       []Channel
}

// Channel is a frequency of a station with the waveforms it takes there.
type Channel struct {
	Freq      unit.Freq
	Waveforms []string
}

// Call names one channel of one station, and the waveform to use there.
type Call struct {
	Station  string
	Freq     unit.Freq
	Waveform string
}

// LineError says which word of a typed line cannot be understood.
type LineError struct {
	Word    string // empty: the line as a whole
	Problem string // what is wrong, what was expected, what to type instead
}

func (e *LineError) Error() string {
	if e.Word == "" {
		return "read log line: " + e.Problem
	}
	return fmt.Sprintf("read log line: %q %s", e.Word, e.Problem)
}

func wrong(word, format string, args ...any) error {
	return &LineError{word, fmt.Sprintf(format, args...)}
}

// Parse reads one typed line (grammar: package comment). The entry has no id, is
// written at a.Now, and a strike names its entry as typed, for Book.Find.
func Parse(line string, a Around) (Entry, error) {
	if !utf8.ValidString(line) {
		return Entry{}, wrong("", "the line is not UTF-8 text: type it anew")
	}
	words, note, err := split(line)
	if err != nil {
		return Entry{}, err
	}
	if len(words) == 0 {
		return Entry{}, wrong("", "the line is empty: type what happened, like %q", "connected cabo-lume 12.6045 9min out=38kB")
	}
	a.Now = a.Now.UTC().Truncate(time.Millisecond)
	if strings.EqualFold(words[0].text, "strike") && !words[0].quoted {
		return parseStrike(words[1:], note, a)
	}
	a.Stations = withPlanned(a)
	p := draft{around: a, remark: note, seen: map[string]bool{}}
	for _, w := range glue(words) {
		if err := p.take(w); err != nil {
			return Entry{}, err
		}
	}
	return p.entry()
}

func parseStrike(words []word, note string, a Around) (Entry, error) {
	if len(words) == 0 {
		return Entry{}, wrong("strike", "names no entry: type its number or id and why it is wrong")
	}
	reason := make([]string, 0, len(words))
	for _, w := range words[1:] {
		reason = append(reason, w.text)
	}
	if note != "" {
		reason = append(reason, note)
	}
	e := Entry{At: a.Now, Written: a.Now, Strike: &Strike{words[0].text, strings.TrimSpace(strings.Join(reason, " "))}}
	return checked(e)
}

// checked gives a parsed entry the last look that any entry gets; its id comes later.
func checked(e Entry) (Entry, error) {
	withID := e
	withID.ID = "-"
	if err := withID.Check(); err != nil {
		return Entry{}, wrong("", "%v", err)
	}
	return e, nil
}
