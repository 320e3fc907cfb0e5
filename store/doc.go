// Package store keeps what must survive: the mail, the log, the bulletins heard
// and a few settings, in one SQLite file.
//
// Every change is one transaction, on the disk before the call returns
// (synchronous FULL, write-ahead log). What was written in the log stays written:
// the schema itself refuses to alter or delete it. Traffic leaves the queue in the
// commit that logs the call which carried it, and comes back in the commit that
// strikes that call.
//
// The queries are plain SQL with $1 placeholders; times are integers,
// milliseconds since 1970 UTC, ids are text. What only SQLite has stands in
// sqlite.go and migrations/sqlite.
//
// A *FileError speaks of the file, a *RecordError of a message or entry; both are
// one sentence with what to do.
package store
