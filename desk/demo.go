package desk

import (
	"context"
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"farhail/desk/demo/mail"
	"farhail/store"
)

//go:embed demo/saltmarsh/*.toml demo/saltmarsh/*.csv demo/tamarind/*.toml
var worlds embed.FS

// Worlds are the demo worlds, all invented.
var Worlds = []string{"saltmarsh", "tamarind"}

// demoClock is the moment the demo worlds stand still at.
var demoClock = time.Date(2026, 11, 25, 17, 38, 0, 0, time.UTC)

// A DemoAnswer says what was laid out.
type DemoAnswer struct {
	World    string    `json:"world"`
	Dir      string    `json:"dir"`
	Clock    time.Time `json:"clock"`
	Messages int       `json:"messages"`
}

// MakeDemo lays a demo world into a folder that is empty or not there yet, with its mail
// in the queue, and opens it. An empty name makes a temporary folder.
func MakeDemo(ctx context.Context, world, dir string) (*Desk, *DemoAnswer, error) {
	if !slices.Contains(Worlds, world) {
		return nil, nil, &MissingError{fmt.Sprintf("no demo world %q", world), "choose " + strings.Join(Worlds, " or ")}
	}
	if dir == "" {
		var err error
		if dir, err = os.MkdirTemp("", "farhail-"+world+"-"); err != nil {
			return nil, nil, fmt.Errorf("make folder: %w", err)
		}
	} else if err := emptyFolder(dir); err != nil {
		return nil, nil, err
	}
	if err := layOut(world, dir); err != nil {
		return nil, nil, err
	}
	db, err := store.Create(ctx, filepath.Join(dir, StoreFile))
	if err != nil {
		return nil, nil, err
	}
	flux, a, k := 131.0, 9.0, 2.0
	err = db.SetSetting(ctx, clockSetting, demoClock.Format(time.RFC3339))
	if err == nil {
		_, err = db.AddBulletin(ctx, store.Bulletin{ID: "demo-bulletin", At: demoClock.Add(-20 * time.Hour), Flux: &flux, A: &a, K: &k, Source: "invented for the demo"})
	}
	if e := db.Close(); err == nil {
		err = e
	}
	if err != nil {
		return nil, nil, err
	}
	d, err := Open(ctx, dir)
	if err != nil {
		return nil, nil, err
	}
	added, err := d.AddTraffic(ctx, []string{filepath.Join(dir, "mail")}, nil, "", "")
	if err != nil {
		d.Close()
		return nil, nil, err
	}
	return d, &DemoAnswer{world, dir, demoClock, len(added)}, nil
}

func emptyFolder(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case err == nil && len(entries) > 0:
		return &InputError{fmt.Sprintf("the folder %q is not empty: nothing was written", dir), "give a new folder with --into"}
	case err != nil && !os.IsNotExist(err):
		return fmt.Errorf("look into %q: %w", dir, err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("make folder: %w", err)
	}
	return nil
}

func layOut(world, dir string) error {
	root := "demo/" + world
	list, err := fs.ReadDir(worlds, root)
	if err != nil {
		return err
	}
	for _, f := range list {
		b, err := worlds.ReadFile(root + "/" + f.Name())
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, f.Name()), b, 0o644); err != nil {
			return fmt.Errorf("write demo world: %w", err)
		}
	}
	letters := mail.Saltmarsh
	if world == "tamarind" {
		letters = mail.Tamarind
	}
	if err := os.MkdirAll(filepath.Join(dir, "mail"), 0o755); err != nil {
		return fmt.Errorf("make folder: %w", err)
	}
	for _, l := range letters() {
		if err := os.WriteFile(filepath.Join(dir, "mail", l.Name), l.Raw, 0o644); err != nil {
			return fmt.Errorf("write demo mail: %w", err)
		}
	}
	return nil
}
