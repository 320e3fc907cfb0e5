package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"farhail/desk"
)

// world lays a demo world out for a command.
func world(t *testing.T, name string) *shell {
	t.Helper()
	dir := filepath.Join(t.TempDir(), name)
	d, _, err := desk.MakeDemo(context.Background(), name, dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	return &shell{stdin: bytes.NewReader(nil), stdout: &bytes.Buffer{}, stderr: &bytes.Buffer{}, dir: dir}
}

func runCard(s *shell, args ...string) error {
	c := s.card()
	c.SetArgs(args)
	c.SilenceErrors, c.SilenceUsage = true, true
	return c.ExecuteContext(context.Background())
}

func TestCardCommand(t *testing.T) {
	for _, name := range desk.Worlds {
		for _, size := range []string{"a5", "a4"} {
			s := world(t, name)
			s.json = true
			file := filepath.Join(t.TempDir(), "card.pdf")
			if err := runCard(s, "--size", size, "-o", file); err != nil {
				t.Fatal(err)
			}
			var a cardAnswer
			if err := json.Unmarshal(s.stdout.(*bytes.Buffer).Bytes(), &a); err != nil {
				t.Fatal(err)
			}
			first, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.HasPrefix(first, []byte("%PDF-")) || a.Bytes != len(first) || a.Size != size {
				t.Errorf("%s: %d bytes beginning %q; the answer says %+v", name, len(first), first[:8], a)
			}
			s.json, s.stdout = false, &bytes.Buffer{}
			if err := runCard(s, "--size", size, "-o", "-"); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(first, s.stdout.(*bytes.Buffer).Bytes()) {
				t.Errorf("%s, %s: the file and standard output differ", name, size)
			}
		}
	}
}

func TestCardRefusals(t *testing.T) {
	s := world(t, "saltmarsh")
	for _, c := range []struct {
		args []string
		want desk.Class
	}{
		{[]string{"--size", "letter"}, desk.Input},
		{[]string{"--week", "Nowhere", "-o", "-"}, desk.Missing},
		{[]string{"--at", "soon", "-o", "-"}, desk.Input},
	} {
		if err := runCard(s, c.args...); desk.Classify(err) != c.want {
			t.Errorf("card %v: %v, class %v, want %v", c.args, err, desk.Classify(err), c.want)
		}
	}
}
