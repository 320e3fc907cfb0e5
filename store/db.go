package store

import (
	"context"
	"database/sql"
	"fmt"
	"time"
)

// DB is an open store. Its methods may be called from several goroutines.
type DB struct {
	sql    *sql.DB
	path   string        // ":memory:" for OpenMemory
	writer chan struct{} // holds one token: who has it may write
}

func newDB(s *sql.DB, path string) *DB {
	db := &DB{sql: s, path: path, writer: make(chan struct{}, 1)}
	db.writer <- struct{}{}
	return db
}

// Path returns the file's name as it was opened.
func (db *DB) Path() string { return db.path }

// Close closes the file. Nothing is pending: every change was on disk already.
func (db *DB) Close() error { return db.wrap("close store", db.sql.Close()) }

// write runs f in one transaction. Writers of this process queue here; the lock of
// the file only has to keep other processes apart.
func (db *DB) write(ctx context.Context, op string, f func(*sql.Tx) error) error {
	select {
	case <-db.writer:
		defer func() { db.writer <- struct{}{} }()
	case <-ctx.Done():
		return fmt.Errorf("%s: %w", op, ctx.Err())
	}
	tx, err := db.sql.BeginTx(ctx, nil)
	if err != nil {
		return db.wrap(op, err)
	}
	defer tx.Rollback() // does nothing after Commit
	if err := f(tx); err != nil {
		return db.wrap(op, err)
	}
	return db.wrap(op, tx.Commit())
}

// view runs f on one state of the store, whatever is written meanwhile.
func (db *DB) view(ctx context.Context, op string, f func(*sql.Tx) error) error {
	tx, err := db.sql.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return db.wrap(op, err)
	}
	defer tx.Rollback()
	return db.wrap(op, f(tx))
}

// each runs a query and gives each row to scan.
func each(ctx context.Context, q querier, scan func(*sql.Rows) error, query string, args ...any) error {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := scan(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// querier is the database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func fromMillis(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

// optional is a value the row may lack.
func optional[T any](set bool, v T) sql.Null[T] { return sql.Null[T]{V: v, Valid: set} }
