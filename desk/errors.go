package desk

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"farhail/hf/antenna"
	"farhail/hf/earth"
	"farhail/logbook"
	"farhail/station"
	"farhail/store"
	"farhail/traffic"
	"farhail/unit"
)

// A Class says what the operator can do about an error.
type Class int

const (
	Done    Class = iota
	Fault         // a defect of ours, or of the machine: report it
	Usage         // the command line: see its help
	Input         // what a file or a value says: correct it
	Missing       // something that is not there: choose another
	Store         // the file of log and queue
)

// A UsageError is a command line that cannot be understood.
type UsageError struct{ Problem, Command string }

func (e *UsageError) Error() string { return e.Problem }

// A MissingError names something that is not there, and what to do.
type MissingError struct{ What, Hint string }

func (e *MissingError) Error() string { return e.What }

// An InputError is a value that cannot be so, and what to do.
type InputError struct{ What, Hint string }

func (e *InputError) Error() string { return e.What }

// Classify sorts an error by what can be done about it.
func Classify(err error) Class {
	var (
		usage   *UsageError
		missing *MissingError
		input   *InputError
		rng     *unit.RangeError
		syntax  *unit.SyntaxError
		faults  station.Faults
		line    *logbook.LineError
		field   *logbook.FieldError
		order   *logbook.OrderError
		file    *store.FileError
		record  *store.RecordError
		pos     *earth.PositionError
		kind    *antenna.KindError
	)
	switch {
	case err == nil:
		return Done
	case errors.As(err, &usage):
		return Usage
	case errors.As(err, &missing), errors.Is(err, fs.ErrNotExist):
		return Missing
	case errors.As(err, &file):
		return Store
	case errors.As(err, &record):
		if record.Unknown {
			return Missing
		}
		return Input
	case errors.As(err, &input), errors.As(err, &rng), errors.As(err, &syntax), errors.As(err, &faults), errors.As(err, &line), errors.As(err, &field), errors.As(err, &order),
		errors.As(err, &pos), errors.As(err, &kind), traffic.IsInput(err):
		return Input
	}
	return Fault
}

// Say returns what is wrong, a line each, and what to try.
func Say(err error) (problem []string, hint string) {
	problem = strings.Split(strings.TrimRight(err.Error(), "\n"), "\n")
	var usage *UsageError
	var missing *MissingError
	var input *InputError
	var file *store.FileError
	switch {
	case errors.As(err, &usage):
		return problem, fmt.Sprintf("%s --help lists what it takes", usage.Command)
	case errors.As(err, &missing):
		return problem, missing.Hint
	case errors.As(err, &input):
		return problem, input.Hint
	case errors.As(err, &file):
		return []string{strings.TrimSuffix(err.Error(), "; "+file.Hint)}, file.Hint
	case Classify(err) == Fault:
		return problem, "this looks like a defect of ours or of the machine: nothing was lost; please report the line above"
	}
	return problem, ""
}
