package store

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/sqlite/*.sql
var embedded embed.FS

// migrations are the steps of the schema, one file each, numbered from 1.
var migrations = must(fs.Sub(embedded, "migrations/sqlite"))

func must(f fs.FS, err error) fs.FS {
	if err != nil {
		panic("store: " + err.Error())
	}
	return f
}

// latest returns the number of the last step.
func latest(schema fs.FS) (n int64, err error) {
	files, err := fs.Glob(schema, "*.sql")
	if err != nil {
		return 0, err
	}
	for _, f := range files {
		number, _, _ := strings.Cut(f, "_")
		v, err := strconv.ParseInt(number, 10, 64)
		if err != nil {
			return 0, fmt.Errorf("migration %q has no number", f)
		}
		n = max(n, v)
	}
	return n, nil
}

// version returns the step the file has reached.
func version(ctx context.Context, q querier) (n int64, err error) {
	err = q.QueryRowContext(ctx, "SELECT COALESCE(MAX(version_id), 0) FROM "+goose.DefaultTablename).Scan(&n)
	return n, err
}

// upgrade brings the file to our schema. We read the version ourselves before the
// migration engine sees the file: a newer one must be refused, an older one copied.
func (db *DB) upgrade(ctx context.Context, schema fs.FS) error {
	const op = "open store"
	has, err := version(ctx, db.sql)
	if err != nil {
		return db.wrap(op, err)
	}
	want, err := latest(schema)
	if err != nil {
		return fmt.Errorf("%s %q: %w", op, db.path, err)
	}
	switch {
	case has == want:
		return nil
	case has > want:
		return &FileError{op, db.path, Newer, fmt.Sprintf("a newer farhail wrote it (schema %d, this one knows %d)", has, want),
			"use that farhail, or put a backup from before in its place", nil}
	}
	if err := db.keep(ctx, has); err != nil {
		return err
	}
	if err := db.migrate(ctx, schema); err != nil {
		// Another process may have done it while we waited for the lock.
		if has, err := version(ctx, db.sql); err == nil && has == want {
			return nil
		}
		return err
	}
	return nil
}

// keep copies the store to path.schema-N before it changes. A copy that is there
// already, from an upgrade that did not finish or from another process upgrading
// now, is left alone: this one gets a further number.
func (db *DB) keep(ctx context.Context, version int64) error {
	name := fmt.Sprintf("%s.schema-%d", db.path, version)
	for n := 2; ; n++ {
		err := db.Backup(ctx, name)
		var file *FileError
		if !errors.As(err, &file) || file.Trouble != Exists || n > 99 {
			return err
		}
		name = fmt.Sprintf("%s.schema-%d.%d", db.path, version, n)
	}
}

// migrate runs the steps that are missing, each in a transaction of its own.
func (db *DB) migrate(ctx context.Context, schema fs.FS) error {
	p, err := goose.NewProvider(goose.DialectSQLite3, db.sql, schema, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return fmt.Errorf("open store %q: %w", db.path, err)
	}
	if _, err := p.Up(ctx); err != nil {
		return db.wrap("bring store up to date", err)
	}
	return nil
}
