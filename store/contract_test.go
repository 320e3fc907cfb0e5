package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"farhail/hf/earth"
	"farhail/logbook"
	"farhail/unit"
)

var now = time.Date(2026, 11, 25, 17, 59, 0, 0, time.UTC)

// openers holds every kind of store; each must keep the same contract.
var openers = map[string]func(*testing.T) *DB{
	"sqlite file": func(t *testing.T) *DB { return create(t, filepath.Join(t.TempDir(), "desk.db")) },
	"sqlite memory": func(t *testing.T) *DB {
		db, err := OpenMemory(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { db.Close() })
		return db
	},
}

func create(t testing.TB, path string) *DB {
	t.Helper()
	db, err := Create(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func TestContract(t *testing.T) {
	for name, open := range openers {
		for clause, check := range map[string]func(*testing.T, *DB){
			"messages": messagesContract, "states": statesContract, "ranks": ranksContract, "log": logContract, "strike": strikeContract,
			"atomic": atomicContract, "filter": filterContract, "append-only": appendOnlyContract,
			"bulletins": bulletinsContract, "settings": settingsContract, "many writers": writersContract,
		} {
			t.Run(name+"/"+clause, func(t *testing.T) {
				db := open(t)
				check(t, db)
				sound, err := db.Check(t.Context())
				if err != nil || len(sound.Problems) > 0 {
					t.Errorf("Check afterwards: %v, %q", err, sound.Problems)
				}
			})
		}
	}
}

func message(id string) Message {
	return Message{ID: id, Hash: "h" + id, Precedence: "priority", State: Queued, QueuedAt: now, OnAir: 900}
}

func add(t *testing.T, db *DB, ids ...string) {
	t.Helper()
	for _, id := range ids {
		if added, err := db.AddMessage(t.Context(), message(id), []byte("Subject: "+id+"\r\n\r\n")); err != nil || !added {
			t.Fatalf("AddMessage(%s) = %v, %v", id, added, err)
		}
	}
}

func attempt(id string, delivered ...string) logbook.Entry {
	return logbook.Entry{ID: id, At: now, Written: now.Add(9 * time.Minute), Attempt: &logbook.Attempt{
		Station: "Cabo Lume", Freq: 12604.5 * unit.KHz, Outcome: logbook.Connected, Delivered: delivered}}
}

func strike(id, of string) logbook.Entry {
	return logbook.Entry{ID: id, At: now, Written: now.Add(time.Hour), Strike: &logbook.Strike{Of: of, Reason: "wrong station"}}
}

func write(t *testing.T, db *DB, entries ...logbook.Entry) {
	t.Helper()
	for _, e := range entries {
		if added, err := db.Append(t.Context(), e); err != nil || !added {
			t.Fatalf("Append(%s) = %v, %v", e.ID, added, err)
		}
	}
}

// states returns "id:state" of all messages in their order.
func states(t *testing.T, db *DB) string {
	t.Helper()
	list, err := db.Messages(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var s []string
	for _, m := range list {
		s = append(s, m.ID+":"+string(m.State))
	}
	return strings.Join(s, " ")
}

func wantRecordError(t *testing.T, what string, err error, want string) {
	t.Helper()
	var typed *RecordError
	if !errors.As(err, &typed) || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
		t.Errorf("%s: %v, want a *RecordError with %q", what, err, want)
	}
}

func messagesContract(t *testing.T, db *DB) {
	raw := bytes.Repeat([]byte("\x00\xff\r\n."), 400_000) // 2 MB that is no text
	m := message("4f1c")
	m.Deadline, m.Meta, m.State = now.Add(36*time.Hour+time.Millisecond), json.RawMessage(`{"to":["a@b.example"]}`), Held
	if added, err := db.AddMessage(t.Context(), m, raw); err != nil || !added {
		t.Fatalf("AddMessage = %v, %v", added, err)
	}
	got, err := db.Message(t.Context(), "4f1c")
	want := m
	want.ChangedAt = m.QueuedAt
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("Message = %+v, %v, want %+v", got, err, want)
	}
	if back, err := db.Original(t.Context(), "4f1c"); err != nil || !bytes.Equal(back, raw) {
		t.Errorf("Original: %d octets, %v, want the %d that were put in", len(back), err, len(raw))
	}
	m.Precedence = "flash" // a copy says otherwise: the first stays
	if added, err := db.AddMessage(t.Context(), m, raw); err != nil || added {
		t.Errorf("AddMessage again = %v, %v, want false", added, err)
	}
	if again, _ := db.Message(t.Context(), "4f1c"); !reflect.DeepEqual(again, want) {
		t.Errorf("the copy changed the message to %+v", again)
	}
	if same, err := db.SameContent(t.Context(), "h4f1c"); err != nil || len(same) != 1 {
		t.Errorf("SameContent = %v, %v, want the message", same, err)
	}
	early := message("0a")
	early.QueuedAt = now.Add(-time.Hour)
	if _, err := db.AddMessage(t.Context(), early, []byte("x")); err != nil {
		t.Fatal(err)
	}
	if s := states(t, db); s != "0a:queued 4f1c:held" {
		t.Errorf("messages in order queued: %s", s)
	}
	if held, err := db.Messages(t.Context(), Held, Dropped); err != nil || len(held) != 1 {
		t.Errorf("Messages(held, dropped) = %v, %v, want one", held, err)
	}
	for want, spoil := range map[string]func(*Message){
		"another message of the same id": func(m *Message) { m.Hash = "other" },
		"no sound id":                    func(m *Message) { m.ID = "a b" },
		"has no hash":                    func(m *Message) { m.Hash = "" },
		"precedence \"urgent\"":          func(m *Message) { m.Precedence = "urgent" },
		"cannot be added as":             func(m *Message) { m.State = Delivered },
		"when it was queued":             func(m *Message) { m.QueuedAt = time.Time{} },
		"-1 octets":                      func(m *Message) { m.OnAir = -1 },
		"not JSON":                       func(m *Message) { m.Meta = json.RawMessage("{") },
	} {
		bad := message("4f1c")
		spoil(&bad)
		added, err := db.AddMessage(t.Context(), bad, raw)
		if added {
			t.Errorf("%s: added", want)
		}
		wantRecordError(t, "AddMessage", err, want)
	}
	_, err = db.AddMessage(t.Context(), message("new"), nil)
	wantRecordError(t, "AddMessage without original", err, "no original")
	_, err = db.Message(t.Context(), "none")
	wantRecordError(t, "Message", err, "not in the store")
	_, err = db.Original(t.Context(), "none")
	wantRecordError(t, "Original", err, "not in the store")
}

func statesContract(t *testing.T, db *DB) {
	add(t, db, "a")
	later := now.Add(time.Minute)
	for _, err := range []error{
		db.SetState(t.Context(), "a", Held, later), db.SetPrecedence(t.Context(), "a", "flash", later),
		db.SetDeadline(t.Context(), "a", now.Add(time.Hour), later),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	m, err := db.Message(t.Context(), "a")
	if err != nil || m.State != Held || m.Precedence != "flash" || !m.Deadline.Equal(now.Add(time.Hour)) || !m.ChangedAt.Equal(later) {
		t.Errorf("after the changes: %+v, %v", m, err)
	}
	if err := db.SetDeadline(t.Context(), "a", time.Time{}, later); err != nil {
		t.Fatal(err)
	}
	if m, _ := db.Message(t.Context(), "a"); !m.Deadline.IsZero() {
		t.Errorf("deadline %v after it was taken away", m.Deadline)
	}
	wantRecordError(t, "SetState", db.SetState(t.Context(), "a", Delivered, later), "give queued, held or dropped")
	wantRecordError(t, "SetState", db.SetState(t.Context(), "b", Held, later), "not in the store")
	wantRecordError(t, "SetPrecedence", db.SetPrecedence(t.Context(), "a", "slow", later), "give routine")
	write(t, db, attempt("e", "a"))
	wantRecordError(t, "SetState", db.SetState(t.Context(), "a", Queued, later), "was delivered")
}

// Ranks are set all or none, stay through other changes, and go with the precedence.
func ranksContract(t *testing.T, db *DB) {
	add(t, db, "a", "b", "c", "d")
	write(t, db, attempt("e", "d"))
	later := now.Add(time.Minute)
	ranks := func() string {
		list, err := db.Messages(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		var s []string
		for _, m := range list {
			s = append(s, fmt.Sprint(m.ID, m.Rank))
		}
		return strings.Join(s, " ")
	}
	if err := db.SetRanks(t.Context(), map[string]int{"a": -2, "b": -1, "c": 3}, later); err != nil {
		t.Fatal(err)
	}
	if got := ranks(); got != "a-2 b-1 c3 d0" {
		t.Errorf("ranks %s", got)
	}
	if m, _ := db.Message(t.Context(), "a"); !m.ChangedAt.Equal(later) {
		t.Errorf("changed at %v, want %v", m.ChangedAt, later)
	}
	wantRecordError(t, "SetRanks", db.SetRanks(t.Context(), map[string]int{"a": 7, "b": 7, "c": 7, "d": 7}, later), "was delivered")
	wantRecordError(t, "SetRanks", db.SetRanks(t.Context(), map[string]int{"a": 7, "b": 7, "c": 7, "none": 7}, later), "not in the store")
	if got := ranks(); got != "a-2 b-1 c3 d0" {
		t.Errorf("after refusals: ranks %s", got)
	}
	for _, err := range []error{
		db.SetPrecedence(t.Context(), "a", "priority", later), db.SetPrecedence(t.Context(), "c", "flash", later),
		db.SetDeadline(t.Context(), "b", later, later), db.SetState(t.Context(), "b", Held, later),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if got := ranks(); got != "a-2 b-1 c0 d0" {
		t.Errorf("after other changes: ranks %s", got)
	}
	m := message("f")
	m.Rank = 5
	if _, err := db.AddMessage(t.Context(), m, []byte("x")); err != nil {
		t.Fatal(err)
	}
	if got := ranks(); got != "a-2 b-1 c0 d0 f5" {
		t.Errorf("after one was added with a rank: %s", got)
	}
}

func logContract(t *testing.T, db *DB) {
	add(t, db, "m1", "m2", "m3")
	p, in, out := earth.At(38.5123456, -28.6), unit.DB(12.5), unit.DB(-3)
	full := logbook.Entry{ID: "261125-1750-kfmp", At: now, Written: now.Add(time.Millisecond), Attempt: &logbook.Attempt{
		Station: "Cabo Lume", Freq: 12604.5 * unit.KHz, Waveform: "serial-2400", Outcome: logbook.BrokenOff, Out: 38100, In: 2000,
		Took: 9*time.Minute + 30*time.Second, SNROut: &out, SNRIn: &in, Power: 80, Position: &p, Delivered: []string{"m3", "m1"}, Remark: "fading, 'deep'",
		Promised: &logbook.Forecast{Chance: .61, Bytes: 38000, Index: "IG12", Value: 80.5, Full: json.RawMessage(`{"mode":"2F2"}`)},
	}}
	bare := attempt("bare")
	heard := logbook.Entry{ID: "heard", At: now.Add(-time.Hour), Written: now, Listening: &logbook.Listening{Station: "Time signal", Freq: 10 * unit.MHz, Heard: logbook.NotHeard,
		SNR: &out, Position: &p, Promised: &logbook.Forecast{Chance: .2}, Remark: "hum"}}
	want := []logbook.Entry{full, bare, heard, strike("s", "bare")}
	write(t, db, want...)
	got, err := db.Entries(t.Context(), EntryFilter{})
	if err != nil || len(got) != len(want) {
		t.Fatalf("Entries: %d, %v, want %d", len(got), err, len(want))
	}
	for i := range want {
		// Radians back from the degrees of the row differ in the last place.
		for _, q := range []*earth.Point{position(got[i]), position(want[i])} {
			if q != nil {
				*q = p
			}
		}
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Errorf("entry %d:\n%+v %+v\nwant\n%+v %+v", i, got[i], got[i].Attempt, want[i], want[i].Attempt)
		}
	}
	if s := states(t, db); s != "m1:delivered m2:queued m3:delivered" {
		t.Errorf("after the call: %s", s)
	}
	if added, err := db.Append(t.Context(), full); err != nil || added {
		t.Errorf("Append of the same entry again = %v, %v, want false", added, err)
	}
	if added, err := db.Append(t.Context(), got[0]); err != nil || added {
		t.Errorf("Append of the entry as read = %v, %v, want false", added, err)
	}
	full.Attempt.Out++
	_, err = db.Append(t.Context(), full)
	wantRecordError(t, "Append of another entry of the same id", err, "written already and reads otherwise")
}

func position(e logbook.Entry) *earth.Point {
	switch {
	case e.Attempt != nil:
		return e.Attempt.Position
	case e.Listening != nil:
		return e.Listening.Position
	}
	return nil
}

func strikeContract(t *testing.T, db *DB) {
	add(t, db, "m1", "m2", "m3")
	if err := db.SetState(t.Context(), "m2", Held, now); err != nil {
		t.Fatal(err)
	}
	write(t, db, attempt("e1", "m1", "m2"), attempt("e2", "m2"))
	for _, step := range []struct{ id, of, want string }{
		{"s1", "e1", "m1:queued m2:delivered m3:queued"}, // m2 went by e2 too
		{"s2", "e2", "m1:queued m2:held m3:queued"},
	} {
		write(t, db, strike(step.id, step.of))
		if s := states(t, db); s != step.want {
			t.Errorf("after striking %s: %s, want %s", step.of, s, step.want)
		}
	}
	// Held when it went the second time, so held again after that is struck.
	if err := db.SetState(t.Context(), "m1", Held, now); err != nil {
		t.Fatal(err)
	}
	write(t, db, attempt("e3", "m1"), strike("s3", "e3"))
	if s := states(t, db); s != "m1:held m2:held m3:queued" {
		t.Errorf("after the second delivery was struck: %s", s)
	}
	for want, e := range map[string]logbook.Entry{
		"not in the store": strike("x", "none"), "itself a strike": strike("x", "s1"), `struck already by "s1"`: strike("x", "e1"),
	} {
		_, err := db.Append(t.Context(), e)
		wantRecordError(t, "Append of a strike", err, want)
	}
}

// Of an entry that cannot be written whole, nothing is written.
func atomicContract(t *testing.T, db *DB) {
	add(t, db, "m1")
	_, err := db.Append(t.Context(), attempt("e", "m1", "none"))
	wantRecordError(t, "Append naming a message that is not there", err, `message "none" is not in the store`)
	if list, _ := db.Entries(t.Context(), EntryFilter{}); len(list) != 0 {
		t.Errorf("%d entries after a refused one", len(list))
	}
	if s := states(t, db); s != "m1:queued" {
		t.Errorf("after a refused entry: %s", s)
	}
	var field *logbook.FieldError
	if _, err := db.Append(t.Context(), logbook.Entry{ID: "x"}); !errors.As(err, &field) {
		t.Errorf("Append of an empty entry: %v, want a *logbook.FieldError", err)
	}
	write(t, db, attempt("e", "m1")) // the id is still free
}

func filterContract(t *testing.T, db *DB) {
	old, other, fresh := attempt("old"), attempt("other"), attempt("new")
	old.At, other.Attempt.Station = now.Add(-48*time.Hour), "Pedra Alta"
	write(t, db, old, other, fresh, strike("s-old", "old"), strike("s-new", "new"))
	for want, f := range map[string]EntryFilter{
		"old other new s-old s-new": {},
		"other new s-new":           {Since: now},
		"old s-old":                 {Until: now},
		"new s-new":                 {Since: now, Station: "Cabo Lume"},
		"other":                     {Station: "Pedra Alta"},
		"":                          {Since: now.Add(time.Millisecond)},
	} {
		list, err := db.Entries(t.Context(), f)
		var ids []string
		for _, e := range list {
			ids = append(ids, e.ID)
		}
		if got := strings.Join(ids, " "); err != nil || got != want {
			t.Errorf("Entries(%+v) = %q, %v, want %q", f, got, err, want)
		}
		if _, err := logbook.Fold(list); err != nil {
			t.Errorf("Entries(%+v) does not fold: %v", f, err)
		}
	}
}

// Whoever opens the file with other tools cannot rewrite the past either.
func appendOnlyContract(t *testing.T, db *DB) {
	add(t, db, "m1")
	write(t, db, attempt("e1", "m1"), strike("s1", "e1"))
	flux := 150.0
	if _, err := db.AddBulletin(t.Context(), Bulletin{ID: "b", At: now, Flux: &flux}); err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{
		"UPDATE log SET remark = 'x'", "DELETE FROM log", "DELETE FROM log WHERE id = 's1'",
		"UPDATE deliveries SET place = 7", "DELETE FROM deliveries",
		"UPDATE originals SET raw = sha256", "DELETE FROM originals", "UPDATE bulletins SET at = 0", "DELETE FROM bulletins",
		"REPLACE INTO log (id, kind, at, written, remark) VALUES ('e1', 'attempt', 0, 0, '')",
		"REPLACE INTO log (seq, id, kind, at, written, remark) VALUES (1, 'e9', 'attempt', 0, 0, '')",
		"REPLACE INTO deliveries (message, entry, place, was) VALUES ('m1', 'e1', 0, 'held')",
		"REPLACE INTO originals (message, sha256, raw) VALUES ('m1', '', '')",
		"REPLACE INTO bulletins (id, at, source) VALUES ('b', 0, '')",
		"DELETE FROM messages",
	} {
		if r, err := db.sql.ExecContext(t.Context(), s); err == nil {
			n, _ := r.RowsAffected()
			t.Errorf("%s: allowed, %d rows", s, n)
		}
	}
	if list, err := db.Entries(t.Context(), EntryFilter{}); err != nil || len(list) != 2 || !reflect.DeepEqual(list[0].Attempt.Delivered, []string{"m1"}) {
		t.Errorf("log afterwards: %+v, %v", list, err)
	}
}

func bulletinsContract(t *testing.T, db *DB) {
	flux, a, k := 151.5, 12.0, 3.0
	want := []Bulletin{{ID: "b1", At: now, Flux: &flux, A: &a, K: &k, Source: "18 minutes past"}, {ID: "b0", At: now.Add(time.Hour), K: &k}}
	for _, b := range want {
		if added, err := db.AddBulletin(t.Context(), b); err != nil || !added {
			t.Fatalf("AddBulletin = %v, %v", added, err)
		}
	}
	if added, err := db.AddBulletin(t.Context(), want[0]); err != nil || added {
		t.Errorf("AddBulletin again = %v, %v, want false", added, err)
	}
	if got, err := db.Bulletins(t.Context(), time.Time{}); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("Bulletins = %+v, %v, want %+v", got, err, want)
	}
	if got, err := db.Bulletins(t.Context(), now.Add(time.Millisecond)); err != nil || len(got) != 1 {
		t.Errorf("Bulletins since = %+v, %v, want one", got, err)
	}
	low, high := 5.0, 10.0
	for want, b := range map[string]Bulletin{
		"no id": {At: now, K: &k}, "when it was heard": {ID: "x", K: &k}, "says nothing": {ID: "x", At: now},
		"flux of 5": {ID: "x", At: now, Flux: &low}, "K index of 10": {ID: "x", At: now, K: &high},
	} {
		_, err := db.AddBulletin(t.Context(), b)
		wantRecordError(t, "AddBulletin", err, want)
	}
}

func settingsContract(t *testing.T, db *DB) {
	if v, ok, err := db.Setting(t.Context(), "clock"); v != "" || ok || err != nil {
		t.Errorf("Setting of none = %q, %v, %v", v, ok, err)
	}
	for _, v := range []string{"2026-11-25T17:38Z", ""} {
		if err := db.SetSetting(t.Context(), "clock", v); err != nil {
			t.Fatal(err)
		}
		if got, ok, err := db.Setting(t.Context(), "clock"); got != v || !ok || err != nil {
			t.Errorf("Setting = %q, %v, %v, want %q", got, ok, err, v)
		}
	}
	if err := db.SetSetting(t.Context(), "", "x"); err == nil {
		t.Error("SetSetting without a name gives no error")
	}
}

func writersContract(t *testing.T, db *DB) {
	const writers, each = 8, 10
	var all sync.WaitGroup
	for w := range writers {
		all.Go(func() {
			for i := range each {
				if _, err := db.Append(t.Context(), attempt(fmt.Sprintf("w%d-%d", w, i))); err != nil {
					t.Error(err)
				}
				if _, err := db.Entries(t.Context(), EntryFilter{}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if list, err := db.Entries(t.Context(), EntryFilter{}); err != nil || len(list) != writers*each {
		t.Errorf("%d entries, %v, want %d", len(list), err, writers*each)
	}
}
