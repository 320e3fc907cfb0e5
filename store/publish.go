package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// beside makes the file at path in one stroke: fill writes it under another name
// in the same folder, then it gets its own. Whatever goes wrong, path is either
// whole or not there. A file that is there already is left alone.
func beside(path, op string, fill func(tmp string) error) error {
	trouble := func(err error) error {
		e := &FileError{op, path, Unreadable, "the file cannot be made", "look at the permissions of the folder and at the room on the disk", err}
		switch {
		case errors.Is(err, fs.ErrExist):
			e.Trouble, e.Problem, e.Hint = Exists, "there is a file of this name already", "give another name"
		case errors.Is(err, fs.ErrNotExist):
			e.Trouble, e.Problem, e.Hint = Missing, "its folder does not exist", "make the folder first"
		case errors.Is(err, fs.ErrPermission):
			e.Trouble, e.Problem = ReadOnly, "its folder cannot be written"
		}
		return e
	}
	if _, err := os.Lstat(path); err == nil {
		return trouble(fs.ErrExist)
	}
	// Mail is private: the temporary file, and so the store, is for its owner only.
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return trouble(err)
	}
	tmp := f.Name()
	f.Close()
	defer os.Remove(tmp)
	if err := fill(tmp); err != nil {
		var known *FileError
		if errors.As(err, &known) {
			return err
		}
		return fmt.Errorf("%s %q: %w", op, path, err)
	}
	if err := errors.Join(flush(tmp), name(tmp, path)); err != nil {
		return trouble(err)
	}
	_ = flush(filepath.Dir(path)) // some systems cannot; the file itself is on disk
	return nil
}

// name gives tmp the name path unless that is taken. A link refuses by itself;
// file systems without links (memory cards) have only the look beforehand.
func name(tmp, path string) error {
	err := os.Link(tmp, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fs.ErrExist
	}
	return os.Rename(tmp, path)
}

func flush(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
