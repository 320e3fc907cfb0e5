-- Times are milliseconds since 1970 UTC, frequencies hertz, sizes octets,
-- angles degrees (north and east positive), ratios decibels in 3 kHz.

-- +goose Up

-- The mark by which a store is known from other SQLite files: "FARH".
PRAGMA application_id = 1178686024;

CREATE TABLE messages (
    id           TEXT   NOT NULL PRIMARY KEY,
    hash         TEXT   NOT NULL,
    precedence   TEXT   NOT NULL CHECK (precedence IN ('routine', 'priority', 'immediate', 'flash')),
    deadline     INTEGER,
    state        TEXT   NOT NULL CHECK (state IN ('queued', 'held', 'delivered', 'dropped')),
    queued_at    INTEGER NOT NULL,
    changed_at   INTEGER NOT NULL,
    bytes_on_air INTEGER NOT NULL CHECK (bytes_on_air >= 0),
    meta         TEXT   NOT NULL
) STRICT;

-- Apart from messages: a change of state must not rewrite two megabytes of mail.
CREATE TABLE originals (
    message TEXT NOT NULL PRIMARY KEY REFERENCES messages (id),
    sha256  TEXT NOT NULL,
    raw     BLOB NOT NULL
) STRICT;

CREATE TABLE log (
    seq            INTEGER PRIMARY KEY AUTOINCREMENT,
    id             TEXT    NOT NULL UNIQUE,
    kind           TEXT    NOT NULL CHECK (kind IN ('attempt', 'listening', 'strike')),
    at             INTEGER NOT NULL,
    written        INTEGER NOT NULL,
    station        TEXT,
    freq_hz        INTEGER,
    waveform       TEXT,
    outcome        TEXT,
    bytes_out      INTEGER,
    bytes_in       INTEGER,
    took_ms        INTEGER,
    snr_out_db     REAL,
    snr_in_db      REAL,
    power_w        REAL,
    lat_deg        REAL,
    lon_deg        REAL,
    promised       REAL,
    promised_bytes INTEGER,
    index_name     TEXT,
    index_value    REAL,
    forecast       TEXT,
    strikes        TEXT UNIQUE REFERENCES log (id),
    remark         TEXT NOT NULL
) STRICT;

CREATE INDEX log_at ON log (at);

-- was: the state that a strike of the entry gives back.
CREATE TABLE deliveries (
    message TEXT    NOT NULL REFERENCES messages (id),
    entry   TEXT    NOT NULL REFERENCES log (id),
    place   INTEGER NOT NULL,
    was     TEXT    NOT NULL CHECK (was IN ('queued', 'held', 'delivered', 'dropped')),
    PRIMARY KEY (message, entry)
) STRICT;

CREATE INDEX deliveries_entry ON deliveries (entry);

CREATE TABLE bulletins (
    id      TEXT    NOT NULL PRIMARY KEY,
    at      INTEGER NOT NULL,
    flux    REAL,
    a_index REAL,
    k_index REAL,
    source  TEXT    NOT NULL
) STRICT;

CREATE TABLE settings (
    key   TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

-- What was written stays written. The triggers on INSERT stop the one way round
-- those on DELETE: replacing a row that is there does not count as deleting it.

-- +goose StatementBegin
CREATE TRIGGER log_no_update BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER log_no_delete BEFORE DELETE ON log
BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER log_no_replace BEFORE INSERT ON log
WHEN EXISTS (SELECT 1 FROM log WHERE id = NEW.id OR seq = NEW.seq OR strikes = NEW.strikes)
BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER deliveries_no_update BEFORE UPDATE ON deliveries
BEGIN SELECT RAISE(ABORT, 'deliveries are append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER deliveries_no_delete BEFORE DELETE ON deliveries
BEGIN SELECT RAISE(ABORT, 'deliveries are append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER deliveries_no_replace BEFORE INSERT ON deliveries
WHEN EXISTS (SELECT 1 FROM deliveries WHERE message = NEW.message AND entry = NEW.entry)
BEGIN SELECT RAISE(ABORT, 'deliveries are append-only'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER originals_no_update BEFORE UPDATE ON originals
BEGIN SELECT RAISE(ABORT, 'an original is never altered'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER originals_no_delete BEFORE DELETE ON originals
BEGIN SELECT RAISE(ABORT, 'an original is never altered'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER originals_no_replace BEFORE INSERT ON originals
WHEN EXISTS (SELECT 1 FROM originals WHERE message = NEW.message)
BEGIN SELECT RAISE(ABORT, 'an original is never altered'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER bulletins_no_update BEFORE UPDATE ON bulletins
BEGIN SELECT RAISE(ABORT, 'bulletins are append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER bulletins_no_delete BEFORE DELETE ON bulletins
BEGIN SELECT RAISE(ABORT, 'bulletins are append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER bulletins_no_replace BEFORE INSERT ON bulletins
WHEN EXISTS (SELECT 1 FROM bulletins WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'bulletins are append-only'); END;
-- +goose StatementEnd
