package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"time"
)

// Bulletin is what a radio bulletin said about the sky; nil where it was silent.
type Bulletin struct {
	ID     string
	At     time.Time // when it was issued, or heard if it did not say
	Flux   *float64  // solar flux at 2,800 MHz, in solar flux units
	A, K   *float64  // geomagnetic indices
	Source string    // who said so
}

// The limits catch slips of the finger: the flux has been between 60 and 400 in
// all years of the record, outbursts aside (common practice); K is defined from 0
// to 9 and A from 0 to 400.
func (b *Bulletin) check() error {
	bad := func(format string, args ...any) error {
		return &RecordError{"bulletin", b.ID, false, fmt.Sprintf(format, args...)}
	}
	within := func(x *float64, lo, hi float64) bool {
		return x == nil || *x >= lo && *x <= hi && !math.IsNaN(*x)
	}
	switch {
	case b.ID == "":
		return bad("has no id")
	case b.At.IsZero():
		return bad("does not say when it was heard")
	case b.Flux == nil && b.A == nil && b.K == nil:
		return bad("says nothing: give a flux, an A or a K index")
	case !within(b.Flux, 50, 500):
		return bad("has a flux of %g: give 50 to 500", *b.Flux)
	case !within(b.A, 0, 400):
		return bad("has an A index of %g: give 0 to 400", *b.A)
	case !within(b.K, 0, 9):
		return bad("has a K index of %g: give 0 to 9", *b.K)
	}
	return nil
}

// AddBulletin keeps what was heard and says whether it was new. A wrong one is
// corrected by a later one.
func (db *DB) AddBulletin(ctx context.Context, b Bulletin) (added bool, err error) {
	if err := b.check(); err != nil {
		return false, fmt.Errorf("keep bulletin: %w", err)
	}
	err = db.write(ctx, "keep bulletin", func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRowContext(ctx, "SELECT COUNT(*) FROM bulletins WHERE id = $1", b.ID).Scan(&n); err != nil || n > 0 {
			return err
		}
		added = true
		_, err := tx.ExecContext(ctx, "INSERT INTO bulletins (id, at, flux, a_index, k_index, source) VALUES ($1, $2, $3, $4, $5, $6)",
			b.ID, b.At.UnixMilli(), b.Flux, b.A, b.K, b.Source)
		return err
	})
	return added && err == nil, err
}

// Bulletins returns those issued at or after since, oldest first; of one moment, in the
// order they were recorded.
func (db *DB) Bulletins(ctx context.Context, since time.Time) (list []Bulletin, err error) {
	err = each(ctx, db.sql, func(r *sql.Rows) error {
		var b Bulletin
		var at int64
		if err := r.Scan(&b.ID, &at, &b.Flux, &b.A, &b.K, &b.Source); err != nil {
			return err
		}
		b.At = fromMillis(at)
		list = append(list, b)
		return nil
	}, "SELECT id, at, flux, a_index, k_index, source FROM bulletins WHERE at >= $1 ORDER BY at, rowid", since.UnixMilli())
	if err != nil {
		return nil, db.wrap("read bulletins", err)
	}
	return list, nil
}

// Setting returns the value kept under key, and whether there is one.
func (db *DB) Setting(ctx context.Context, key string) (value string, ok bool, err error) {
	err = db.sql.QueryRowContext(ctx, "SELECT value FROM settings WHERE key = $1", key).Scan(&value)
	if errors.Is(err, sql.ErrNoRows) {
		return "", false, nil
	}
	return value, err == nil, db.wrap("read setting", err)
}

// SetSetting keeps value under key, in place of what was there.
func (db *DB) SetSetting(ctx context.Context, key, value string) error {
	if key == "" {
		return errors.New("keep setting: it has no name")
	}
	return db.write(ctx, "keep setting", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO settings (key, value) VALUES ($1, $2) ON CONFLICT (key) DO UPDATE SET value = excluded.value", key, value)
		return err
	})
}
