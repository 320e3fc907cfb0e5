package logbook

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"farhail/hf/earth"
	"farhail/unit"
)

func attempt(id string, o Outcome, delivered ...string) Entry {
	return Entry{ID: id, At: now, Written: now, Attempt: &Attempt{Station: "Cabo Lume", Freq: 12604.5 * unit.KHz, Outcome: o, Delivered: delivered}}
}

func strike(id, of string) Entry {
	return Entry{ID: id, At: now, Written: now, Strike: &Strike{of, "wrong station"}}
}

func TestStrikingNeverDeletes(t *testing.T) {
	b, err := Fold([]Entry{attempt("a", Connected, "m1", "m2"), attempt("b", Connected, "m2"), strike("c", "a")})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(b.Rows()); n != 3 {
		t.Errorf("%d rows, want all 3", n)
	}
	var standing []string
	for r := range b.Standing() {
		standing = append(standing, r.ID)
	}
	if !slices.Equal(standing, []string{"b"}) {
		t.Errorf("standing %q, want b only", standing)
	}
	if got := b.DeliveredBy(); !reflect.DeepEqual(got, map[string]string{"m2": "b"}) {
		t.Errorf("delivered %v: m1 went with the struck call, m2 by the other", got)
	}
	if r := b.Rows()[0]; r.Struck == nil || r.Struck.ID != "c" || r.Attempt == nil {
		t.Errorf("the struck row is %+v, want it whole and naming c", r)
	}
}

func TestOrder(t *testing.T) {
	for _, c := range []struct {
		entries []Entry
		want    string
	}{
		{[]Entry{attempt("a", Busy), attempt("a", Busy)}, `"a" is written already`},
		{[]Entry{strike("b", "a"), attempt("a", Busy)}, `"a" is not in the log`},
		{[]Entry{attempt("a", Busy), strike("b", "a"), strike("c", "a")}, `"a" was struck already by "b"`},
		{[]Entry{attempt("a", Busy), strike("b", "a"), strike("c", "b")}, `"b" is itself a strike`},
		{[]Entry{strike("a", "a")}, `"a" is not in the log`},
	} {
		b, err := Fold(c.entries)
		var typed *OrderError
		if !errors.As(err, &typed) || !strings.Contains(err.Error(), c.want) || b != nil {
			t.Errorf("Fold of %d entries: %v %v, want *OrderError with %q", len(c.entries), b, err, c.want)
		}
	}
}

// legible writes what a reader of the log sees.
func legible(b *Book) string {
	var s strings.Builder
	for _, r := range b.Rows() {
		fmt.Fprintf(&s, "%d %s %s", r.No, r.ID, r.Line())
		if r.Struck != nil {
			s.WriteString(" struck by " + r.Struck.ID)
		}
		s.WriteString("\n")
	}
	return s.String()
}

// A law: a refused entry changes nothing, whatever came before it.
func TestRefusedEntryLeavesBook(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var b Book
	for i := range 2000 {
		before := legible(&b)
		e := attempt(fmt.Sprint(r.IntN(60)), []Outcome{Connected, Busy, "lost"}[r.IntN(3)])
		if r.IntN(2) == 0 {
			e = strike(fmt.Sprint(r.IntN(60)), fmt.Sprint(r.IntN(60)))
		}
		n := len(b.Rows())
		if err := b.Append(e); err != nil {
			if after := legible(&b); after != before {
				t.Fatalf("step %d: refused with %v, but the log changed from\n%s to\n%s", i, err, before, after)
			}
		} else if len(b.Rows()) != n+1 {
			t.Fatalf("step %d: accepted, but %d rows after %d", i, len(b.Rows()), n)
		}
	}
	if len(b.Rows()) < 20 {
		t.Fatalf("only %d entries accepted: the walk tests nothing", len(b.Rows()))
	}
	var entries []Entry
	for _, r := range b.Rows() {
		entries = append(entries, r.Entry)
	}
	again, err := Fold(entries)
	if err != nil || !reflect.DeepEqual(again.Rows(), b.Rows()) {
		t.Errorf("Fold of what was appended one by one: %v, not the same book", err)
	}
}

func TestFind(t *testing.T) {
	b, err := Fold([]Entry{attempt("261125-1750-kfmp", Busy), attempt("261125-1751-bbbb", Busy), strike("261125-1752-cccc", "261125-1751-bbbb")})
	if err != nil {
		t.Fatal(err)
	}
	for ref, want := range map[string]int{"1": 1, "#2": 2, "last": 1, "LAST": 1, "261125-1752-cccc": 3, "261125-1751": 2} {
		if r, err := b.Find(ref); err != nil || r.No != want {
			t.Errorf("Find(%q) = row %d, %v, want row %d", ref, r.No, err, want)
		}
	}
	for ref, want := range map[string]string{"0": "not in the log", "4": "not in the log", "": "not in the log", "261125-175": "may mean", "x": "not in the log"} {
		if r, err := b.Find(ref); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Find(%q) = row %d, %v, want an error with %q", ref, r.No, err, want)
		}
	}
	if _, err := new(Book).Find("last"); err == nil {
		t.Error("Find(last) in an empty log gives no error")
	}
}

func TestCheckRefuses(t *testing.T) {
	full := func() Entry {
		p := earth.At(38.5, -28.6)
		return Entry{ID: "a", At: now, Written: now, Attempt: &Attempt{Station: "Cabo Lume", Freq: 12604.5 * unit.KHz, Outcome: Connected,
			SNRIn: db(3), Position: &p, Promised: &Forecast{Chance: .6, Bytes: 38000, Index: "IG12", Value: 80, Full: json.RawMessage(`{}`)}}}
	}
	if err := full().Check(); err != nil {
		t.Fatalf("the sound entry: %v", err)
	}
	for name, c := range map[string]struct {
		spoil func(*Entry)
		want  string
	}{
		"no id":           {func(e *Entry) { e.ID = "" }, "entry id"},
		"id with space":   {func(e *Entry) { e.ID = "a b" }, "entry id"},
		"no time":         {func(e *Entry) { e.At = time.Time{} }, "time of the entry"},
		"clock battery":   {func(e *Entry) { e.Written = time.Unix(0, 0) }, "time of writing"},
		"nothing":         {func(e *Entry) { e.Attempt = nil }, "holds 0 things"},
		"two things":      {func(e *Entry) { e.Strike = &Strike{"x", "y"} }, "holds 2 things"},
		"outcome":         {func(e *Entry) { e.Attempt.Outcome = "won" }, "outcome"},
		"bytes":           {func(e *Entry) { e.Attempt.In = -1 }, "traffic"},
		"busy with bytes": {func(e *Entry) { e.Attempt.Outcome, e.Attempt.Out = Busy, 5 }, "traffic cannot pass"},
		"negative time":   {func(e *Entry) { e.Attempt.Took = -1 }, "length of the call"},
		"power NaN":       {func(e *Entry) { e.Attempt.Power = unit.Power(math.NaN()) }, "power"},
		"station":         {func(e *Entry) { e.Attempt.Station = " - " }, "station"},
		"frequency":       {func(e *Entry) { e.Attempt.Freq = 31 * unit.MHz }, "frequency of 31 MHz"},
		"frequency NaN":   {func(e *Entry) { e.Attempt.Freq = unit.Freq(math.NaN()) }, "frequency"},
		"snr":             {func(e *Entry) { e.Attempt.SNRIn = db(math.Inf(1)) }, "signal-to-noise"},
		"latitude":        {func(e *Entry) { p := earth.At(91, 0); e.Attempt.Position = &p }, "latitude of 91"},
		"longitude NaN":   {func(e *Entry) { p := earth.At(0, math.NaN()); e.Attempt.Position = &p }, "longitude"},
		"chance":          {func(e *Entry) { e.Attempt.Promised.Chance = math.NaN() }, "promised chance"},
		"promised bytes":  {func(e *Entry) { e.Attempt.Promised.Bytes = -1 }, "promised traffic"},
		"index":           {func(e *Entry) { e.Attempt.Promised.Value = math.Inf(-1) }, "solar index"},
		"forecast":        {func(e *Entry) { e.Attempt.Promised.Full = json.RawMessage(`{`) }, "not JSON"},
		"two lines":       {func(e *Entry) { e.Attempt.Remark = "a\nb" }, "remark"},
		"waveform":        {func(e *Entry) { e.Attempt.Waveform = "\xff" }, "waveform"},
		"heard":           {func(e *Entry) { e.Attempt = nil; e.Listening = &Listening{Heard: "loud"} }, "listening check"},
		"strike of none":  {func(e *Entry) { e.Attempt = nil; e.Strike = &Strike{"", "y"} }, "names no entry"},
	} {
		e := full()
		c.spoil(&e)
		if err := e.Check(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: Check = %v, want an error with %q", name, err, c.want)
		}
	}
}

func TestCSV(t *testing.T) {
	p := earth.At(-8.1, -34.9)
	a := attempt("a", Connected, "m1", "m2")
	a.Attempt.Remark, a.Attempt.SNRIn, a.Attempt.Position, a.Attempt.Took = `=cmd(),"x"`, db(-3), &p, 90*time.Second
	a.Attempt.Promised = &Forecast{Chance: .61, Bytes: 38000, Index: "IG12", Value: 80}
	l := Entry{ID: "b", At: now.Add(5 * time.Millisecond), Written: now, Listening: &Listening{Station: "@bel", Freq: 10 * unit.MHz, Heard: Faint}}
	b, err := Fold([]Entry{a, l, strike("c", "a")})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := WriteCSV(&out, b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 4 {
		t.Fatalf("read back: %d lines, %v, want a header and 3", len(rows), err)
	}
	cell := func(row int, column string) string { return rows[row][slices.Index(rows[0], column)] }
	for _, c := range []struct {
		row          int
		column, want string
	}{
		{1, "no", "1"}, {1, "kind", "attempt"}, {1, "at", "2026-11-25T17:59:00Z"}, {2, "at", "2026-11-25T17:59:00.005Z"},
		{1, "mhz", "12.6045"}, {1, "minutes", "1.5"}, {1, "snr_in_db", "-3"}, {1, "snr_out_db", ""}, {1, "lat_deg", "-8.100000"},
		{1, "delivered", "m1 m2"}, {1, "promised_chance", "0.61"}, {1, "index", "IG12"}, {1, "remark", `'=cmd(),"x"`},
		{1, "struck_by", "c"}, {1, "struck_why", "wrong station"}, {2, "station", "'@bel"}, {2, "outcome", "faint"}, {2, "bytes_out", ""},
		{3, "kind", "strike"}, {3, "strikes", "a"}, {3, "remark", "wrong station"},
	} {
		if got := cell(c.row, c.column); got != c.want {
			t.Errorf("line %d, %s = %q, want %q", c.row, c.column, got, c.want)
		}
	}
	if err := WriteCSV(failing{}, b); !errors.Is(err, os.ErrClosed) {
		t.Errorf("WriteCSV to a failing writer = %v, want its error", err)
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, os.ErrClosed }

func TestNewID(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	early, late := NewID(now, r), NewID(now.Add(time.Minute), r)
	if !strings.HasPrefix(early, "261125-1759-") || len(early) != 16 || early >= late {
		t.Errorf("ids %q, %q: want 261125-1759-xxxx, sorting by time", early, late)
	}
	if err := attempt(early, Busy).Check(); err != nil {
		t.Errorf("Check refuses its own id: %v", err)
	}
}
