package web

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"time"
)

// A guard refuses what does not come from the page itself.
//
//   - Host: only the names this machine is known by here, so that a foreign name made to
//     point at it (DNS rebinding) gets nothing.
//   - Origin: a request that changes something must come from the page (net/http's
//     CrossOriginProtection); a read from another site's page is refused too.
//   - The page may not be framed, and runs no script but its own (headers).
//   - Beyond loopback: a pass-phrase, then a cookie that only same-site requests carry.
type guard struct {
	local  bool
	port   string
	names  map[string]bool
	phrase [32]byte
	secure bool // a pass-phrase is asked for

	mu       sync.Mutex
	sessions map[string]time.Time
	nextTry  time.Time
}

const (
	cookieName  = "farhail"
	sessionLife = 30 * 24 * time.Hour
)

func newGuard(addr net.Addr, local bool, phrase string) *guard {
	g := &guard{local: local, names: map[string]bool{"localhost": true}, sessions: map[string]time.Time{}}
	_, g.port, _ = net.SplitHostPort(addr.String())
	if !local {
		g.secure, g.phrase = true, sha256.Sum256([]byte(phrase))
		if h, err := os.Hostname(); err == nil {
			h = strings.ToLower(h)
			g.names[h], g.names[h+".local"] = true, true
		}
	}
	return g
}

// host says whether a Host header names this machine: an IP address, or one of its names.
// A name that merely resolves to it is not enough.
func (g *guard) host(h string) bool {
	name, port, err := net.SplitHostPort(h)
	if err != nil {
		name, port = h, "80"
	}
	if port != g.port {
		return false
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	if ip := net.ParseIP(name); ip != nil {
		return !g.local || ip.IsLoopback()
	}
	return g.names[name]
}

const policy = "default-src 'self'; img-src 'self' blob:; frame-ancestors 'none'; base-uri 'none'; form-action 'self'; object-src 'none'"

func (g *guard) wrap(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		refuse(w, http.StatusForbidden, "this request comes from another site: the desk does not act on it", "use the page of the desk itself")
	}))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Frame-Options", "DENY")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		if !g.host(r.Host) {
			refuse(w, http.StatusMisdirectedRequest, "the desk is not known by this name", "open the address that farhail serve printed")
			return
		}
		if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" && r.Header.Get("Sec-Fetch-Mode") != "navigate" {
			refuse(w, http.StatusForbidden, "this request comes from another site: the desk does not answer it", "use the page of the desk itself")
			return
		}
		if g.secure && !g.known(r) && !open(r.URL.Path) {
			if strings.HasPrefix(r.URL.Path, "/api/") || r.URL.Path == "/events" {
				refuse(w, http.StatusUnauthorized, "the pass-phrase has not been given", "load the page again")
				return
			}
			http.Redirect(w, r, "/enter", http.StatusSeeOther)
			return
		}
		cross.Handler(next).ServeHTTP(w, r)
	})
}

// open paths are there before the pass-phrase is given: the form, and what it looks like.
func open(path string) bool {
	return path == "/enter" || strings.HasPrefix(path, "/assets/") || path == "/favicon.svg"
}

func (g *guard) known(r *http.Request) bool {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return false
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	until, ok := g.sessions[c.Value]
	return ok && time.Now().Before(until)
}

// enter shows the form for the pass-phrase and takes it: one try a second, whoever asks.
func (g *guard) enter(w http.ResponseWriter, r *http.Request) {
	word := ""
	if r.Method == http.MethodPost {
		r.Body = http.MaxBytesReader(w, r.Body, 4<<10)
		given := sha256.Sum256([]byte(r.PostFormValue("phrase")))
		if g.admit() && subtle.ConstantTimeCompare(given[:], g.phrase[:]) == 1 {
			http.SetCookie(w, &http.Cookie{Name: cookieName, Value: g.session(), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(sessionLife.Seconds())})
			http.Redirect(w, r, "/", http.StatusSeeOther)
			return
		}
		w.WriteHeader(http.StatusForbidden)
		word = "<p>That is not it. One try a second.</p>"
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Write([]byte(`<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Farhail</title>
<link rel="stylesheet" href="` + style() + `"><main class="page"><h1 class="lead"><b>Farhail</b> asks for the pass-phrase.</h1>` + word + `<form class="entry" method="post" action="/enter"><label>Pass-phrase <input type="password" name="phrase" autocomplete="current-password" autofocus></label> <button class="btn">Enter</button></form></main></html>`))
}

func (g *guard) admit() bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	now := time.Now()
	if now.Before(g.nextTry) {
		return false
	}
	g.nextTry = now.Add(time.Second)
	return true
}

func (g *guard) session() string {
	var b [32]byte
	rand.Read(b[:]) // never fails (crypto/rand)
	id := hex.EncodeToString(b[:])
	g.mu.Lock()
	defer g.mu.Unlock()
	now := time.Now()
	for k, until := range g.sessions {
		if now.After(until) {
			delete(g.sessions, k)
		}
	}
	g.sessions[id] = now.Add(sessionLife)
	return id
}
