package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"farhail/unit"
)

// State is where a message stands.
type State string

const (
	Queued    State = "queued"
	Held      State = "held"      // stays here until the operator lets it go
	Delivered State = "delivered" // a call that stands in the log carried it
	Dropped   State = "dropped"   // will not be sent; the original is kept
)

// Message is a row of the queue. The original is apart: see DB.Original.
type Message struct {
	ID         string
	Hash       string // of the content that identifies it
	Precedence string // routine, priority, immediate, flash
	Rank       int    // by hand, within the precedence; 0: by the rule
	Deadline   time.Time
	State      State
	QueuedAt   time.Time
	ChangedAt  time.Time // of the state, precedence, rank or deadline
	OnAir      unit.Bytes
	Meta       json.RawMessage // what the desk keeps beside it; null if nothing
}

var precedences = []string{"routine", "priority", "immediate", "flash"}

func (m *Message) check() error {
	bad := func(format string, args ...any) error {
		return &RecordError{"message", m.ID, false, fmt.Sprintf(format, args...)}
	}
	switch {
	case m.ID == "" || strings.ContainsAny(m.ID, " ,\t\r\n"):
		return bad("has no sound id: give one without spaces and commas")
	case m.Hash == "":
		return bad("has no hash: without it a second copy would not be recognised")
	case !slices.Contains(precedences, m.Precedence):
		return bad("has precedence %q: give routine, priority, immediate or flash", m.Precedence)
	case m.State != Queued && m.State != Held:
		return bad("cannot be added as %q: give queued or held", m.State)
	case m.QueuedAt.IsZero():
		return bad("does not say when it was queued")
	case m.OnAir < 0:
		return bad("has a size of %d octets on the air", m.OnAir)
	case !json.Valid(m.Meta):
		return bad("has a note that is not JSON")
	}
	return nil
}

// AddMessage puts m and its original in the queue and says whether it was new. A
// message of the same id and hash stays as it is, also if it went long ago.
func (db *DB) AddMessage(ctx context.Context, m Message, raw []byte) (added bool, err error) {
	if len(m.Meta) == 0 {
		m.Meta = json.RawMessage("null")
	}
	if err := m.check(); err != nil {
		return false, fmt.Errorf("add message: %w", err)
	}
	if len(raw) == 0 {
		return false, fmt.Errorf("add message: %w", &RecordError{"message", m.ID, false, "has no original: give the mail as it came"})
	}
	sum := sha256.Sum256(raw)
	err = db.write(ctx, "add message", func(tx *sql.Tx) error {
		var hash string
		err := tx.QueryRowContext(ctx, "SELECT hash FROM messages WHERE id = $1", m.ID).Scan(&hash)
		switch {
		case err == nil && hash == m.Hash:
			return nil
		case err == nil:
			return &RecordError{"message", m.ID, false, "is another message of the same id: give this one a longer id"}
		case !errors.Is(err, sql.ErrNoRows):
			return err
		}
		added = true
		queued := m.QueuedAt.UnixMilli()
		if _, err := tx.ExecContext(ctx, `INSERT INTO messages
			(id, hash, precedence, rank, deadline, state, queued_at, changed_at, bytes_on_air, meta)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $7, $8, $9)`,
			m.ID, m.Hash, m.Precedence, m.Rank, deadline(m.Deadline), string(m.State), queued, int64(m.OnAir), string(m.Meta)); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "INSERT INTO originals (message, sha256, raw) VALUES ($1, $2, $3)", m.ID, hex.EncodeToString(sum[:]), raw)
		return err
	})
	return added && err == nil, err
}

func deadline(t time.Time) sql.Null[int64] { return optional(!t.IsZero(), t.UnixMilli()) }

// Messages returns the messages in one of the states (all, if none is named), in
// the order they were queued.
func (db *DB) Messages(ctx context.Context, states ...State) ([]Message, error) {
	where, args := "", []any{}
	for i, s := range states {
		where += map[bool]string{true: " WHERE state IN (", false: ", "}[i == 0] + fmt.Sprintf("$%d", i+1)
		args = append(args, string(s))
	}
	if where != "" {
		where += ")"
	}
	list, err := messages(ctx, db.sql, where+" ORDER BY queued_at, id", args...)
	return list, db.wrap("list messages", err)
}

// Message returns one message by its id.
func (db *DB) Message(ctx context.Context, id string) (Message, error) {
	found, err := messages(ctx, db.sql, " WHERE id = $1", id)
	if err == nil && len(found) == 0 {
		err = unknown("message", id, "farhail traffic list")
	}
	if err != nil {
		return Message{}, db.wrap("show message", err)
	}
	return found[0], nil
}

// SameContent returns the messages whose content has that hash.
func (db *DB) SameContent(ctx context.Context, hash string) ([]Message, error) {
	list, err := messages(ctx, db.sql, " WHERE hash = $1 ORDER BY queued_at, id", hash)
	return list, db.wrap("look for copies", err)
}

func messages(ctx context.Context, q querier, where string, args ...any) (list []Message, err error) {
	err = each(ctx, q, func(r *sql.Rows) error {
		var (
			m               Message
			due             sql.Null[int64]
			queued, changed int64
			state, meta     string
		)
		if err := r.Scan(&m.ID, &m.Hash, &m.Precedence, &m.Rank, &due, &state, &queued, &changed, &m.OnAir, &meta); err != nil {
			return err
		}
		m.State, m.QueuedAt, m.ChangedAt, m.Meta = State(state), fromMillis(queued), fromMillis(changed), json.RawMessage(meta)
		if due.Valid {
			m.Deadline = fromMillis(due.V)
		}
		list = append(list, m)
		return nil
	}, `SELECT id, hash, precedence, rank, deadline, state, queued_at, changed_at, bytes_on_air, meta FROM messages`+where, args...)
	if err != nil {
		return nil, err
	}
	return list, nil
}

// Original returns the mail as it came, octet for octet.
func (db *DB) Original(ctx context.Context, id string) ([]byte, error) {
	const op = "read message"
	var raw []byte
	var sum string
	err := db.sql.QueryRowContext(ctx, "SELECT raw, sha256 FROM originals WHERE message = $1", id).Scan(&raw, &sum)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%s: %w", op, unknown("message", id, "farhail traffic list"))
	}
	if err != nil {
		return nil, db.wrap(op, err)
	}
	if !sound(raw, sum) {
		return nil, &FileError{op, db.path, Corrupt, fmt.Sprintf("the original of message %q is damaged", id), "take it from a backup", nil}
	}
	return raw, nil
}

func sound(raw []byte, sum string) bool {
	want, err := hex.DecodeString(sum)
	got := sha256.Sum256(raw)
	return err == nil && bytes.Equal(got[:], want)
}

// SetState queues, holds or drops a message that was not delivered. Delivery is
// logged, never set: see Append.
func (db *DB) SetState(ctx context.Context, id string, to State, now time.Time) error {
	if to != Queued && to != Held && to != Dropped {
		return fmt.Errorf("change message: %w", &RecordError{"message", id, false, fmt.Sprintf("cannot be set to %q: give queued, held or dropped", to)})
	}
	return db.change(ctx, id, "UPDATE messages SET state = $1, changed_at = $2 WHERE id = $3", string(to), now)
}

// SetPrecedence sets the precedence of a message that was not delivered. A rank belongs
// to a precedence and is lost with it.
func (db *DB) SetPrecedence(ctx context.Context, id, to string, now time.Time) error {
	if !slices.Contains(precedences, to) {
		return fmt.Errorf("change message: %w", &RecordError{"message", id, false, fmt.Sprintf("cannot have precedence %q: give routine, priority, immediate or flash", to)})
	}
	return db.change(ctx, id, `UPDATE messages SET rank = CASE WHEN precedence = $1 THEN rank ELSE 0 END,
		precedence = $1, changed_at = $2 WHERE id = $3`, to, now)
}

// SetDeadline sets the deadline of a message that was not delivered; the zero time
// takes it away.
func (db *DB) SetDeadline(ctx context.Context, id string, to, now time.Time) error {
	return db.change(ctx, id, "UPDATE messages SET deadline = $1, changed_at = $2 WHERE id = $3", deadline(to), now)
}

// SetRanks sets the ranks of messages that were not delivered: of all of them, or of none.
func (db *DB) SetRanks(ctx context.Context, ranks map[string]int, now time.Time) error {
	return db.write(ctx, "order messages", func(tx *sql.Tx) error {
		for id, to := range ranks {
			if err := change(ctx, tx, id, "UPDATE messages SET rank = $1, changed_at = $2 WHERE id = $3", to, now); err != nil {
				return err
			}
		}
		return nil
	})
}

func (db *DB) change(ctx context.Context, id, update string, value any, now time.Time) error {
	return db.write(ctx, "change message", func(tx *sql.Tx) error { return change(ctx, tx, id, update, value, now) })
}

func change(ctx context.Context, tx *sql.Tx, id, update string, value any, now time.Time) error {
	state, err := stateOf(ctx, tx, id)
	if err != nil {
		return err
	}
	if state == Delivered {
		return &RecordError{"message", id, false, "was delivered: strike the call that carried it if it was not"}
	}
	_, err = tx.ExecContext(ctx, update, value, now.UnixMilli(), id)
	return err
}

func stateOf(ctx context.Context, tx *sql.Tx, id string) (State, error) {
	var s string
	err := tx.QueryRowContext(ctx, "SELECT state FROM messages WHERE id = $1", id).Scan(&s)
	if errors.Is(err, sql.ErrNoRows) {
		return "", unknown("message", id, "farhail traffic list")
	}
	return State(s), err
}
