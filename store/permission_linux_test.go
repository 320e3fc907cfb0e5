package store

import (
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
)

// A file or folder that its permissions keep from being written. Root may write
// everything, so the thread gives that up for the length of the test.
func TestPermissions(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "desk.db")
	db := create(t, path)
	add(t, db, "m1")
	db.Close()
	if os.Getuid() == 0 {
		const nobody = 65534
		for _, p := range []string{path, dir, filepath.Dir(dir)} {
			if err := os.Chown(p, nobody, nobody); err != nil {
				t.Skipf("cannot give files away here: %v", err)
			}
		}
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		if err := syscall.Setfsuid(nobody); err != nil {
			t.Skipf("cannot be another user here: %v", err)
		}
		defer syscall.Setfsuid(0)
	}
	chmod := func(p string, mode os.FileMode) {
		if err := os.Chmod(p, mode); err != nil {
			t.Fatal(err)
		}
	}
	chmod(path, 0o400)
	db, err := Open(t.Context(), path)
	if err != nil {
		t.Fatalf("a file that may be read: %v", err)
	}
	if s := states(t, db); s != "m1:queued" {
		t.Errorf("messages read: %q", s)
	}
	_, err = db.Append(t.Context(), attempt("e", "m1"))
	wantTrouble(t, err, ReadOnly)
	db.Close()

	chmod(path, 0)
	wantTrouble(t, openErr(t, path), Unreadable)

	chmod(path, 0o600)
	// What the reader above could not clear away would do as a write-ahead log.
	os.Remove(path + "-wal")
	os.Remove(path + "-shm")
	chmod(dir, 0o500)
	defer chmod(dir, 0o700)
	wantTrouble(t, openErr(t, path), ReadOnly)
	_, err = Create(t.Context(), filepath.Join(dir, "new.db"))
	wantTrouble(t, err, ReadOnly)
}
