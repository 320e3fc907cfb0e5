package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"farhail/logbook"
)

// Append writes e at the end of the log and says whether it was new: the same
// entry given twice is written once. In the same commit the messages it delivered
// leave the queue, or, if e strikes a call, those come back that no other standing
// call carried.
func (db *DB) Append(ctx context.Context, e logbook.Entry) (added bool, err error) {
	const op = "write log"
	if err := e.Check(); err != nil {
		return false, fmt.Errorf("%s: %w", op, err)
	}
	row, delivered := toRow(e)
	err = db.write(ctx, op, func(tx *sql.Tx) error {
		old, oldDelivered, err := readEntry(ctx, tx, row.ID)
		switch {
		case err == nil && old == row && slices.Equal(oldDelivered, delivered):
			return nil
		case err == nil:
			return &RecordError{"log entry", e.ID, false, "is written already and reads otherwise: strike it and write a new one"}
		case !errors.Is(err, sql.ErrNoRows):
			return err
		}
		if e.Strike != nil {
			if err := mayStrike(ctx, tx, e.Strike.Of); err != nil {
				return err
			}
		}
		if _, err := tx.ExecContext(ctx, insertRow, row.args()...); err != nil {
			return err
		}
		added = true
		for i, id := range delivered {
			if err := deliver(ctx, tx, id, e, i); err != nil {
				return err
			}
		}
		if e.Strike != nil {
			return giveBack(ctx, tx, e.Strike.Of, e.Written)
		}
		return nil
	})
	return added && err == nil, err
}

// mayStrike applies the rules of logbook.Book to the entry that is to be struck.
func mayStrike(ctx context.Context, tx *sql.Tx, id string) error {
	var kind string
	var by sql.Null[string]
	err := tx.QueryRowContext(ctx, "SELECT e.kind, s.id FROM log e LEFT JOIN log s ON s.strikes = e.id WHERE e.id = $1", id).Scan(&kind, &by)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return unknown("log entry", id, "farhail log list")
	case err != nil:
		return err
	case kind == "strike":
		return &RecordError{"log entry", id, false, "is itself a strike: write the struck entry anew instead"}
	case by.Valid:
		return &RecordError{"log entry", id, false, fmt.Sprintf("was struck already by %q", by.V)}
	}
	return nil
}

func deliver(ctx context.Context, tx *sql.Tx, message string, e logbook.Entry, place int) error {
	was, err := stateOf(ctx, tx, message)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "INSERT INTO deliveries (message, entry, place, was) VALUES ($1, $2, $3, $4)",
		message, e.ID, place, string(was)); err != nil {
		return err
	}
	return setState(ctx, tx, message, Delivered, e.Written)
}

func setState(ctx context.Context, tx *sql.Tx, message string, to State, at time.Time) error {
	_, err := tx.ExecContext(ctx, "UPDATE messages SET state = $1, changed_at = $2 WHERE id = $3", string(to), at.UnixMilli(), message)
	return err
}

// giveBack undoes what the struck entry did to the queue: a message that no other
// standing call delivered is again what it was before it first counted as delivered.
func giveBack(ctx context.Context, tx *sql.Tx, struck string, at time.Time) error {
	messages, err := texts(ctx, tx, "SELECT message FROM deliveries WHERE entry = $1", struck)
	if err != nil {
		return err
	}
	for _, m := range messages {
		var standing int
		if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM deliveries d
			WHERE d.message = $1 AND NOT EXISTS (SELECT 1 FROM log s WHERE s.strikes = d.entry)`, m).Scan(&standing); err != nil {
			return err
		}
		if standing > 0 {
			continue
		}
		var was string
		if err := tx.QueryRowContext(ctx, `SELECT d.was FROM deliveries d JOIN log e ON e.id = d.entry
			WHERE d.message = $1 AND d.was <> 'delivered' ORDER BY e.seq DESC LIMIT 1`, m).Scan(&was); err != nil {
			return err
		}
		if err := setState(ctx, tx, m, State(was), at); err != nil {
			return err
		}
	}
	return nil
}

func texts(ctx context.Context, tx *sql.Tx, query string, args ...any) (list []string, err error) {
	err = each(ctx, tx, func(r *sql.Rows) error {
		var s string
		err := r.Scan(&s)
		list = append(list, s)
		return err
	}, query, args...)
	return list, err
}

func readEntry(ctx context.Context, tx *sql.Tx, id string) (r row, delivered []string, err error) {
	if err = tx.QueryRowContext(ctx, "SELECT "+columns+" FROM log WHERE id = $1", id).Scan(r.targets()...); err != nil {
		return row{}, nil, err
	}
	delivered, err = texts(ctx, tx, "SELECT message FROM deliveries WHERE entry = $1 ORDER BY place", id)
	return r, delivered, err
}

// EntryFilter picks entries; its zero value picks all. Strikes come along with the
// entries they strike, so that what is picked folds to a logbook.Book. Numbers of
// rows count from 1 in the whole log only.
type EntryFilter struct {
	Since, Until time.Time // start of the entry: Since ≤ at < Until; zero: open
	Station      string
}

// Entries returns entries in the order they were written.
func (db *DB) Entries(ctx context.Context, f EntryFilter) (list []logbook.Entry, err error) {
	err = db.view(ctx, "read log", func(tx *sql.Tx) error {
		list, err = entries(ctx, tx, f)
		return err
	})
	return list, err
}

func entries(ctx context.Context, q querier, f EntryFilter) ([]logbook.Entry, error) {
	where, args := f.where("l")
	if where != "" {
		inner, _ := f.where("t")
		where = " WHERE l.kind <> 'strike'" + where + " OR l.strikes IN (SELECT t.id FROM log t WHERE t.kind <> 'strike'" + inner + ")"
	}
	var list []logbook.Entry
	at := map[string]int{}
	err := each(ctx, q, func(r *sql.Rows) error {
		var w row
		if err := r.Scan(w.targets()...); err != nil {
			return err
		}
		at[w.ID] = len(list)
		list = append(list, w.entry())
		return nil
	}, "SELECT "+columns+" FROM log l"+where+" ORDER BY seq", args...)
	if err != nil {
		return nil, err
	}
	err = each(ctx, q, func(r *sql.Rows) error {
		var entry, message string
		if err := r.Scan(&entry, &message); err != nil {
			return err
		}
		if i, ok := at[entry]; ok {
			list[i].Attempt.Delivered = append(list[i].Attempt.Delivered, message)
		}
		return nil
	}, "SELECT entry, message FROM deliveries ORDER BY entry, place")
	if err != nil {
		return nil, err
	}
	return list, nil
}

// where returns the conditions, each with AND before it, on the log under an alias.
func (f EntryFilter) where(alias string) (cond string, args []any) {
	var b strings.Builder
	add := func(column, op string, v any) {
		args = append(args, v)
		fmt.Fprintf(&b, " AND %s.%s %s $%d", alias, column, op, len(args))
	}
	if !f.Since.IsZero() {
		add("at", ">=", f.Since.UnixMilli())
	}
	if !f.Until.IsZero() {
		add("at", "<", f.Until.UnixMilli())
	}
	if f.Station != "" {
		add("station", "=", f.Station)
	}
	return b.String(), args
}
