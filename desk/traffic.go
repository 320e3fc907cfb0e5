package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"farhail/store"
	"farhail/traffic"
	"farhail/unit"
)

// A Letter is a message of the queue as the desk shows it.
type Letter struct {
	ID          string     `json:"id"`
	State       string     `json:"state"`
	Precedence  string     `json:"precedence"`
	Rank        int        `json:"rank,omitempty"` // by hand, within the precedence: below 0 ahead of the rule, above 0 behind it
	Deadline    *time.Time `json:"deadline"`
	BytesOnAir  unit.Bytes `json:"bytes_on_air"`
	From        []string   `json:"from"`
	To          []string   `json:"to"`
	Subject     string     `json:"subject"`
	QueuedAt    time.Time  `json:"queued_at"`
	Attachments []Enclosed `json:"attachments"`
}

// Enclosed is an attachment as listed.
type Enclosed struct {
	Name    string     `json:"name"`
	Type    string     `json:"type"`
	Bytes   unit.Bytes `json:"bytes"`
	Picture bool       `json:"picture"`
}

// meta is what the desk keeps beside a message so that it need not be read again.
type meta struct {
	From, To    []string
	Subject     string
	Low, High   unit.Bytes
	Attachments []Enclosed
	Warnings    []string `json:",omitempty"`
	Keys        []string
}

func letter(m *store.Message) (Letter, meta, error) {
	var x meta
	if err := json.Unmarshal(m.Meta, &x); err != nil {
		return Letter{}, x, fmt.Errorf("read notes of message %s: %w", m.ID, err)
	}
	l := Letter{ID: m.ID, State: string(m.State), Precedence: m.Precedence, Rank: m.Rank, BytesOnAir: m.OnAir, From: x.From, To: x.To,
		Subject: x.Subject, QueuedAt: m.QueuedAt, Attachments: x.Attachments}
	if !m.Deadline.IsZero() {
		t := m.Deadline
		l.Deadline = &t
	}
	if l.Attachments == nil {
		l.Attachments = []Enclosed{}
	}
	return l, x, nil
}

// rules turns the home file's rules into those of the mail.
func (d *Desk) rules() ([]traffic.Rule, error) {
	var out []traffic.Rule
	for _, r := range d.Home.Rules {
		x := traffic.Rule{From: r.From, To: r.To, SubjectContains: r.Subject, Deadline: r.Deadline}
		if r.Precedence != "" {
			p, err := traffic.ParsePrecedence(r.Precedence)
			if err != nil {
				return nil, err
			}
			x.Precedence = p
		}
		out = append(out, x)
	}
	return out, nil
}

// Added says what became of one message handed over.
type Added struct {
	Letter
	Source    string   `json:"source"`
	New       bool     `json:"new"`
	Same      string   `json:"same_as,omitempty"`  // the message it repeats
	Requeued  bool     `json:"requeued,omitempty"` // which had been dropped
	Warnings  []string `json:"warnings,omitempty"`
	BytesLow  int64    `json:"bytes_low"`
	BytesHigh int64    `json:"bytes_high"`
}

// Handed is one message before it is read.
type handed struct {
	source string
	raw    []byte
}

// AddTraffic takes messages from files, mboxes, Maildirs or a reader ("-"), each by
// what it is, and queues those that are new. Nothing is queued when one cannot be read.
func (d *Desk) AddTraffic(ctx context.Context, sources []string, stdin io.Reader, precedence, deadline string) ([]Added, error) {
	o := traffic.Options{Queued: d.Now()}
	var err error
	if o.Rules, err = d.rules(); err != nil {
		return nil, err
	}
	if precedence != "" {
		if o.Precedence, err = traffic.ParsePrecedence(precedence); err != nil {
			return nil, err
		}
	}
	if deadline != "" {
		if o.Deadline, err = d.parseDeadline(deadline); err != nil {
			return nil, err
		}
	}
	var all []handed
	for _, s := range sources {
		part, err := gather(s, stdin)
		if err != nil {
			return nil, err
		}
		all = append(all, part...)
	}
	if len(all) == 0 {
		return nil, &MissingError{"no message in what was given", "name .eml files, an mbox, a Maildir folder, or - for standard input"}
	}
	type read struct {
		m   *traffic.Message
		src string
	}
	var msgs []read
	for _, h := range all {
		m, err := traffic.Parse(h.raw, o)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", h.source, err)
		}
		msgs = append(msgs, read{m, h.source})
	}
	known, err := d.knownKeys(ctx)
	if err != nil {
		return nil, err
	}
	out := []Added{}
	for _, r := range msgs {
		a, err := d.queue(ctx, r.m, r.src, known)
		if err != nil {
			return out, err
		}
		out = append(out, a)
	}
	return out, nil
}

// parseDeadline reads a moment, or a span from now ("6 h").
func (d *Desk) parseDeadline(s string) (time.Time, error) {
	if span, err := unit.ParseDuration(s); err == nil {
		if span <= 0 {
			return time.Time{}, &InputError{fmt.Sprintf("a deadline of %q is over already", s), "give a time in UTC or a span like 6 h"}
		}
		return d.Now().Add(span), nil
	}
	t, err := ParseTime(s, d.Now())
	if err != nil {
		return t, &InputError{fmt.Sprintf("%q is neither a time nor a span", s), "write a deadline like 2026-11-26T06:00Z, 18:00 or \"6 h\""}
	}
	if !t.After(d.Now()) {
		return t, &InputError{fmt.Sprintf("a deadline of %s is over already", t.Format("2006-01-02 15:04Z")), "give a time in UTC that is to come, or a span like 6 h"}
	}
	return t, nil
}

func (d *Desk) knownKeys(ctx context.Context) (map[string]string, error) {
	known := map[string]string{}
	msgs, err := d.DB.Messages(ctx)
	if err != nil {
		return nil, err
	}
	for i := range msgs {
		_, x, err := letter(&msgs[i])
		if err != nil {
			return nil, err
		}
		for _, k := range x.Keys {
			known[k] = msgs[i].ID
		}
	}
	return known, nil
}

func (d *Desk) queue(ctx context.Context, m *traffic.Message, source string, known map[string]string) (Added, error) {
	x := meta{From: m.From, To: m.To, Subject: m.Subject, Low: m.OnAir.Low, High: m.OnAir.High, Warnings: m.Warnings, Keys: m.Keys()}
	for _, at := range m.Attachments {
		x.Attachments = append(x.Attachments, Enclosed{at.Name, at.Type, at.Size, at.Picture})
	}
	notes, err := json.Marshal(x)
	if err != nil {
		return Added{}, err
	}
	row := store.Message{ID: m.ID, Hash: x.Keys[0], Precedence: m.Precedence.String(), Deadline: m.Deadline, State: store.Queued,
		QueuedAt: d.Now(), ChangedAt: d.Now(), OnAir: m.OnAir.Best, Meta: notes}
	l, _, err := letter(&row)
	if err != nil {
		return Added{}, err
	}
	a := Added{Letter: l, Source: source, Warnings: m.Warnings, BytesLow: int64(m.OnAir.Low), BytesHigh: int64(m.OnAir.High)}
	for _, k := range x.Keys {
		if id, ok := known[k]; ok {
			a.Same = id
			return a, d.again(ctx, id, &a)
		}
	}
	if a.New, err = d.DB.AddMessage(ctx, row, m.Raw); err != nil {
		return a, err
	}
	if !a.New {
		a.Same = m.ID
	}
	for _, k := range x.Keys {
		known[k] = m.ID
	}
	return a, nil
}

// again puts a message that was dropped back into the queue when it is handed over anew.
func (d *Desk) again(ctx context.Context, id string, a *Added) error {
	m, err := d.DB.Message(ctx, id)
	if err != nil || m.State != store.Dropped {
		return err
	}
	a.Requeued = true
	return d.DB.SetState(ctx, id, store.Queued, d.Now())
}

// gather finds the messages of one source.
func gather(source string, stdin io.Reader) ([]handed, error) {
	if source == "-" {
		b, err := limited(stdin)
		if err != nil {
			return nil, fmt.Errorf("read standard input: %w", err)
		}
		return split("standard input", b)
	}
	info, err := os.Stat(source)
	if err != nil {
		if errors.Is(err, os.ErrNotExist) {
			return nil, &MissingError{fmt.Sprintf("no file or folder %q", source), "name .eml files, an mbox, a Maildir folder, or - for standard input"}
		}
		return nil, err
	}
	if info.IsDir() {
		return maildir(source)
	}
	b, err := readFile(source)
	if err != nil {
		return nil, err
	}
	return split(source, b)
}

// split takes one mail or an mbox apart.
func split(source string, b []byte) ([]handed, error) {
	if !bytes.HasPrefix(b, []byte("From ")) {
		return []handed{{source, b}}, nil
	}
	parts, err := traffic.SplitMbox(b)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", source, err)
	}
	var out []handed
	for i, p := range parts {
		out = append(out, handed{fmt.Sprintf("%s, message %d", source, i+1), p})
	}
	return out, nil
}

// maildir walks new/ and cur/ of a Maildir, or the .eml files of a plain folder.
func maildir(dir string) ([]handed, error) {
	var out []handed
	isMaildir := exists(filepath.Join(dir, "new")) || exists(filepath.Join(dir, "cur"))
	folders := []string{dir}
	if isMaildir {
		folders = []string{filepath.Join(dir, "new"), filepath.Join(dir, "cur")}
	}
	for _, f := range folders {
		entries, err := os.ReadDir(f)
		if err != nil && !(isMaildir && errors.Is(err, os.ErrNotExist)) {
			return nil, fmt.Errorf("read folder: %w", err)
		}
		for _, e := range entries {
			if e.IsDir() {
				continue
			}
			if isMaildir {
				if m, ok := traffic.ParseMaildir(e.Name()); !ok || m.Draft || m.Trashed {
					continue
				}
			} else if !strings.EqualFold(filepath.Ext(e.Name()), ".eml") {
				continue
			}
			path := filepath.Join(f, e.Name())
			b, err := readFile(path)
			if err != nil {
				return nil, err
			}
			out = append(out, handed{path, b})
		}
	}
	if len(out) == 0 {
		return nil, &MissingError{fmt.Sprintf("no message in the folder %q", dir), "a Maildir has new/ and cur/; other folders are searched for .eml files"}
	}
	return out, nil
}

func readFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read message: %w", err)
	}
	defer f.Close()
	b, err := limited(f)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", path, err)
	}
	return b, nil
}

// maxSource bounds a file of messages.
const maxSource = 256 << 20

func limited(r io.Reader) ([]byte, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxSource+1))
	if err == nil && len(b) > maxSource {
		return nil, &InputError{fmt.Sprintf("more than %d MB in one source", maxSource>>20), "hand it over in parts"}
	}
	return b, err
}

// place is what the order of sending looks at in a letter.
func place(l *Letter) traffic.Place {
	p := traffic.Place{ID: l.ID, Rank: l.Rank, OnAir: l.BytesOnAir, Queued: l.QueuedAt}
	p.Precedence, _ = traffic.ParsePrecedence(l.Precedence)
	if l.Deadline != nil {
		p.Deadline = *l.Deadline
	}
	return p
}

func order(a, b *Letter) int { return traffic.Order(place(a), place(b)) }

// Traffic lists messages in order of sending; no state named lists queued and held.
func (d *Desk) Traffic(ctx context.Context, states ...string) ([]Letter, error) {
	var want []store.State
	for _, s := range states {
		if s == "all" {
			want = []store.State{store.Queued, store.Held, store.Delivered, store.Dropped}
			break
		}
		st := store.State(s)
		if !slices.Contains([]store.State{store.Queued, store.Held, store.Delivered, store.Dropped}, st) {
			return nil, &InputError{fmt.Sprintf("no state %q", s), "choose queued, held, delivered, dropped or all"}
		}
		want = append(want, st)
	}
	if want == nil {
		want = []store.State{store.Queued, store.Held}
	}
	msgs, err := d.DB.Messages(ctx, want...)
	if err != nil {
		return nil, err
	}
	out := []Letter{}
	for i := range msgs {
		l, _, err := letter(&msgs[i])
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b Letter) int { return order(&a, &b) })
	return out, nil
}

// find resolves an id or its beginning.
func (d *Desk) find(ctx context.Context, ref string) (*store.Message, error) {
	msgs, err := d.DB.Messages(ctx)
	if err != nil {
		return nil, err
	}
	var hit *store.Message
	for i := range msgs {
		if msgs[i].ID == ref {
			return &msgs[i], nil
		}
		if ref != "" && strings.HasPrefix(msgs[i].ID, strings.ToLower(ref)) {
			if hit != nil {
				return nil, &InputError{fmt.Sprintf("%q could be message %s or %s", ref, hit.ID, msgs[i].ID), "write more of the id"}
			}
			hit = &msgs[i]
		}
	}
	if hit == nil {
		return nil, &MissingError{fmt.Sprintf("no message %q", ref), "farhail traffic list shows the ids"}
	}
	return hit, nil
}

// Shown is one message with its text.
type Shown struct {
	Letter
	BytesLow  unit.Bytes `json:"bytes_low"`
	BytesHigh unit.Bytes `json:"bytes_high"`
	Warnings  []string   `json:"warnings,omitempty"`
	Text      string     `json:"text"`
}

// ShowTraffic reads one message.
func (d *Desk) ShowTraffic(ctx context.Context, ref string) (*Shown, error) {
	m, err := d.find(ctx, ref)
	if err != nil {
		return nil, err
	}
	l, x, err := letter(m)
	if err != nil {
		return nil, err
	}
	raw, err := d.DB.Original(ctx, m.ID)
	if err != nil {
		return nil, err
	}
	full, err := traffic.Parse(raw, traffic.Options{Unmeasured: true, Queued: m.QueuedAt})
	if err != nil {
		return nil, fmt.Errorf("message %s: %w", m.ID, err)
	}
	return &Shown{Letter: l, BytesLow: x.Low, BytesHigh: x.High, Warnings: x.Warnings, Text: full.Text}, nil
}

// SetTraffic holds, queues or drops messages.
func (d *Desk) SetTraffic(ctx context.Context, state string, refs []string) ([]Letter, error) {
	var found []*store.Message
	for _, r := range refs {
		m, err := d.find(ctx, r)
		if err != nil {
			return nil, err
		}
		if m.State == store.Delivered {
			return nil, &InputError{fmt.Sprintf("message %q was delivered: strike the call that carried it if it was not", m.ID), "nothing was changed"}
		}
		found = append(found, m)
	}
	out := []Letter{}
	for _, m := range found {
		if err := d.DB.SetState(ctx, m.ID, store.State(state), d.Now()); err != nil {
			return out, err
		}
		m.State = store.State(state)
		l, _, err := letter(m)
		if err != nil {
			return out, err
		}
		out = append(out, l)
	}
	return out, nil
}

// SetUrgency changes precedence and deadline of a message; an empty word leaves it,
// "none" takes a deadline away.
func (d *Desk) SetUrgency(ctx context.Context, ref, precedence, deadline string) (*Letter, error) {
	m, err := d.find(ctx, ref)
	if err != nil {
		return nil, err
	}
	var p traffic.Precedence
	if precedence != "" {
		if p, err = traffic.ParsePrecedence(precedence); err != nil {
			return nil, err
		}
	}
	var t time.Time
	if deadline != "" && deadline != "none" {
		if t, err = d.parseDeadline(deadline); err != nil {
			return nil, err
		}
	}
	// Both are read before either is set.
	if precedence != "" {
		if err := d.DB.SetPrecedence(ctx, m.ID, p.String(), d.Now()); err != nil {
			return nil, err
		}
	}
	if deadline != "" {
		if err := d.DB.SetDeadline(ctx, m.ID, t, d.Now()); err != nil {
			return nil, err
		}
	}
	if m, err = d.find(ctx, m.ID); err != nil {
		return nil, err
	}
	l, _, err := letter(m)
	return &l, err
}
