package main

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// script is one run of a script; its words say what they need in their first lines.
type script = testscript.TestScript

// words are the scripts' own commands, each with its form and how many arguments it
// needs at least.
func words(worlds string) map[string]func(*script, bool, []string) {
	all := map[string]func(*script, bool, []string){}
	for _, w := range []struct {
		form  string
		least int
		do    func(*script, []string)
	}{
		// A fresh world in a folder.
		{"world saltmarsh|tamarind|hut DIR", 2, func(ts *script, a []string) {
			ts.Check(os.CopyFS(ts.MkAbs(a[1]), os.DirFS(filepath.Join(worlds, a[0]))))
		}},
		// The command ends with that status; refused, it answers nothing.
		{"ends STATUS ARG…", 2, ends},
		{"refuse 1|2|3|4|5 ARG…", 2, refuse},
		// These lines and no others say what was wrong; what to do is said in these words.
		{"says LINE…", 1, says},
		{"hint TEXT", 1, hint},
		// A folder is octet for octet as it was.
		{"remember DIR", 1, remember},
		{"unchanged DIR", 1, unchanged},
		// OLD gives way to NEW, \n in it a new line, in a file that is as it was before it
		// was last spoilt.
		{"spoil FILE OLD NEW", 3, spoil},
		{"mend FILE", 1, mend},
		// Octets of a file are written over, or it is cut off.
		{"damage FILE FROM COUNT", 3, damage},
		{"cut FILE SIZE", 2, func(ts *script, a []string) { ts.Check(os.Truncate(ts.MkAbs(a[0]), int64(whole(ts, a[1])))) }},
		{"foreign FILE", 1, foreign},
		// A mail of so many multipart sections inside each other; of so many attachments.
		{"nest COUNT FILE", 2, nest},
		{"parts COUNT FILE", 2, parts},
		// What JSON on standard output holds (json_test.go).
		{"keys PATH KEY…", 2, keys},
		{"has PATH KEY…", 2, has},
		{"num PATH OP NUMBER", 3, num},
		{"is PATH TEXT", 2, is},
		{"oneof PATH TEXT…", 2, oneof},
	} {
		name := strings.Fields(w.form)[0]
		all[name] = func(ts *script, neg bool, args []string) {
			if neg || len(args) < w.least {
				ts.Fatalf("usage: %s", w.form)
			}
			w.do(ts, args)
		}
	}
	return all
}

func whole(ts *script, s string) int {
	n, err := strconv.Atoi(s)
	ts.Check(err)
	return n
}

func ends(ts *script, args []string) {
	err := ts.Exec("farhail", args[1:]...)
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if want := whole(ts, args[0]); got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

func refuse(ts *script, args []string) {
	ends(ts, args)
	if out := ts.ReadFile("stdout"); out != "" || args[0] == "0" {
		ts.Fatalf("this is no refusal: status %s, standard output %q", args[0], out)
	}
}

// said parts what the command said on standard error into its problem and its hint.
func said(ts *script) (problem []string, hint string) {
	for _, l := range strings.Split(strings.TrimSuffix(ts.ReadFile("stderr"), "\n"), "\n") {
		text, ours := strings.CutPrefix(l, "farhail: ")
		h, isHint := strings.CutPrefix(text, "hint: ")
		switch {
		case !ours:
			ts.Fatalf("a line of standard error does not name the program: %q", l)
		case isHint:
			hint = h
		default:
			problem = append(problem, text)
		}
	}
	return problem, hint
}

func says(ts *script, want []string) {
	if got, _ := said(ts); !slices.Equal(got, want) {
		ts.Fatalf("said %s\nwant %s", strings.Join(got, "\n     "), strings.Join(want, "\n     "))
	}
}

func hint(ts *script, want []string) {
	if _, got := said(ts); got != want[0] {
		ts.Fatalf("hint %s\nwant %s", got, want[0])
	}
}

// A snapshot is what a folder holds, by path; the value of a folder is nil.
type snapshot map[string][]byte

// memory is the key of what a script has seen: folders as remembered, and files as they
// were before they were spoilt.
type memory struct{}

func seen(ts *script) map[string]snapshot { return ts.Value(memory{}).(map[string]snapshot) }

func look(ts *script, dir string) snapshot {
	s := snapshot{}
	ts.Check(filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			s[path] = nil
			return err
		}
		s[path], err = os.ReadFile(path)
		return err
	}))
	return s
}

func remember(ts *script, args []string) {
	dir := ts.MkAbs(args[0])
	seen(ts)[dir] = look(ts, dir)
}

func unchanged(ts *script, args []string) {
	dir := ts.MkAbs(args[0])
	old, ok := seen(ts)[dir]
	if !ok {
		ts.Fatalf("%s was not remembered", args[0])
	}
	now := look(ts, dir)
	for path, b := range old {
		if n, ok := now[path]; !ok || !bytes.Equal(n, b) {
			ts.Fatalf("%s is not as it was", path)
		}
	}
	if len(now) != len(old) {
		ts.Fatalf("%s holds %d files and folders, not %d as before", args[0], len(now), len(old))
	}
}

func spoil(ts *script, args []string) {
	file := ts.MkAbs(args[0])
	if seen(ts)[file] == nil {
		seen(ts)[file] = look(ts, file)
	}
	was := string(seen(ts)[file][file])
	if !strings.Contains(was, args[1]) {
		ts.Fatalf("%s has no %q to spoil", args[0], args[1])
	}
	ts.Check(os.WriteFile(file, []byte(strings.Replace(was, args[1], strings.ReplaceAll(args[2], `\n`, "\n"), 1)), 0o644))
}

func mend(ts *script, args []string) {
	file := ts.MkAbs(args[0])
	ts.Check(os.WriteFile(file, seen(ts)[file][file], 0o644))
}

func damage(ts *script, args []string) {
	f, err := os.OpenFile(ts.MkAbs(args[0]), os.O_RDWR, 0)
	ts.Check(err)
	defer f.Close()
	_, err = f.WriteAt(bytes.Repeat([]byte{0xa5}, whole(ts, args[2])), int64(whole(ts, args[1])))
	ts.Check(err)
}

// foreign makes a database that is not ours, in the same format.
func foreign(ts *script, args []string) {
	db, err := sql.Open("sqlite", ts.MkAbs(args[0]))
	ts.Check(err)
	defer db.Close()
	_, err = db.Exec("CREATE TABLE birds (name TEXT); INSERT INTO birds VALUES ('petrel')")
	ts.Check(err)
}

const multipart = "From: a@hut.example\nTo: b@valley.example\nSubject: many parts\nMIME-Version: 1.0\nContent-Type: multipart/mixed; boundary=b0\n\n"

func nest(ts *script, args []string) {
	var b strings.Builder
	b.WriteString(multipart)
	for i := range whole(ts, args[0]) {
		fmt.Fprintf(&b, "--b%d\nContent-Type: multipart/mixed; boundary=b%d\n\n", i, i+1)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(b.String()), 0o644))
}

func parts(ts *script, args []string) {
	text := multipart + strings.Repeat("--b0\nContent-Type: text/plain\n\nx\n", whole(ts, args[0])) + "--b0--\n"
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(text), 0o644))
}
