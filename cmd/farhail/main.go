// Farhail is the desk of an off-grid HF data station: whom to call next, on which
// frequency, when, with which part of the traffic, and what to do if nobody answers.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"time"

	"farhail/desk"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	context.AfterFunc(ctx, func() {
		stop() // a second interrupt ends it at once
		time.Sleep(grace)
		os.Exit(interrupted)
	})
	status := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}

// What waits for a terminal or a pipe does not hear of an interrupt: after the grace it is
// ended, with the status that shells use. The store bears that at any moment.
const (
	grace       = 4 * time.Second // the page takes up to 3 s to close
	interrupted = 130
)

// Exit statuses, by what the operator can do about it.
var statuses = map[desk.Class]int{
	desk.Done:    0,
	desk.Fault:   1, // ours or the machine's: report it
	desk.Usage:   2, // the command line
	desk.Input:   3, // what a file or a value says: correct it
	desk.Missing: 4, // something that is not there: choose another
	desk.Store:   5, // the log and queue file: see the hint
}

// run is the program; tests call it as main does.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := newRoot(stdin, stdout, stderr)
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return 0
	}
	problem, hint := desk.Say(err)
	for _, line := range problem {
		fmt.Fprintf(stderr, "farhail: %s\n", line)
	}
	if hint != "" {
		fmt.Fprintf(stderr, "farhail: hint: %s\n", hint)
	}
	return statuses[desk.Classify(err)]
}
