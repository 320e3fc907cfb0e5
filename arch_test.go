// Package farhail_test guards the house: which folder may import which, and that the
// pure ones stay pure.
package farhail_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// layers, lowest first: what of this module a folder may import. A trailing ! marks an
// adapter, which may also touch the outside world. Loosening a line is a decision
// (docs/decisions.md), not a repair of a red build.
var layers = []struct{ pkg, may string }{
	{"unit", ""},
	{"hf/earth", "unit"},
	{"hf/iono", "hf/earth"},
	{"hf/noise", "hf/earth"},
	{"hf/ground", "unit hf/earth"},
	{"hf/antenna", "unit hf/earth"},
	{"hf/circuit", "unit hf/earth hf/iono hf/noise"},
	{"modem", "unit"},
	{"station", "unit hf/earth hf/antenna"},
	{"traffic", "unit"},
	{"forecast", "unit hf/earth hf/noise hf/ground hf/antenna hf/circuit modem station"},
	{"plan", "forecast"},
	{"logbook", "unit hf/earth"},
	{"practice", "unit hf/earth hf/iono hf/noise hf/circuit modem station forecast plan"},
	{"store!", "unit hf/earth logbook"},
	{"report", "unit hf/antenna"},
	{"desk/demo/mail", ""},
	{"desk!", "unit hf/earth hf/iono hf/noise hf/ground hf/antenna hf/circuit modem station traffic forecast plan logbook practice store report desk/demo/mail"},
	{"web!", "unit hf/earth hf/antenna station desk report"},
	{"cmd/farhail!", "unit hf/earth desk practice report web"},
}

// outside is what a pure package must not import.
var outside = []string{"os", "net", "net/http", "database/sql", "log", "log/slog", "math/rand", "syscall", "os/exec"}

func TestImportPolicy(t *testing.T) {
	const module = "farhail/"
	lines := map[string]string{}
	adapter := map[string]bool{}
	for _, l := range layers {
		name, isAdapter := strings.CutSuffix(l.pkg, "!")
		lines[name], adapter[name] = l.may, isAdapter
	}
	seen := map[string]bool{}
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") && d.Name() != "." || d.Name() == "testdata" || d.Name() == "node_modules" || path == "tables") {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		pkg := filepath.ToSlash(filepath.Dir(path))
		may, ok := lines[pkg]
		if !ok {
			t.Errorf("%s: the folder %s has no line in the import policy", path, pkg)
			return nil
		}
		seen[pkg] = true
		src, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, src, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, i := range f.Imports {
			name, _ := strconv.Unquote(i.Path.Value)
			if ours, is := strings.CutPrefix(name, module); is {
				if !slices.Contains(strings.Fields(may), ours) {
					t.Errorf("%s imports %s, which the line of %s does not allow", path, ours, pkg)
				}
			} else if !adapter[pkg] && slices.Contains(outside, name) {
				t.Errorf("%s: a pure package imports %s", path, name)
			}
		}
		if !adapter[pkg] && strings.Contains(string(src), "time.Now(") {
			t.Errorf("%s: a pure package reads the clock", path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range lines {
		if !seen[name] {
			t.Errorf("the import policy has a line for %s, which holds no code", name)
		}
	}
}

// The SQLite library names the exact libc it was made with: it must never move alone.
func TestLibcIsTheOneSQLiteNames(t *testing.T) {
	b, err := os.ReadFile("go.mod")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(b), "modernc.org/sqlite v1.62.0") || !strings.Contains(string(b), "modernc.org/libc v1.80.1") {
		t.Error("modernc.org/sqlite v1.62.0 goes with modernc.org/libc v1.80.1")
	}
}
