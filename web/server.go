package web

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"sync"
	"time"

	"farhail/desk"
	"farhail/station"
)

// Options say how to serve.
type Options struct {
	Dir        string // the station's folder
	Listen     string // host:port; empty: a free port on loopback
	PassPhrase string // needed beyond loopback
}

// leastPhrase is how long a pass-phrase must be, in octets.
const leastPhrase = 12

// A Server is the page and what it asks for.
type Server struct {
	options  Options
	listener net.Listener
	guard    *guard
	events   *events

	desk   sync.RWMutex // held to read while a desk is used, to write while it is changed
	open   *desk.Desk   // nil: not to be opened; see fault
	fault  error
	plans  planned
	seen   seen
	closed chan struct{}
}

// New opens the folder and takes the address. A folder that cannot be opened is no
// error: the page says what is wrong, and goes on when it is put right.
func New(ctx context.Context, o Options) (*Server, error) {
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	host, _, err := net.SplitHostPort(o.Listen)
	if err != nil {
		return nil, &desk.InputError{What: fmt.Sprintf("%q is not an address: %v", o.Listen, err), Hint: "write host and port, like 127.0.0.1:8400, or :8400 for every interface"}
	}
	local := loopback(host)
	if !local && len(o.PassPhrase) < leastPhrase {
		return nil, &desk.InputError{What: fmt.Sprintf("%q is reached from other machines: that needs a pass-phrase of at least %d letters", o.Listen, leastPhrase),
			Hint: "put one into a file and name it with --passphrase-file, or listen on 127.0.0.1"}
	}
	l, err := net.Listen("tcp", o.Listen)
	if err != nil {
		return nil, &desk.InputError{What: "cannot listen: " + err.Error(), Hint: "choose another address with --listen; port 0 takes a free one"}
	}
	s := &Server{options: o, listener: l, events: newEvents(), closed: make(chan struct{})}
	s.guard = newGuard(l.Addr(), local, o.PassPhrase)
	s.reopen(ctx)
	return s, nil
}

// Address is where the page is.
func (s *Server) Address() string {
	a := s.listener.Addr().(*net.TCPAddr)
	host := a.IP.String()
	if a.IP.IsUnspecified() {
		host = "127.0.0.1"
	}
	return "http://" + net.JoinHostPort(host, fmt.Sprint(a.Port)) + "/"
}

// Run serves until the context ends.
func (s *Server) Run(ctx context.Context) error {
	srv := &http.Server{
		Handler:           s.Handler(),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       60 * time.Second,
		WriteTimeout:      60 * time.Second, // the stream sets its own
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
	}
	watching, stop := context.WithCancel(ctx)
	defer stop()
	go s.watchFiles(watching)
	go s.warm(watching)
	done := make(chan error, 1)
	go func() { done <- srv.Serve(s.listener) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	close(s.closed)
	quiet, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	err := srv.Shutdown(quiet)
	s.desk.Lock()
	defer s.desk.Unlock()
	if s.open != nil {
		err = errors.Join(err, s.open.Close())
		s.open = nil
	}
	return err
}

// reopen reads the folder anew. It does not end with the request that asked for it: the
// desk is everybody's, and one half opened would stand as a fault until a file changes.
func (s *Server) reopen(ctx context.Context) {
	d, err := desk.Open(context.WithoutCancel(ctx), s.options.Dir)
	s.desk.Lock()
	if s.open != nil {
		s.open.Close()
	}
	s.open, s.fault = d, err
	s.desk.Unlock()
	// Not while the desk is held: who works a plan out holds the plans, then the desk.
	s.plans.forget()
}

// with uses the desk; the error is why there is none.
func (s *Server) with(work func(*desk.Desk) error) error {
	s.desk.RLock()
	defer s.desk.RUnlock()
	if s.open == nil {
		return s.fault
	}
	return work(s.open)
}

// loopback says whether an address is reached from this machine alone.
func loopback(host string) bool {
	if host == "localhost" {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// faultsOf are the faults of files in an error, none when it is of another kind.
func faultsOf(err error) []desk.FaultLine {
	var faults station.Faults
	if !errors.As(err, &faults) {
		return nil
	}
	var out []desk.FaultLine
	for _, f := range faults {
		out = append(out, desk.FaultLine{File: f.File, Line: f.Line, Field: f.Field, Problem: f.Problem, Hint: f.Hint, Severity: f.Severity.String()})
	}
	return out
}
