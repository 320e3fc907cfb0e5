package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/pressly/goose/v3"
)

func wantTrouble(t *testing.T, err error, want Trouble) {
	t.Helper()
	var typed *FileError
	if !errors.As(err, &typed) || typed.Trouble != want {
		t.Fatalf("error %v, want a *FileError of trouble %q", err, want)
	}
	if s := err.Error(); strings.Contains(s, "\n") || typed.Problem == "" || typed.Hint == "" || !strings.Contains(s, strconv.Quote(typed.Path)) {
		t.Errorf("%q is not one sentence with what, where and what to do", s)
	}
}

func openErr(t *testing.T, path string) error {
	t.Helper()
	db, err := Open(t.Context(), path)
	if err == nil {
		db.Close()
		t.Fatalf("Open(%q) gives no error", path)
	}
	if db != nil {
		t.Errorf("Open(%q) returns both a store and %v", path, err)
	}
	return err
}

func folder(t *testing.T) (dir string, list func() []string) {
	dir = t.TempDir()
	return dir, func() []string {
		list, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		names := []string{}
		for _, e := range list {
			names = append(names, e.Name())
		}
		return names
	}
}

func TestOpenTroubles(t *testing.T) {
	dir := t.TempDir()
	write := func(name, content string) string {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		return p
	}
	wantTrouble(t, openErr(t, filepath.Join(dir, "none.db")), Missing)
	wantTrouble(t, openErr(t, filepath.Join(dir, "none", "none.db")), Missing)
	wantTrouble(t, openErr(t, dir), Foreign)
	wantTrouble(t, openErr(t, write("empty.db", "")), Foreign)
	wantTrouble(t, openErr(t, write("text.db", strings.Repeat("Dear Ada, ", 500))), Foreign)
	if _, err := os.Stat(filepath.Join(dir, "none.db")); err == nil {
		t.Error("Open made a file")
	}
}

// A database of another program is refused and not touched.
func TestOpenForeign(t *testing.T) {
	path := filepath.Join(t.TempDir(), "other.db")
	db := create(t, path)
	for _, s := range []string{"PRAGMA journal_mode = DELETE", "PRAGMA application_id = 252006673"} {
		if _, err := db.sql.ExecContext(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	db.Close()
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	wantTrouble(t, openErr(t, path), Foreign)
	if after, _ := os.ReadFile(path); !reflect.DeepEqual(after, before) {
		t.Error("Open changed a file that is not ours")
	}
}

func TestOpenNewer(t *testing.T) {
	path := filepath.Join(t.TempDir(), "desk.db")
	db := create(t, path)
	if _, err := db.sql.ExecContext(t.Context(), "INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, TRUE)"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	wantTrouble(t, openErr(t, path), Newer)
}

// A schema of tomorrow: the store of today is copied, then brought up to date.
func TestUpgrade(t *testing.T) {
	dir, list := folder(t)
	path := filepath.Join(dir, "desk.db")
	db := create(t, path)
	add(t, db, "m1")
	db.Close()
	tomorrow := fstest.MapFS{}
	steps, err := fs.Glob(migrations, "*.sql")
	if err != nil || len(steps) == 0 {
		t.Fatal(steps, err)
	}
	for _, name := range steps {
		b, err := fs.ReadFile(migrations, name)
		if err != nil {
			t.Fatal(err)
		}
		tomorrow[name] = &fstest.MapFile{Data: b}
	}
	step := fmt.Sprintf("%05d_colour.sql", len(steps)+1)
	tomorrow[step] = &fstest.MapFile{Data: []byte("-- +goose Up\nALTER TABLE messages ADD COLUMN colour TEXT;\nNONSENSE;\n")}
	if db, err := open(t.Context(), path, "rw", patience, tomorrow); err == nil {
		db.Close()
		t.Fatal("a step that fails gives no error")
	}
	if db, err = Open(t.Context(), path); err != nil {
		t.Fatalf("after a step that failed: %v, want the store as it was", err)
	}
	db.Close()
	tomorrow[step] = &fstest.MapFile{Data: []byte("-- +goose Up\nALTER TABLE messages ADD COLUMN colour TEXT;\n")}
	for range 2 { // the second time there is nothing to do
		if db, err = open(t.Context(), path, "rw", patience, tomorrow); err != nil {
			t.Fatal(err)
		}
		if _, err := db.sql.ExecContext(t.Context(), "UPDATE messages SET colour = 'grey'"); err != nil {
			t.Error(err)
		}
		if s := states(t, db); s != "m1:queued" {
			t.Errorf("messages after the upgrade: %q", s)
		}
		db.Close()
	}
	wantTrouble(t, openErr(t, path), Newer)
	if got, want := list(), []string{"desk.db", fmt.Sprint("desk.db.schema-", len(steps)), fmt.Sprintf("desk.db.schema-%d.2", len(steps))}; !reflect.DeepEqual(got, want) {
		t.Errorf("folder holds %q, want %q", got, want)
	}
	if db, err = Open(t.Context(), path+fmt.Sprintf(".schema-%d.2", len(steps))); err != nil {
		t.Fatalf("the copy: %v", err)
	}
	defer db.Close()
	if s := states(t, db); s != "m1:queued" {
		t.Errorf("messages in the copy: %q", s)
	}
}

// A store of the first schema, as it was written on 2026-11-25, gets what came later.
func TestUpgradeFromTheFirst(t *testing.T) {
	path := filepath.Join(t.TempDir(), "desk.db")
	first, err := fs.ReadFile(migrations, "00001_first.sql")
	if err != nil {
		t.Fatal(err)
	}
	db, err := OpenMemory(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, s := range []string{"DROP TABLE deliveries", "DROP TABLE originals", "DROP TABLE log", "DROP TABLE messages", "DROP TABLE bulletins", "DROP TABLE settings", "DROP TABLE " + goose.DefaultTablename} {
		if _, err := db.sql.ExecContext(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.migrate(t.Context(), fstest.MapFS{"00001_first.sql": {Data: first}}); err != nil {
		t.Fatal(err)
	}
	if _, err := db.sql.ExecContext(t.Context(), `INSERT INTO messages (id, hash, precedence, state, queued_at, changed_at, bytes_on_air, meta)
		VALUES ('old', 'h', 'routine', 'queued', 0, 0, 9, 'null')`); err != nil {
		t.Fatal(err)
	}
	if err := db.Backup(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	now, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer now.Close()
	if m, err := now.Message(t.Context(), "old"); err != nil || m.Rank != 0 || m.OnAir != 9 {
		t.Errorf("a message of the first schema reads %+v, %v", m, err)
	}
}

func TestCreate(t *testing.T) {
	dir, list := folder(t)
	path := filepath.Join(dir, `100% café #1?&_pragma=x "q".db`)
	db := create(t, path)
	add(t, db, "m1")
	again, err := Create(t.Context(), path)
	if again != nil {
		t.Error("Create over a store returns one")
	}
	wantTrouble(t, err, Exists)
	if s := states(t, db); s != "m1:queued" {
		t.Errorf("Create over a store left %q", s)
	}
	db.Close()
	if got := list(); !reflect.DeepEqual(got, []string{filepath.Base(path)}) {
		t.Errorf("folder holds %q, want the store alone", got)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm()&0o077 != 0 {
		t.Errorf("mode %v, %v: mail is for its owner only", info.Mode(), err)
	}
	_, err = Create(t.Context(), filepath.Join(dir, "none", "desk.db"))
	wantTrouble(t, err, Missing)

	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Create(stopped, filepath.Join(dir, "late.db")); !errors.Is(err, context.Canceled) {
		t.Errorf("Create when stopped: %v, want context.Canceled", err)
	}
	if got := list(); len(got) != 1 {
		t.Errorf("Create when stopped left %q", got)
	}
}

// The settings on which nothing being lost depends.
func TestConnectionSettings(t *testing.T) {
	db := create(t, filepath.Join(t.TempDir(), "desk.db"))
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "5000", "application_id": "1178686024"} {
		var got string
		if err := db.sql.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s = %q, %v, want %q", pragma, got, err, want)
		}
	}
}

func TestLocked(t *testing.T) {
	path := filepath.Join(t.TempDir(), "desk.db")
	db := create(t, path)
	add(t, db, "m1")
	other, err := open(t.Context(), path, "rw", 20*time.Millisecond, migrations)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	tx, err := db.sql.BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	_, err = other.Append(t.Context(), attempt("e", "m1"))
	wantTrouble(t, err, Locked)
	if s := states(t, other); s != "m1:queued" { // reading goes on meanwhile
		t.Errorf("messages read while another writes: %q", s)
	}
	tx.Rollback()
	if added, err := other.Append(t.Context(), attempt("e", "m1")); err != nil || !added {
		t.Errorf("Append after the lock was gone = %v, %v", added, err)
	}
	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := db.Append(stopped, attempt("f")); !errors.Is(err, context.Canceled) {
		t.Errorf("Append when stopped: %v, want context.Canceled", err)
	}
}

func TestReadOnly(t *testing.T) {
	path := filepath.Join(t.TempDir(), "desk.db")
	db := create(t, path)
	add(t, db, "m1")
	db.Close()
	db, err := open(t.Context(), path, "ro", patience, migrations)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if s := states(t, db); s != "m1:queued" {
		t.Errorf("messages of a file that cannot be written: %q", s)
	}
	_, err = db.Append(t.Context(), attempt("e"))
	wantTrouble(t, err, ReadOnly)
	_, err = db.Check(t.Context())
	wantTrouble(t, err, ReadOnly)
}

func TestDiskFull(t *testing.T) {
	db := create(t, filepath.Join(t.TempDir(), "desk.db"))
	db.sql.SetMaxOpenConns(1) // the limit below holds for one connection
	var pages int
	if err := db.sql.QueryRowContext(t.Context(), "PRAGMA page_count").Scan(&pages); err != nil {
		t.Fatal(err)
	}
	if err := db.sql.QueryRowContext(t.Context(), "PRAGMA max_page_count = 1").Scan(&pages); err != nil {
		t.Fatal(err)
	}
	added, err := db.AddMessage(t.Context(), message("big"), make([]byte, 1<<20))
	if added {
		t.Error("added to a full disk")
	}
	wantTrouble(t, err, Full)
	if s := states(t, db); s != "" {
		t.Errorf("a full disk left %q", s)
	}
}

func TestCheckFindsDamage(t *testing.T) {
	for name, c := range map[string]struct{ damage, want string }{
		"queue ahead of log":    {"UPDATE messages SET state = 'delivered' WHERE id = 'm2'", `message "m2" counts as delivered`},
		"queue behind log":      {"UPDATE messages SET state = 'queued' WHERE id = 'm1'", `message "m1" is still queued, but log entry "e1"`},
		"original lost":         {"DROP TRIGGER originals_no_delete; DELETE FROM originals WHERE message = 'm2'", `original of message "m2" is damaged`},
		"original changed":      {"DROP TRIGGER originals_no_update; UPDATE originals SET raw = X'00' WHERE message = 'm1'", `original of message "m1" is damaged`},
		"log with a hole":       {"PRAGMA foreign_keys = 0; DROP TRIGGER log_no_delete; DELETE FROM log WHERE id = 'e2'", "names something that is not in table log"},
		"strike without target": {"PRAGMA foreign_keys = 0; DROP TRIGGER log_no_delete; DELETE FROM log WHERE id = 'e2'", "the log does not hang together"},
	} {
		t.Run(name, func(t *testing.T) {
			db := create(t, filepath.Join(t.TempDir(), "desk.db"))
			db.sql.SetMaxOpenConns(1)
			add(t, db, "m1", "m2")
			write(t, db, attempt("e1", "m1"), attempt("e2"), strike("s2", "e2"))
			if _, err := db.sql.ExecContext(t.Context(), c.damage); err != nil {
				t.Fatal(err)
			}
			r, err := db.Check(t.Context())
			if err != nil || !strings.Contains(strings.Join(r.Problems, "\n"), c.want) {
				t.Errorf("Check = %q, %v, want a problem with %q", r.Problems, err, c.want)
			}
		})
	}
}

// Bytes knocked out anywhere: an error or a finding, never silence about it and
// never a panic.
func TestCorruptFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "desk.db")
	db := create(t, path)
	add(t, db, "m1", "m2", "m3")
	for _, id := range strings.Fields("a b c d e f g h i j k l m n o p q r s t u v w x y z") {
		write(t, db, attempt(id))
	}
	db.Close()
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	found := 0
	for at := 0; at < len(whole); at += page {
		spoiled := append([]byte{}, whole...)
		for i := range min(page, len(whole)-at) {
			spoiled[at+i] ^= 0x55
		}
		if err := os.WriteFile(path, spoiled, 0o600); err != nil {
			t.Fatal(err)
		}
		db, err := Open(t.Context(), path)
		if err != nil {
			found++
			var typed *FileError
			if !errors.As(err, &typed) {
				t.Errorf("page %d spoiled: Open gives %v, want a *FileError", at/page, err)
			}
			continue
		}
		r, err := db.Check(t.Context())
		db.Close()
		if err == nil && len(r.Problems) == 0 {
			t.Errorf("page %d spoiled: Check finds nothing", at/page)
			continue
		}
		found++
		var typed *FileError
		if err != nil && !errors.As(err, &typed) {
			t.Errorf("page %d spoiled: Check gives %v, want a *FileError", at/page, err)
		}
	}
	if found < 10 {
		t.Fatalf("only %d spoiled pages found: the test tests too little", found)
	}
	cut := filepath.Join(filepath.Dir(path), "cut.db")
	if err := os.WriteFile(cut, whole[:len(whole)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	if db, err := Open(t.Context(), cut); err == nil {
		defer db.Close()
		r, err := db.Check(t.Context())
		if err == nil && len(r.Problems) == 0 {
			t.Error("a file cut in half: Check finds nothing")
		}
	}
}

func TestBackup(t *testing.T) {
	dir, list := folder(t)
	db := create(t, filepath.Join(dir, "desk.db"))
	add(t, db, "m1", "m2")
	write(t, db, attempt("e", "m1"))
	path := filepath.Join(dir, "it's a copy.db")
	if err := db.Backup(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	wantTrouble(t, db.Backup(t.Context(), path), Exists)
	wantTrouble(t, db.Backup(t.Context(), filepath.Join(dir, "none", "x.db")), Missing)
	write(t, db, attempt("later", "m2"))
	back, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	r, err := back.Check(t.Context())
	if err != nil || len(r.Problems) > 0 || r.Messages != 2 || r.Entries != 1 {
		t.Errorf("Check of the copy: %+v, %v", r, err)
	}
	if s := states(t, back); s != "m1:delivered m2:queued" {
		t.Errorf("the copy holds %q", s)
	}
	write(t, back, attempt("other", "m2")) // a copy is a store
	back.Close()
	db.Close()
	if got := list(); len(got) != 2 {
		t.Errorf("folder holds %q, want the store and its copy", got)
	}
}
