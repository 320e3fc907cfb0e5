package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"farhail/desk"
)

// The scripts of testdata run the command as people do: in a process of its own, with
// its files, and judge what it printed, its exit status and what it left behind. Beside
// the words of testscript they use those of words_test.go and json_test.go.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"farhail": main})
}

func TestScripts(t *testing.T) {
	worlds := t.TempDir()
	for _, w := range desk.Worlds {
		d, _, err := desk.MakeDemo(context.Background(), w, filepath.Join(worlds, w))
		if err != nil {
			t.Fatal(err)
		}
		if err := d.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.CopyFS(filepath.Join(worlds, "hut"), os.DirFS("testdata/hut")); err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                "testdata",
		RequireUniqueNames: true,
		Setup: func(e *testscript.Env) error {
			e.Values[memory{}] = map[string]snapshot{}
			return nil
		},
		Condition: func(c string) (bool, error) {
			if c == "root" {
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("no condition %q", c)
		},
		Cmds: words(worlds),
	})
}

// Every command, each of its flags, and its answer as JSON stand in some script: what
// nobody runs, nobody knows to work.
func TestEveryCommandAndFlagIsScripted(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	var all strings.Builder
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(b)
	}
	lines := strings.Split(all.String(), "\n")
	runs := func(words ...string) bool {
		pattern := `(farhail|refuse \d|ends \d)\b`
		for _, w := range words {
			pattern += `.* ` + regexp.QuoteMeta(w) + `\b`
		}
		re := regexp.MustCompile(pattern)
		for _, l := range lines {
			if re.MatchString(l) {
				return true
			}
		}
		return false
	}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		path := strings.Fields(c.CommandPath())[1:]
		if len(path) > 0 && !runs(path...) {
			t.Errorf("no script runs farhail %s", strings.Join(path, " "))
		}
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if !runs(append(path, "--"+f.Name)...) {
				t.Errorf("no script runs farhail %s with --%s", strings.Join(path, " "), f.Name)
			}
		})
		if c.Runnable() && len(path) > 0 && !runs(append(path, "--json")...) {
			t.Errorf("no script runs farhail %s with --json", strings.Join(path, " "))
		}
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot(strings.NewReader(""), io.Discard, io.Discard))
}
