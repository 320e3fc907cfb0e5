package store

import "fmt"

// Trouble is what may be wrong with a store's file.
type Trouble string

const (
	Missing    Trouble = "missing"
	Exists     Trouble = "exists"
	Locked     Trouble = "locked"
	Foreign    Trouble = "foreign"
	Newer      Trouble = "newer"
	Corrupt    Trouble = "corrupt"
	ReadOnly   Trouble = "read-only"
	Full       Trouble = "full"
	Unreadable Trouble = "unreadable"
)

// FileError says what is wrong with the file of a store.
type FileError struct {
	Op      string // what was being attempted: "open store"
	Path    string
	Trouble Trouble
	Problem string // what is wrong
	Hint    string // what to do
	Err     error  // the cause, if another package reported it
}

func (e *FileError) Error() string {
	return fmt.Sprintf("%s %q: %s; %s", e.Op, e.Path, e.Problem, e.Hint)
}

func (e *FileError) Unwrap() error { return e.Err }

// RecordError says why a message, an entry of the log or a bulletin cannot be
// kept or changed as asked.
type RecordError struct {
	What    string // "message", "log entry", "bulletin"
	ID      string
	Unknown bool   // there is none of that id
	Problem string // what is wrong and what to do
}

func (e *RecordError) Error() string { return fmt.Sprintf("%s %q %s", e.What, e.ID, e.Problem) }

func unknown(what, id, where string) error {
	return &RecordError{what, id, true, "is not in the store: give an id that " + where + " shows"}
}
