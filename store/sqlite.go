package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// mark is the application id in the header of our files, "FARH".
const mark = 0x46415248

// patience is how long a writer waits for another process; a commit takes
// milliseconds, so one that waits longer waits for something that hangs.
const patience = 5 * time.Second

// dsn names a file with the settings of each connection. busy_timeout stands
// first, so that the others wait for a lock too. The journal mode is not among
// them: it is a property of the file, and changes the file. A file is not to be
// changed before it is known to be ours.
func dsn(path, mode string, wait time.Duration) string {
	q := "?mode=" + mode +
		"&_pragma=busy_timeout(" + strconv.FormatInt(wait.Milliseconds(), 10) + ")" +
		"&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)" +
		"&_txlock=immediate&_time_format=sqlite&_dqs=0&_defensive=1&_error_rc=1"
	return "file:" + (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath() + q
}

// Open opens the store at path. It makes none: see Create. A store of an older
// program is copied to path.schema-N and then brought up to date.
func Open(ctx context.Context, path string) (*DB, error) {
	return open(ctx, path, "rw", patience, migrations)
}

func open(ctx context.Context, path, mode string, wait time.Duration, schema fs.FS) (*DB, error) {
	db, err := connect(path, mode, wait)
	if err != nil {
		return nil, err
	}
	if err := db.adopt(ctx, schema); err != nil {
		db.sql.Close()
		return nil, err
	}
	return db, nil
}

func connect(path, mode string, wait time.Duration) (*DB, error) {
	trouble := func(t Trouble, problem, hint string, err error) error {
		return &FileError{"open store", path, t, problem, hint, err}
	}
	// Only Stat: to open and close the file by other means than SQLite's would
	// drop the locks this process holds on it (POSIX).
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, trouble(Missing, "there is no such file", "make a station with farhail init, or give the folder of one", err)
	case err != nil:
		return nil, trouble(Unreadable, "the file cannot be reached", "look at the permissions of its folders", err)
	case !info.Mode().IsRegular():
		return nil, trouble(Foreign, "this is not a file", "give the folder of a station that farhail init made", nil)
	case info.Size() == 0:
		return nil, trouble(Foreign, "the file is empty", "restore a backup, or remove the file and make a station with farhail init", nil)
	}
	connector, err := sqlite.NewConnector(dsn(path, mode, wait))
	if err != nil {
		return nil, fmt.Errorf("open store %q: %w", path, err)
	}
	s := sql.OpenDB(connector)
	// One writes, a few read beside it (the page asks for several things at once).
	s.SetMaxOpenConns(4)
	s.SetMaxIdleConns(4)
	return newDB(s, path), nil
}

// adopt makes sure that the file is ours and of our schema before anything else
// is done with it.
func (db *DB) adopt(ctx context.Context, schema fs.FS) error {
	const op = "open store"
	var id uint32
	if err := db.sql.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return db.wrap(op, err)
	}
	if id != mark {
		return &FileError{op, db.path, Foreign, fmt.Sprintf("this is a database of another program (mark %08x, ours is %08x)", id, mark),
			"give the folder of a station that farhail init made", nil}
	}
	if err := db.upgrade(ctx, schema); err != nil {
		return err
	}
	// A backup comes back without a write-ahead log.
	var journal string
	if err := db.sql.QueryRowContext(ctx, "PRAGMA journal_mode").Scan(&journal); err != nil {
		return db.wrap(op, err)
	}
	if journal != "wal" {
		return db.useWAL(ctx)
	}
	return nil
}

func (db *DB) useWAL(ctx context.Context) error {
	_, err := db.sql.ExecContext(ctx, "PRAGMA journal_mode = WAL")
	return db.wrap("open store", err)
}

// Create makes a new, empty store at path and opens it. The file appears whole or
// not at all; one that is there already stays as it is (Trouble Exists).
func Create(ctx context.Context, path string) (*DB, error) {
	err := beside(path, "create store", func(tmp string) error {
		connector, err := sqlite.NewConnector(dsn(tmp, "rw", patience))
		if err != nil {
			return err
		}
		db := newDB(sql.OpenDB(connector), tmp)
		defer os.Remove(tmp + "-wal")
		defer os.Remove(tmp + "-shm")
		if err := errors.Join(db.useWAL(ctx), db.migrate(ctx, migrations)); err != nil {
			db.sql.Close()
			return err
		}
		return db.sql.Close()
	})
	if err != nil {
		return nil, err
	}
	return Open(ctx, path)
}

// OpenMemory makes a store that lives as long as the process: for demos and tests.
func OpenMemory(ctx context.Context) (*DB, error) {
	connector, err := sqlite.NewConnector(dsn("desk", "memory", patience))
	if err != nil {
		return nil, fmt.Errorf("open store in memory: %w", err)
	}
	s := sql.OpenDB(connector)
	s.SetMaxOpenConns(1) // each connection would be a store of its own
	s.SetMaxIdleConns(1)
	db := newDB(s, ":memory:")
	if err := db.migrate(ctx, migrations); err != nil {
		s.Close()
		return nil, err
	}
	return db, nil
}

// Backup writes the store as it stands to a new file at path, while others may go
// on writing. The file appears whole or not at all; it is itself a store.
func (db *DB) Backup(ctx context.Context, path string) error {
	return beside(path, "back up store to", func(tmp string) error {
		_, err := db.sql.ExecContext(ctx, "VACUUM INTO $1", tmp)
		return db.wrap("back up store", err)
	})
}

// file looks at the structure of the file and the references between its tables.
func (r *Report) file(ctx context.Context, tx *sql.Tx) (err error) {
	if r.Schema, err = version(ctx, tx); err != nil {
		return err
	}
	err = each(ctx, tx, func(rows *sql.Rows) error {
		var s string
		if err := rows.Scan(&s); err != nil {
			return err
		}
		if s != "ok" {
			r.problem("the file is damaged: %s; keep it, and put the latest backup in its place", s)
		}
		return nil
	}, "PRAGMA integrity_check")
	if err != nil {
		return err
	}
	return each(ctx, tx, func(rows *sql.Rows) error {
		var table, parent string
		var id sql.Null[int64]
		var key int
		if err := rows.Scan(&table, &id, &parent, &key); err != nil {
			return err
		}
		r.problem("row %d of table %s names something that is not in table %s; put the latest backup in its place", id.V, table, parent)
		return nil
	}, "PRAGMA foreign_key_check")
}

// wrap says in one sentence what err means to the operator.
func (db *DB) wrap(op string, err error) error {
	var (
		file   *FileError
		record *RecordError
		lite   *sqlite.Error
	)
	switch {
	case err == nil:
		return nil
	case errors.As(err, &file):
		return err
	case errors.As(err, &record), !errors.As(err, &lite):
		return fmt.Errorf("%s: %w", op, err)
	}
	t, problem, hint := Unreadable, "the database reports: "+lite.Error(), "run farhail check"
	switch lite.Code() & 0xff {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		t, problem = Locked, "another program holds it and did not let go"
		hint = "wait for the other command to finish, or close the program that has the file open"
	case sqlite3.SQLITE_READONLY:
		t, problem = ReadOnly, "the file or its folder cannot be written"
		hint = "look at its permissions and whether the disk is mounted for reading only"
	case sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_AUTH:
		problem = "the file cannot be opened"
		hint = "look at the permissions of the file and of its folder"
	case sqlite3.SQLITE_CORRUPT:
		t, problem = Corrupt, "the file is damaged"
		hint = "keep it, and put the latest backup in its place"
	case sqlite3.SQLITE_NOTADB:
		t, problem = Foreign, "this is not a store, or its beginning is damaged"
		hint = "give the folder of a station that farhail init made, or put the latest backup in its place"
	case sqlite3.SQLITE_FULL:
		t, problem = Full, "the disk is full, nothing was changed"
		hint = "make room on the disk and try again"
	case sqlite3.SQLITE_IOERR:
		problem = "the disk reports an error"
		hint = "copy the whole folder to another disk and run farhail check there"
	case sqlite3.SQLITE_CONSTRAINT:
		return fmt.Errorf("%s: %w", op, err) // a defect of ours: Go code checks before the schema must
	}
	return &FileError{op, db.path, t, problem, hint, err}
}
