package web

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"

	"farhail/desk"
)

// events tells every open page that something changed. Each page holds one stream.
type events struct {
	mu    sync.Mutex
	pages map[chan string]bool
	rev   int
}

// mostPages bounds the streams.
const mostPages = 32

func newEvents() *events { return &events{pages: map[chan string]bool{}} }

// tell never waits: a page that does not read misses the word, and reads the state when
// it comes back.
func (e *events) tell(word string) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.rev++
	for c := range e.pages {
		select {
		case c <- word:
		default:
		}
	}
}

func (e *events) join() (chan string, bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if len(e.pages) >= mostPages {
		return nil, false
	}
	c := make(chan string, 8)
	e.pages[c] = true
	return c, true
}

func (e *events) leave(c chan string) {
	e.mu.Lock()
	defer e.mu.Unlock()
	delete(e.pages, c)
}

func (e *events) watched() bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return len(e.pages) > 0
}

// stream is one page's events: "changed" when the desk changed, "tick" every minute.
func (s *Server) stream(w http.ResponseWriter, r *http.Request) {
	c, ok := s.events.join()
	if !ok {
		refuse(w, http.StatusServiceUnavailable, "too many pages are open", "close one and load this again")
		return
	}
	defer s.events.leave(c)
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	send := func(format string, a ...any) bool {
		// A page that does not read holds nothing up.
		out.SetWriteDeadline(time.Now().Add(10 * time.Second))
		if _, err := fmt.Fprintf(w, format, a...); err != nil {
			return false
		}
		return out.Flush() == nil
	}
	if !send("retry: 2000\nevent: hello\ndata: -\n\n") {
		return
	}
	quiet := time.NewTicker(20 * time.Second)
	defer quiet.Stop()
	for {
		select {
		case word := <-c:
			if !send("event: %s\ndata: -\n\n", word) {
				return
			}
		case <-quiet.C:
			if !send(": still here\n\n") {
				return
			}
		case <-r.Context().Done():
			return
		case <-s.closed:
			return
		}
	}
}

// look is how often the folder is looked at for changes from elsewhere.
const look = 400 * time.Millisecond

// watchFiles sees changes made by other commands, or by hand in the files, and tells the
// pages. Looking at sizes and times works on every kind of disk, which notices do not.
func (s *Server) watchFiles(ctx context.Context) {
	s.seen.set(s.marks())
	t := time.NewTicker(look)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
		f, b := s.marks()
		files, store := s.seen.set(f, b)
		if files {
			s.reopen(ctx)
		}
		if files || store {
			s.changed()
		}
	}
}

// seen are the marks of what the pages know of.
type seen struct {
	mu           sync.Mutex
	files, store string
}

// set takes new marks and says which differ.
func (k *seen) set(files, store string) (f, s bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	f, s = files != k.files, store != k.store
	k.files, k.store = files, store
	return f, s
}

// marks are the sizes and times of the operator's files, and of the store.
func (s *Server) marks() (files, store string) {
	mark := func(path string) string {
		info, err := os.Stat(path)
		if err != nil {
			return path + " -\n"
		}
		return fmt.Sprintf("%s %d %d\n", path, info.Size(), info.ModTime().UnixNano())
	}
	dir := s.options.Dir
	files = mark(filepath.Join(dir, desk.HomeFile)) + mark(filepath.Join(dir, desk.StationsFile))
	if more, err := os.ReadDir(filepath.Join(dir, "stations")); err == nil {
		for _, e := range more {
			files += mark(filepath.Join(dir, "stations", e.Name()))
		}
	}
	path := filepath.Join(dir, desk.StoreFile)
	return files, mark(path) + mark(path+"-wal")
}

// changed forgets what was worked out and tells the pages.
func (s *Server) changed() {
	s.plans.forget()
	s.told()
}

// told tells the pages of a change that moves no plan.
func (s *Server) told() {
	s.seen.set(s.marks())
	s.events.tell("changed")
}

// warm keeps the plan of the moment at hand while somebody looks, and makes it anew when
// a watch begins, whether or not anybody looks: it is there for who comes.
func (s *Server) warm(ctx context.Context) {
	s.watch(ctx, "")
	for {
		wait, begins := s.rest(time.Minute)
		t := time.NewTimer(wait)
		select {
		case <-ctx.Done():
			t.Stop()
			return
		case <-t.C:
		}
		if begins || s.events.watched() {
			s.watch(ctx, "")
			s.events.tell("tick")
		}
	}
}

// rest is how long to wait, at most so long, and whether a watch begins then. A clock
// that stands still comes to no watch.
func (s *Server) rest(most time.Duration) (wait time.Duration, begins bool) {
	wait = most
	s.with(func(d *desk.Desk) error {
		now := d.Now()
		if at, ok := d.WatchBegins(now); ok && !d.Demo() && at.Sub(now) < most {
			wait, begins = at.Sub(now), true
		}
		return nil
	})
	return wait, begins
}
