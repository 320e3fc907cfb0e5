package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/logbook"
	"farhail/store"
	"farhail/unit"
)

// EntriesSince picks the log from a moment on.
func EntriesSince(t time.Time) store.EntryFilter { return store.EntryFilter{Since: t} }

// A LogLine is an entry of the log as listed.
type LogLine struct {
	No        int        `json:"no"`
	ID        string     `json:"id"`
	At        time.Time  `json:"at"`
	Kind      string     `json:"kind"`
	Station   string     `json:"station"`
	MHz       float64    `json:"mhz"`
	Waveform  string     `json:"waveform"`
	Outcome   string     `json:"outcome"`
	BytesOut  unit.Bytes `json:"bytes_out"`
	BytesIn   unit.Bytes `json:"bytes_in"`
	Minutes   float64    `json:"minutes"`
	Delivered []string   `json:"delivered"`
	Promised  *float64   `json:"promised_probability"`
	Bytes     *float64   `json:"promised_bytes"`
	Struck    string     `json:"struck,omitempty"`
	Remark    string     `json:"remark,omitempty"`
	Line      string     `json:"line"`
}

func logLine(r logbook.Row) LogLine {
	e := r.Entry
	l := LogLine{No: r.No, ID: e.ID, At: e.At, Kind: e.Kind(), Line: e.Line(), Delivered: []string{}}
	if r.Struck != nil {
		l.Struck = r.Struck.Strike.Reason
	}
	switch {
	case e.Attempt != nil:
		a := e.Attempt
		l.Station, l.MHz, l.Waveform, l.Outcome = a.Station, a.Freq.MHz(), a.Waveform, string(a.Outcome)
		l.BytesOut, l.BytesIn, l.Minutes, l.Remark = a.Out, a.In, round(a.Took.Minutes()), a.Remark
		if a.Delivered != nil {
			l.Delivered = a.Delivered
		}
		if a.Promised != nil {
			b := float64(a.Promised.Bytes)
			l.Promised, l.Bytes = ptr(a.Promised.Chance), &b
		}
	case e.Listening != nil:
		l.Station, l.MHz, l.Outcome, l.Remark = e.Listening.Station, e.Listening.Freq.MHz(), string(e.Listening.Heard), e.Listening.Remark
	case e.Strike != nil:
		l.Remark = e.Strike.Reason
	}
	return l
}

// around is what the words of a typed line may mean.
func (d *Desk) around(next *CallAnswer) logbook.Around {
	a := logbook.Around{Now: d.Now()}
	for i := range d.Directory.Stations {
		s := &d.Directory.Stations[i]
		x := logbook.Station{Name: s.Name, CallSign: s.Call}
		for _, c := range s.Channels {
			x.Channels = append(x.Channels, logbook.Channel{Freq: c.Centre, Waveforms: c.Waveforms})
		}
		a.Stations = append(a.Stations, x)
	}
	if next != nil {
		a.Planned = &logbook.Call{Station: next.Station, Freq: unit.Freq(next.MHz) * unit.MHz, Waveform: next.Waveform}
	}
	return a
}

// Logged says what an entry did.
type Logged struct {
	LogLine
	LeftQueue []string `json:"left_queue"`
	Hint      string   `json:"hint,omitempty"`
}

// Log records what happened in one line, with the forecast of the moment beside it.
// Delivered traffic leaves the queue in the same commit. An answer to the call under way
// that gives no length has the minutes counted, and ends the counting. When the line gives octets but
// names no messages, whole messages are counted off in order of sending.
func (d *Desk) Log(ctx context.Context, line string) (*Logged, error) {
	var next *CallAnswer
	if w, err := d.begin(ctx, d.Now(), 24*time.Hour); err == nil {
		if pl, err := w.plan(); err == nil && len(pl.Calls) > 0 {
			next = &pl.Calls[0]
		}
	}
	around := d.around(next)
	e, err := logbook.Parse(line, around)
	if err != nil {
		return nil, err
	}
	answered := false // the call under way
	e.ID = logbook.NewID(d.Now(), rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1)))
	var left []string
	hint := ""
	switch {
	case e.Strike != nil:
		rows, err := d.book(ctx)
		if err != nil {
			return nil, err
		}
		r, err := rows.Find(e.Strike.Of)
		if err != nil {
			return nil, err
		}
		e.Strike.Of = r.Entry.ID
	case e.Attempt != nil:
		calling, err := d.Calling(ctx)
		if err != nil {
			return nil, err
		}
		answered = calling.count(e.Attempt, &e.At, around.Now)
		pos := d.At(e.At)
		e.Attempt.Position = &pos
		if e.Attempt.Power == 0 {
			e.Attempt.Power = d.Home.Power
		}
		if e.Attempt.Promised, err = d.promise(ctx, e.Attempt, e.At); err != nil {
			return nil, err
		}
		if left, hint, err = d.delivered(ctx, e.Attempt, next); err != nil {
			return nil, err
		}
	case e.Listening != nil:
		pos := d.At(e.At)
		e.Listening.Position = &pos
	}
	if _, err := d.DB.Append(ctx, e); err != nil {
		return nil, err
	}
	if answered {
		if err := d.StopCalling(ctx); err != nil {
			return nil, err
		}
	}
	if e.Attempt != nil && e.Attempt.Outcome == logbook.Connected {
		if _, err := d.Expect(ctx, e.Attempt.Station, 0); err != nil && Classify(err) != Missing {
			return nil, err
		}
	}
	b, err := d.book(ctx)
	if err != nil {
		return nil, err
	}
	r, err := b.Find(e.ID)
	if err != nil {
		return nil, err
	}
	out := &Logged{LogLine: logLine(r), LeftQueue: left, Hint: hint}
	if out.LeftQueue == nil {
		out.LeftQueue = []string{}
	}
	return out, nil
}

// promise is the forecast of an attempt's channel at its moment.
func (d *Desk) promise(ctx context.Context, a *logbook.Attempt, at time.Time) (*logbook.Forecast, error) {
	pr, index, err := d.prospect(ctx, at, at, forecast.Slot)
	if err != nil {
		return nil, err
	}
	past, err := d.pastOf(ctx, at)
	if err != nil {
		return nil, err
	}
	for i := range pr.Channels {
		c := &pr.Channels[i]
		if c.Station.Name != a.Station || absF(float64(c.Channel.Centre-a.Freq)) > 500 || c.Excluded != "" {
			continue
		}
		cell, h := &c.Cells[0], c.At(at)
		free := past.free(c.Station.Name)
		full, err := json.Marshal(promised{ByState: cell.Connect, Free: free, MUF: round(h.BasicMUF), SNROut: round(h.Out.SNR), SNRIn: round(h.In.SNR)})
		if err != nil {
			return nil, err
		}
		return &logbook.Forecast{Chance: round(free * cell.Likely(past.prior)), Bytes: unit.Bytes(cell.MeanRate(past.prior) * max(a.Took.Minutes(), 1)),
			Index: "IG12", Value: index.IG12, Full: full}, nil
	}
	return nil, nil
}

func absF(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// delivered settles which messages an attempt carried.
func (d *Desk) delivered(ctx context.Context, a *logbook.Attempt, next *CallAnswer) (left []string, hint string, err error) {
	letters, err := d.Traffic(ctx, "queued", "held")
	if err != nil {
		return nil, "", err
	}
	var ids []string
	for _, ref := range a.Delivered {
		m, err := d.find(ctx, ref)
		if err != nil {
			return nil, "", err
		}
		if m.State == store.Delivered {
			return nil, "", &InputError{fmt.Sprintf("message %s has been delivered before", m.ID), "leave it out of sent="}
		}
		ids = append(ids, m.ID)
	}
	if through := a.Outcome == logbook.Connected || a.Outcome == logbook.BrokenOff; through && len(ids) == 0 {
		ids, hint = countOff(a, next, d.takenBy(ctx, a.Station, letters))
	}
	a.Delivered = nil
	for _, id := range ids {
		whole, err := d.reach(ctx, id, a.Station, letters)
		if err != nil {
			return nil, "", err
		}
		if whole {
			a.Delivered = append(a.Delivered, id)
		} else {
			hint = strings.TrimPrefix(hint+"; "+id+" waits for its other stations", "; ")
		}
	}
	return a.Delivered, hint, nil
}

// countOff guesses which whole messages the octets of a call were: those the plan gave
// that station, else all it takes, in order of sending, a twentieth allowed for what the
// measure leaves out. Those too large for the call are passed over.
func countOff(a *logbook.Attempt, next *CallAnswer, takes []Letter) (ids []string, hint string) {
	if a.Out == 0 {
		if len(takes) == 0 || a.Outcome == logbook.BrokenOff {
			return nil, ""
		}
		return nil, "no octets given, so nothing counts as delivered; say out= or name what went with sent="
	}
	if next != nil && next.Station == a.Station {
		planned := slices.DeleteFunc(slices.Clone(takes), func(l Letter) bool { return !slices.Contains(next.Messages, l.ID) })
		if len(planned) > 0 {
			takes = planned
		}
	}
	sum, most := unit.Bytes(0), a.Out+a.Out/20
	for _, l := range takes {
		if l.State != string(store.Queued) || l.BytesOnAir > most {
			continue
		}
		if sum += l.BytesOnAir; sum > most {
			break
		}
		ids = append(ids, l.ID)
	}
	if len(ids) == 0 {
		return nil, "no whole message fits in those octets; name what went with sent="
	}
	return ids, "counted off by size; name them with sent= if others went"
}

// takenBy lists the letters a station takes, in order of sending.
func (d *Desk) takenBy(ctx context.Context, name string, letters []Letter) (out []Letter) {
	s, ok := d.Directory.Find(name)
	if !ok {
		return letters
	}
	for _, l := range letters {
		if s.TakesAll() || slices.ContainsFunc(l.To, s.Takes) {
			out = append(out, l)
		}
	}
	return out
}

const reachedPrefix = "reached:"

// reachedStations says which stations have a message that goes to several.
func (d *Desk) reachedStations(ctx context.Context, letters []Letter) (map[string][]string, error) {
	out := map[string][]string{}
	for _, l := range letters {
		if len(l.To) < 2 {
			continue
		}
		s, ok, err := d.DB.Setting(ctx, reachedPrefix+l.ID)
		if err != nil {
			return nil, err
		}
		if ok && s != "" {
			out[l.ID] = strings.Split(s, ",")
		}
	}
	return out, nil
}

// reach notes that a station has a message, and says whether all who take it have.
func (d *Desk) reach(ctx context.Context, id, name string, letters []Letter) (whole bool, err error) {
	i := slices.IndexFunc(letters, func(l Letter) bool { return l.ID == id })
	if i < 0 || len(letters[i].To) < 2 {
		return true, nil
	}
	got, err := d.reachedStations(ctx, letters[i:i+1])
	if err != nil {
		return false, err
	}
	have := got[id]
	if !slices.Contains(have, name) {
		have = append(have, name)
	}
	for _, to := range letters[i].To {
		if s, ok := d.Directory.Peer(to); ok && !slices.Contains(have, s.Name) {
			return false, d.DB.SetSetting(ctx, reachedPrefix+id, strings.Join(have, ","))
		}
	}
	return true, nil
}

func (d *Desk) book(ctx context.Context) (*logbook.Book, error) {
	entries, err := d.DB.Entries(ctx, store.EntryFilter{})
	if err != nil {
		return nil, err
	}
	return logbook.Fold(entries)
}

// LogLines lists the log, latest first; a limit of 0 lists all.
func (d *Desk) LogLines(ctx context.Context, only string, limit int) ([]LogLine, error) {
	name := ""
	if only != "" {
		s, err := d.station(only)
		if err != nil {
			return nil, err
		}
		name = s.Name
	}
	b, err := d.book(ctx)
	if err != nil {
		return nil, err
	}
	out := []LogLine{}
	rows := b.Rows()
	for i := len(rows) - 1; i >= 0 && (limit == 0 || len(out) < limit); i-- {
		if l := logLine(rows[i]); name == "" || l.Station == name {
			out = append(out, l)
		}
	}
	return out, nil
}

// ExportLog writes the whole log as CSV.
func (d *Desk) ExportLog(ctx context.Context, w io.Writer) error {
	b, err := d.book(ctx)
	if err != nil {
		return err
	}
	return logbook.WriteCSV(w, b)
}
