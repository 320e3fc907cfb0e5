package web

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"farhail/desk"
)

func serve(t *testing.T, o Options) *Server {
	t.Helper()
	s, err := New(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		select {
		case err := <-done:
			if err != nil {
				t.Error("stop:", err)
			}
		case <-time.After(10 * time.Second):
			t.Error("the server does not stop")
		}
	})
	return s
}

func world(t *testing.T, name string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "w")
	d, _, err := desk.MakeDemo(context.Background(), name, dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	return dir
}

func do(t *testing.T, s *Server, method, path, body string, header ...string) (int, http.Header, string) {
	t.Helper()
	r, err := http.NewRequest(method, strings.TrimSuffix(s.Address(), "/")+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(header); i += 2 {
		if header[i] == "Host" {
			r.Host = header[i+1]
		}
		r.Header.Set(header[i], header[i+1])
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	a, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	b, err := io.ReadAll(a.Body)
	if err != nil {
		t.Fatal(err)
	}
	return a.StatusCode, a.Header, string(b)
}

// What another site's page, or a name made to point here, could send.
func TestStrangersAreRefused(t *testing.T) {
	s := serve(t, Options{Dir: world(t, "saltmarsh")})
	_, port, _ := net.SplitHostPort(s.listener.Addr().String())
	for _, c := range []struct {
		method, path string
		header       []string
		want         int
	}{
		{"GET", "/api/watch", []string{"Host", "evil.example"}, 421},
		{"GET", "/api/watch", []string{"Host", "evil.example:" + port}, 421},
		{"GET", "/api/watch", []string{"Host", "127.0.0.1.evil.example:" + port}, 421},
		{"GET", "/api/watch", []string{"Host", "127.0.0.1:1"}, 421},
		{"GET", "/api/watch", []string{"Host", "192.0.2.1:" + port}, 421},
		{"GET", "/api/watch", []string{"Host", "localhost:" + port}, 200},
		{"GET", "/api/watch", []string{"Host", "[::1]:" + port}, 200},
		{"POST", "/api/log", []string{"Origin", "http://evil.example"}, 403},
		{"POST", "/api/log", []string{"Origin", "null"}, 403},
		{"POST", "/api/log", []string{"Sec-Fetch-Site", "cross-site"}, 403},
		{"POST", "/api/log", []string{"Sec-Fetch-Site", "same-site"}, 403},
		{"POST", "/api/log", []string{"Content-Type", "text/plain"}, 422},
		{"POST", "/api/log", []string{"Content-Type", "application/x-www-form-urlencoded"}, 422},
		{"GET", "/api/log", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors"}, 403},
		{"GET", "/events", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "cors"}, 403},
		{"GET", "/home.toml", nil, 404},
		{"GET", "/api/nothing", nil, 404},
		{"DELETE", "/api/log", nil, 405},
	} {
		got, h, text := do(t, s, c.method, c.path, `{"Line":"no answer"}`, c.header...)
		if got != c.want {
			t.Errorf("%s %s %v: %d, want %d: %s", c.method, c.path, c.header, got, c.want, text)
		}
		if h.Get("X-Frame-Options") != "DENY" || !strings.Contains(h.Get("Content-Security-Policy"), "default-src 'self'") {
			t.Errorf("%s %s: no guard in the header: %v", c.method, c.path, h)
		}
	}
	_, _, text := do(t, s, "GET", "/api/log", "")
	var a logAnswer
	if err := json.Unmarshal([]byte(text), &a); err != nil || len(a.Lines) != 0 {
		t.Errorf("a stranger has written: %v %s", err, text)
	}
}

// A desk reached from elsewhere asks for the pass-phrase, one try a second, and its
// cookie is strict.
func TestPassPhrase(t *testing.T) {
	dir := world(t, "tamarind")
	if _, err := New(context.Background(), Options{Dir: dir, Listen: "0.0.0.0:0"}); err == nil || desk.Classify(err) != desk.Input {
		t.Errorf("listening on every interface without a pass-phrase: %v", err)
	}
	if _, err := New(context.Background(), Options{Dir: dir, Listen: "0.0.0.0:0", PassPhrase: "short"}); err == nil {
		t.Error("a short pass-phrase is taken")
	}
	s := serve(t, Options{Dir: dir, Listen: "0.0.0.0:0", PassPhrase: "a wide grey sea"})
	if got, h, _ := do(t, s, "GET", "/", ""); got != 303 || h.Get("Location") != "/enter" {
		t.Errorf("the page without the pass-phrase: %d to %q", got, h.Get("Location"))
	}
	if got, _, _ := do(t, s, "GET", "/api/watch", ""); got != 401 {
		t.Errorf("an answer without the pass-phrase: %d", got)
	}
	if got, h, _ := do(t, s, "GET", style(), ""); got != 200 || !strings.HasPrefix(h.Get("Content-Type"), "text/css") {
		t.Errorf("the style of the form: %d %s", got, h.Get("Content-Type"))
	}
	form := []string{"Content-Type", "application/x-www-form-urlencoded"}
	if got, _, _ := do(t, s, "POST", "/enter", "phrase=wrong", form...); got != 403 {
		t.Errorf("a wrong pass-phrase: %d", got)
	}
	if got, _, _ := do(t, s, "POST", "/enter", "phrase=a+wide+grey+sea", form...); got != 403 {
		t.Errorf("a second try in the same second: %d", got)
	}
	time.Sleep(1100 * time.Millisecond)
	got, h, _ := do(t, s, "POST", "/enter", "phrase=a+wide+grey+sea", form...)
	cookie := h.Get("Set-Cookie")
	if got != 303 || !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "SameSite=Strict") {
		t.Fatalf("the pass-phrase: %d, cookie %q", got, cookie)
	}
	value, _, _ := strings.Cut(cookie, ";")
	if got, _, _ := do(t, s, "GET", "/api/watch", "", "Cookie", value); got != 200 {
		t.Errorf("an answer with the cookie: %d", got)
	}
	if got, _, _ := do(t, s, "GET", "/api/watch", "", "Cookie", cookieName+"=guessed"); got != 401 {
		t.Errorf("an answer with a guessed cookie: %d", got)
	}
	if got, _, _ := do(t, s, "GET", "/api/watch", "", "Cookie", value, "Host", "evil.example"); got != 421 {
		t.Errorf("a foreign name with the cookie: %d", got)
	}
}

// Bodies are capped, and a body that comes a letter at a time holds nobody up.
func TestLargeAndSlow(t *testing.T) {
	s := serve(t, Options{Dir: world(t, "saltmarsh")})
	if got, _, _ := do(t, s, "POST", "/api/log", `{"Line":"`+strings.Repeat("x", mostBody)+`"}`); got != 413 {
		t.Errorf("a large body: %d, want 413", got)
	}
	if got, _, text := do(t, s, "POST", "/api/traffic?name=big.eml", strings.Repeat("X", mostMail+1), "Content-Type", "message/rfc822"); got != 413 {
		t.Errorf("a large mail: %d, want 413: %s", got, text)
	}
	slow := 0
	for range 40 {
		c, err := net.Dial("tcp", strings.TrimSuffix(strings.TrimPrefix(s.Address(), "http://"), "/"))
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		io.WriteString(c, "POST /api/log HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Le")
		slow++
	}
	begun := time.Now()
	if got, _, _ := do(t, s, "GET", "/api/watch", ""); got != 200 || time.Since(begun) > 3*time.Second {
		t.Errorf("with %d slow clients: %d after %v", slow, got, time.Since(begun))
	}
}

// What is written by another hand reaches an open page.
func TestStreamTellsOfChanges(t *testing.T) {
	dir := world(t, "saltmarsh")
	s := serve(t, Options{Dir: dir})
	a, err := http.Get(s.Address() + "events")
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	words := make(chan string, 100)
	go func() {
		in := bufio.NewScanner(a.Body)
		for in.Scan() {
			words <- in.Text()
		}
	}()
	wait := func(want string) {
		t.Helper()
		late := time.After(5 * time.Second)
		for {
			select {
			case w := <-words:
				if w == "event: "+want {
					return
				}
			case <-late:
				t.Fatalf("no %q within 5 s", want)
			}
		}
	}
	wait("hello")
	time.Sleep(2 * look)
	d, err := desk.Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Log(context.Background(), "no answer cabo-lume 12.61"); err != nil {
		t.Fatal(err)
	}
	d.Close()
	wait("changed")
	path := filepath.Join(dir, desk.HomeFile)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, bytes.Replace(b, []byte(`power = "100 W"`), []byte(`power = "wrong"`), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	wait("changed")
	got, _, text := do(t, s, "GET", "/api/watch", "")
	var tr trouble
	if json.Unmarshal([]byte(text), &tr); got != 422 || len(tr.Faults) != 1 || tr.Faults[0].Field != "transmitter.power" || tr.Faults[0].Line == 0 {
		t.Errorf("a faulty home: %d %s", got, text)
	}
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	wait("changed")
	if got, _, _ := do(t, s, "GET", "/api/watch", ""); got != 200 {
		t.Errorf("the home put right: %d", got)
	}
}

// A message is moved within its precedence, the plan follows at once, and it can be taken
// back; what cannot be is refused with a sentence and changes nothing.
func TestMoveTraffic(t *testing.T) {
	s := serve(t, Options{Dir: world(t, "saltmarsh")})
	queue := func() (ids, first []string, a trafficAnswer) {
		t.Helper()
		got, _, text := do(t, s, "GET", "/api/traffic", "")
		if err := json.Unmarshal([]byte(text), &a); got != 200 || err != nil {
			t.Fatalf("%d %v: %s", got, err, text)
		}
		for _, l := range a.Letters {
			ids = append(ids, l.ID)
		}
		return ids, a.Plan.Calls[0].Messages, a
	}
	was, sent, before := queue()
	if len(before.Cuts) != 1 || before.Cuts["d510ddd6dae4"].Budget != 60_000 || before.Worth["priority"] != 4 {
		t.Errorf("cuts %+v, worth %v", before.Cuts, before.Worth)
	}
	if got, _, text := do(t, s, "POST", "/api/traffic/"+was[1]+"/move", `{"Where":"before","Other":"`+was[0]+`"}`); got != 200 {
		t.Fatalf("move: %d %s", got, text)
	}
	now, goes, _ := queue()
	if now[0] != was[1] || now[1] != was[0] || goes[0] != sent[1] || goes[1] != sent[0] {
		t.Errorf("queue %v, sent %v; before the move %v, %v", now[:2], goes[:2], was[:2], sent[:2])
	}
	for _, c := range []struct {
		path, body, say string
		want            int
	}{
		{was[0] + "/move", `{"Where":"before","Other":"` + was[len(was)-1] + `"}`, "a message moves only within its precedence", 422},
		{was[0] + "/move", `{"Where":"up"}`, `no place \"up\" in the queue`, 422},
		{"nobody/move", `{"Where":"first"}`, `no message \"nobody\"`, 404},
		{"by-rule", `{"Precedence":"urgent"}`, `\"urgent\" is not a precedence`, 422},
		{"by-rule", `{}`, `\"\" is not a precedence`, 422},
	} {
		if got, _, text := do(t, s, "POST", "/api/traffic/"+c.path, c.body); got != c.want || !strings.Contains(text, c.say) {
			t.Errorf("%s %s: %d %s, want %d %q", c.path, c.body, got, text, c.want, c.say)
		}
	}
	if ids, _, _ := queue(); ids[0] != was[1] {
		t.Errorf("a refusal changed the queue to %v", ids[:2])
	}
	for _, back := range []struct{ path, body string }{{"by-rule", `{"Precedence":"immediate"}`}, {"undo", `{}`}} {
		if got, _, text := do(t, s, "POST", "/api/traffic/"+back.path, back.body); got != 200 {
			t.Fatalf("%s: %d %s", back.path, got, text)
		}
		ids, _, _ := queue()
		if byRule := back.path == "by-rule"; (ids[0] == was[0]) != byRule {
			t.Errorf("after %s the queue begins %v", back.path, ids[:2])
		}
	}
	if got, _, text := do(t, s, "POST", "/api/traffic/undo", `{}`); got != 404 || !strings.Contains(text, "no move to take back") {
		t.Errorf("a second undo: %d %s", got, text)
	}
}

// More pages than there are streams for are told so.
func TestStreamsAreBounded(t *testing.T) {
	e := newEvents()
	for i := range mostPages {
		if _, ok := e.join(); !ok {
			t.Fatalf("page %d is turned away", i)
		}
	}
	if _, ok := e.join(); ok {
		t.Error("there is no bound")
	}
	for range 100 {
		e.tell("changed") // nobody reads: it must not wait
	}
}

// Of forty stations the plan's and the likeliest have strands; the rest is one line.
func TestFortyStations(t *testing.T) {
	s := &desk.Screen{From: time.Unix(0, 0), To: time.Unix(86400, 0), Now: time.Unix(0, 0), Focus: "S0", Steps: []time.Time{time.Unix(450, 0)}}
	for i := range 40 {
		s.Stations = append(s.Stations, desk.ScreenStation{Name: fmt.Sprintf("S%d", i), Channels: []desk.ScreenChannel{{MHz: 5, Chance: []float64{float64(i) / 100}}}})
	}
	a := &desk.PlanAnswer{Calls: []desk.CallAnswer{{Station: "S3"}, {Station: "S5"}}}
	r := desk.Ribbon(a, s, nil)
	var names []string
	for _, x := range r.Strands {
		names = append(names, x.Station)
	}
	want := "S3 S5 S33 S34 S35 S36 S37 S38 S39"
	if got := strings.Join(names, " "); got != want {
		t.Errorf("strands %s, want %s", got, want)
	}
	if !strings.HasPrefix(r.Hidden, "30 more") {
		t.Errorf("hidden: %q, want 30 more", r.Hidden)
	}
}

// The mode is in the first bytes of the page.
func TestModeBeforeTheFirstPaint(t *testing.T) {
	s := serve(t, Options{Dir: world(t, "saltmarsh")})
	for mode, want := range map[string]string{"red": `data-mode="red"`, "dusk": `data-mode="dusk"`, "": `data-mode="light"`, `"><script>`: `data-mode="light"`} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Header.Set("Cookie", "mode="+mode)
		w := httptest.NewRecorder()
		s.page(w, r)
		if !strings.Contains(w.Body.String(), want) || strings.Contains(w.Body.String(), "><script>") {
			t.Errorf("mode %q: page lacks %s", mode, want)
		}
	}
}

func BenchmarkWatch(b *testing.B) {
	dir := filepath.Join(b.TempDir(), "w")
	d, _, err := desk.MakeDemo(context.Background(), "saltmarsh", dir)
	if err != nil {
		b.Fatal(err)
	}
	d.Close()
	s, err := New(context.Background(), Options{Dir: dir})
	if err != nil {
		b.Fatal(err)
	}
	defer s.listener.Close()
	r := httptest.NewRequest("GET", "/api/watch?w=1200", nil)
	b.Run("warm", func(b *testing.B) {
		for b.Loop() {
			answer(s.getWatch)(httptest.NewRecorder(), r)
		}
	})
	b.Run("cold", func(b *testing.B) {
		for b.Loop() {
			s.plans.forget()
			answer(s.getWatch)(httptest.NewRecorder(), r)
		}
	})
}

// A call begun is in every page's answer until it is answered or taken back, and the pages
// are told; the plan is not made again for it.
func TestCallingIsShared(t *testing.T) {
	s := serve(t, Options{Dir: world(t, "saltmarsh")})
	read := func() *watchAnswer {
		t.Helper()
		got, _, text := do(t, s, "GET", "/api/watch", "")
		a := &watchAnswer{}
		if err := json.Unmarshal([]byte(text), a); got != 200 || err != nil {
			t.Fatalf("%d %v %s", got, err, text)
		}
		return a
	}
	first := read()
	if first.Calling != nil {
		t.Fatalf("a call under way before any: %+v", first.Calling)
	}
	made := s.plans.sheets[usualHorizon]
	pages, _ := s.events.join()
	c := first.Plan.Calls[0]
	body := fmt.Sprintf(`{"Station":%q,"MHz":%g}`, c.Station, c.MHz)
	if got, _, text := do(t, s, "POST", "/api/calling", body); got != 200 {
		t.Fatalf("begin: %d %s", got, text)
	}
	if word := <-pages; word != "changed" {
		t.Errorf("the pages are told %q", word)
	}
	if a := read(); a.Calling == nil || a.Calling.Call.Station != c.Station || a.Calling.Tries != 3 || s.plans.sheets[usualHorizon] != made {
		t.Errorf("after it was begun: %+v, plan made again: %v", a.Calling, s.plans.sheets[usualHorizon] != made)
	}
	if got, _, text := do(t, s, "POST", "/api/calling", body); got != 422 || !strings.Contains(text, "is being called since 17:38") {
		t.Errorf("begun twice: %d %s", got, text)
	}
	for _, bad := range []string{`{"Station":"nobody","MHz":7}`, `{"Station":"Cabo Lume","MHz":7}`} {
		if got, _, _ := do(t, s, "POST", "/api/calling/stop", "{}"); got != 200 {
			t.Errorf("stop: %d", got)
		}
		if got, _, text := do(t, s, "POST", "/api/calling", bad); got != 404 {
			t.Errorf("%s: %d %s", bad, got, text)
		}
	}
	if a := read(); a.Calling != nil {
		t.Errorf("after it was taken back: %+v", a.Calling)
	}
}

// A span of days is planned whole, drawn to its end, and kept beside the plan of the day.
func TestSpans(t *testing.T) {
	s := serve(t, Options{Dir: world(t, "saltmarsh")})
	for hours, want := range map[string]float64{"6": 24, "24": 24, "25": 48, "48": 48, "72": 72, "900": 72, "x": 24} {
		_, _, text := do(t, s, "GET", "/api/watch?hours="+hours, "")
		var a watchAnswer
		if err := json.Unmarshal([]byte(text), &a); err != nil {
			t.Fatal(err)
		}
		shown := a.Picture.To.Sub(a.Picture.From).Hours()
		if a.Plan.HorizonH != want || shown > want+0.3 || hours != "6" && hours != "25" && shown < want-0.3 {
			t.Errorf("%s hours: %g planned, %g shown, want %g", hours, a.Plan.HorizonH, shown, want)
		}
	}
	if len(s.plans.sheets) != 3 {
		t.Errorf("%d plans are kept, want those of one, two and three days", len(s.plans.sheets))
	}
}

// The server wakes when a watch begins; a demo's clock stands still, and comes to none. A
// plan that does not stand any more is made again.
func TestPlanOnComingOnWatch(t *testing.T) {
	dir := world(t, "saltmarsh")
	path := filepath.Join(dir, desk.HomeFile)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	begins := time.Now().UTC().Truncate(time.Minute).Add(2 * time.Minute)
	head, rest, _ := bytes.Cut(b, []byte("[watch]"))
	_, rest, _ = bytes.Cut(rest, []byte("# Permits.")) // who may be woken has the hours of the old watch
	b = fmt.Appendf(nil, "%s[watch]\nhours = [\"%s-%s\"]\n\n#%s", head, begins.Format("15:04"), begins.Add(2*time.Hour).Format("15:04"), rest)
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, still := range []bool{true, false} {
		if !still { // a store without a clock of its own goes by the computer's
			for _, end := range []string{"", "-wal", "-shm"} {
				os.Remove(filepath.Join(dir, desk.StoreFile) + end)
			}
		}
		s, err := New(context.Background(), Options{Dir: dir})
		if err != nil || s.fault != nil {
			t.Fatal(err, s.fault)
		}
		defer s.listener.Close()
		wait, begun := s.rest(3 * time.Minute)
		if want := time.Until(begins); begun == still || !still && (wait > want+time.Second || wait < want-time.Second) || still && wait != 3*time.Minute {
			t.Errorf("clock stands still %v: waits %v for a watch that begins in %v (%v)", still, wait, want, begun)
		}
		if wait, begun := s.rest(time.Second); wait != time.Second || begun {
			t.Errorf("a second is short of the watch: waits %v (%v)", wait, begun)
		}
		plan, _, err := s.watch(context.Background(), "")
		if err != nil {
			t.Fatal(err)
		}
		if again, _, _ := s.watch(context.Background(), ""); again != plan {
			t.Error("a plan just made is made again")
		}
		s.plans.sheets[usualHorizon].made = s.plans.sheets[usualHorizon].made.Add(-time.Hour)
		if again, _, _ := s.watch(context.Background(), ""); again == plan {
			t.Error("a plan of an hour ago is shown for one of now")
		}
		s.open.Close()
	}
}

// Who saves a setting and turns to another screen at once ends the request, not the desk.
func TestRequestThatEndsLeavesTheDeskOpen(t *testing.T) {
	s := serve(t, Options{Dir: world(t, "saltmarsh")})
	gone, leave := context.WithCancel(context.Background())
	leave()
	s.reopen(gone)
	if code, _, body := do(t, s, http.MethodGet, "/api/log", ""); code != http.StatusOK {
		t.Errorf("after a request that ended: %d %s", code, body)
	}
}
