package store

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"
)

// desk fills a store as a season leaves it: 14 messages queued, one of 2 MB, and
// a thousand calls in the log.
func desk(b *testing.B) string {
	path := filepath.Join(b.TempDir(), "desk.db")
	db := create(b, path)
	defer db.Close()
	for i := range 14 {
		raw := make([]byte, 1000)
		if i == 0 {
			raw = make([]byte, 2_000_000)
		}
		if _, err := db.AddMessage(b.Context(), message(fmt.Sprint(i)), raw); err != nil {
			b.Fatal(err)
		}
	}
	for i := range 1000 {
		e := attempt(fmt.Sprint(i))
		e.At = now.Add(time.Duration(i) * time.Hour)
		if _, err := db.Append(b.Context(), e); err != nil {
			b.Fatal(err)
		}
	}
	return path
}

// What every command does first: open, read the queue and the log.
func BenchmarkOpenAndRead(b *testing.B) {
	path := desk(b)
	for b.Loop() {
		db, err := Open(b.Context(), path)
		if err != nil {
			b.Fatal(err)
		}
		queue, err := db.Messages(b.Context(), Queued, Held)
		if err != nil || len(queue) != 14 {
			b.Fatal(len(queue), err)
		}
		list, err := db.Entries(b.Context(), EntryFilter{})
		if err != nil || len(list) != 1000 {
			b.Fatal(len(list), err)
		}
		db.Close()
	}
}

func BenchmarkOpen(b *testing.B) {
	path := desk(b)
	for b.Loop() {
		db, err := Open(b.Context(), path)
		if err != nil {
			b.Fatal(err)
		}
		db.Close()
	}
}

func BenchmarkCreate(b *testing.B) {
	dir := b.TempDir()
	for i := 0; b.Loop(); i++ {
		create(b, filepath.Join(dir, fmt.Sprint(i))).Close()
	}
}

func BenchmarkAppend(b *testing.B) {
	db := create(b, filepath.Join(b.TempDir(), "desk.db"))
	for i := 0; b.Loop(); i++ {
		if _, err := db.Append(b.Context(), attempt(fmt.Sprint(i))); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkEntries1000(b *testing.B) {
	db, err := Open(b.Context(), desk(b))
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	for b.Loop() {
		if _, err := db.Entries(b.Context(), EntryFilter{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	db, err := Open(b.Context(), desk(b))
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	for b.Loop() {
		if _, err := db.Check(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
}
