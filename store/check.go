package store

import (
	"context"
	"database/sql"
	"fmt"

	"farhail/logbook"
)

// Report is what Check found.
type Report struct {
	Path     string
	Schema   int64
	Messages int
	Entries  int
	Problems []string // one sentence each; none: the store is sound
}

// Check reads the whole store: the structure of the file, the references between
// its tables, every original against its checksum, the order of the log, and
// whether the queue agrees with the log. An error means that it could not look.
func (db *DB) Check(ctx context.Context) (Report, error) {
	const op = "check store"
	r := Report{Path: db.path}
	err := db.view(ctx, op, func(tx *sql.Tx) error {
		for _, step := range []func(context.Context, *sql.Tx) error{r.file, r.originals, r.log} {
			if err := step(ctx, tx); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return r, err
	}
	// A change of nothing (no setting lacks a name): a file that cannot be written is
	// found now, not after the next call.
	return r, db.write(ctx, op, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE settings SET value = value WHERE key = ''")
		return err
	})
}

func (r *Report) problem(format string, args ...any) {
	r.Problems = append(r.Problems, fmt.Sprintf(format, args...))
}

func (r *Report) originals(ctx context.Context, tx *sql.Tx) error {
	return each(ctx, tx, func(rows *sql.Rows) error {
		var id string
		var sum sql.Null[string]
		var raw sql.RawBytes
		if err := rows.Scan(&id, &sum, &raw); err != nil {
			return err
		}
		r.Messages++
		if !sum.Valid || !sound(raw, sum.V) {
			r.problem("the original of message %q is damaged; take it from a backup", id)
		}
		return nil
	}, "SELECT m.id, o.sha256, o.raw FROM messages m LEFT JOIN originals o ON o.message = m.id ORDER BY m.id")
}

// log folds the log and compares what it delivered with the queue.
func (r *Report) log(ctx context.Context, tx *sql.Tx) error {
	list, err := entries(ctx, tx, EntryFilter{})
	if err != nil {
		return err
	}
	r.Entries = len(list)
	book, err := logbook.Fold(list)
	if err != nil {
		r.problem("the log does not hang together: %v; put the latest backup in its place", err)
		return nil
	}
	queue, err := messages(ctx, tx, " ORDER BY id")
	if err != nil {
		return err
	}
	carried := book.DeliveredBy()
	for _, m := range queue {
		switch entry := carried[m.ID]; {
		case m.State == Delivered && entry == "":
			r.problem("message %q counts as delivered, but no call in the log carried it; put the latest backup in its place", m.ID)
		case m.State != Delivered && entry != "":
			r.problem("message %q is still %s, but log entry %q delivered it; put the latest backup in its place", m.ID, m.State, entry)
		}
	}
	return nil
}
