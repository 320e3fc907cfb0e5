package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"farhail/desk"
)

const rootLong = `Farhail tells the operator of an off-grid HF data station whom to call next, on
which frequency, when, with which part of the traffic, at what cost in minutes and
watt-hours, and what to do if nobody answers. It works offline, keeps the log and
never transmits by itself.

It is not a distress system. Its predictions are statistics, made after
ITU-R P.533; your licence decides what you may transmit.

Files live in one folder (--dir): home.toml, stations.toml and farhail.db.
Without --dir it is $FARHAIL_DIR, else $XDG_DATA_HOME/farhail, else
~/.local/share/farhail.

Exit status: 0 done; 1 a fault of ours or of the machine; 2 the command line;
3 something a file or a value says; 4 something that is not there; 5 the store;
130 interrupted.`

// shell is what all commands share: where the station's files are, what time it is,
// how to print.
type shell struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	dir            string
	json           bool
	at             string
}

func newRoot(stdin io.Reader, stdout, stderr io.Writer) *cobra.Command {
	s := &shell{stdin: stdin, stdout: stdout, stderr: stderr}
	root := &cobra.Command{
		Use:           "farhail",
		Short:         "the desk of an off-grid HF data station",
		Long:          rootLong,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.NoArgs,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	root.SetFlagErrorFunc(flagError)
	p := root.PersistentFlags()
	p.StringVar(&s.dir, "dir", "", "the station's `folder`")
	p.BoolVar(&s.json, "json", false, "print JSON, with the names of the printed table")
	root.AddCommand(s.circuit(), s.sky(), s.antenna())
	s.addDesk(root)
	s.addPaper(root)
	s.addWeb(root)
	usage(root)
	return root
}

// flagError tells a flag that is not there, a fault of the command line, from a value
// that cannot be so, whose parser has said why.
func flagError(c *cobra.Command, err error) error {
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return &desk.UsageError{Problem: err.Error(), Command: c.CommandPath()}
	}
	why := bad.Unwrap().Error()
	var number *strconv.NumError
	if errors.As(err, &number) {
		why = fmt.Sprintf("%q is not a number", bad.GetValue())
		if bad.GetFlag().Value.Type() == "int" {
			why = fmt.Sprintf("%q is not a whole number", bad.GetValue())
		}
	}
	return &desk.InputError{What: "--" + bad.GetFlag().Name + ": " + why}
}

// usage makes wrong arguments a fault of the command line, and says what belongs there.
func usage(c *cobra.Command) {
	if check := c.Args; check != nil {
		_, takes, _ := strings.Cut(c.Use, " ")
		c.Args = func(c *cobra.Command, args []string) error {
			err := check(c, args)
			if err == nil {
				return nil
			}
			problem := err.Error()
			if strings.Contains(problem, "arg(s)") { // the library's count
				problem = fmt.Sprintf("%s takes %s: %d given", c.CommandPath(), takes, len(args))
			}
			return &desk.UsageError{Problem: problem, Command: c.CommandPath()}
		}
	}
	for _, sub := range c.Commands() {
		usage(sub)
	}
}

// print writes a value as JSON, or lets text write it for people.
func (s *shell) print(v any, text func(io.Writer)) error {
	if s.json {
		return writeJSON(s.stdout, v, "  ")
	}
	w := bufio.NewWriter(s.stdout) // remembers the first write that failed
	text(w)
	return w.Flush()
}

func writeJSON(w io.Writer, v any, indent string) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	return e.Encode(v)
}

// home is the folder of the station's files.
func (s *shell) folder() (string, error) {
	if s.dir != "" {
		return s.dir, nil
	}
	return desk.Folder(os.Getenv)
}

// now is the moment to work at: --at, else the clock.
func (s *shell) now(fallback time.Time) (time.Time, error) {
	if s.at == "" {
		return fallback, nil
	}
	t, err := desk.ParseTime(s.at, fallback)
	if err != nil {
		return time.Time{}, fmt.Errorf("--at: %w", err)
	}
	return t, nil
}
