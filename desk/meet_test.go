package desk

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"farhail/hf/earth"
	"farhail/station"
	"farhail/unit"
)

func meet(t testing.TB, d *Desk, at time.Time, a, b string, days int) *MeetAnswer {
	t.Helper()
	m, err := d.Meet(context.Background(), at, a, b, days)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// edited is a desk whose directory may be changed without changing the demo's.
func edited(d *Desk, change func(h *station.Home, stations []station.Station)) *Desk {
	e, h := *d, *d.Home
	dir := &station.Directory{Stations: slices.Clone(d.Directory.Stations)}
	change(&h, dir.Stations)
	e.Home, e.Directory = &h, dir
	return &e
}

// With our own station at one end a meeting is what `windows` prints: the base is attended
// day and night, its posts keep shorter hours than it does.
func TestMeetHomeIsWindows(t *testing.T) {
	d := demoDesk(t, "tamarind")
	midnight := d.Now().Truncate(24 * time.Hour)
	for _, call := range []string{"QT3NC", "QT8MP", "QT9CR"} {
		w, err := d.Windows(context.Background(), midnight, 2, []string{call})
		if err != nil {
			t.Fatal(err)
		}
		var want []WindowAnswer
		for _, day := range w.Stations[0].Days {
			want = append(want, day.Windows...)
		}
		m := meet(t, d, midnight, "home", call, 2)
		if len(want) == 0 || len(m.Windows) != len(want) || m.DistanceKm != w.Stations[0].DistanceKm || m.HeadingDeg != w.Stations[0].HeadingDeg {
			t.Fatalf("%s: %d windows, %g km, %g°, `windows` has %d, %g km, %g°", call, len(m.Windows), m.DistanceKm, m.HeadingDeg, len(want), w.Stations[0].DistanceKm, w.Stations[0].HeadingDeg)
		}
		for _, x := range m.Windows {
			if !slices.Contains(want, x.WindowAnswer) {
				t.Errorf("%s: %+v is not among\n%+v", call, x.WindowAnswer, want)
			}
		}
		if !slices.ContainsFunc(m.Notes, func(s string) bool { return strings.Contains(s, "must be woken at Tamarind") }) {
			t.Errorf("%s: notes %q", call, m.Notes)
		}
	}
}

// A far station that calls is what it would be as the home of its own desk: the same
// windows, when that home is written down by hand.
func TestMeetFarIsItsOwnHome(t *testing.T) {
	d := demoDesk(t, "tamarind")
	three, _ := d.Directory.Find("QT3NC")
	h := station.DefaultHome()
	h.Name, h.Call, h.Position, h.Power, h.Antenna = "Post 3", "QT3NC", earth.At(-17.32, 35.97), 25*unit.Watt, three.Antenna
	h.Waveforms = []string{"serial-3k", "fsk-eight"}
	h.Noise.Environment = station.Rural
	h.Watch = three.Hours
	for _, mhz := range []float64{3.34, 4.785, 5.91} {
		f := unit.Freq(mhz) * unit.MHz
		h.Permits = append(h.Permits, station.Permit{From: f - 5*unit.KHz, To: f + 10*unit.KHz, Bandwidth: 3 * unit.KHz, Power: 25 * unit.Watt})
	}
	nine, _ := d.Directory.Find("QT9CR")
	own := &Desk{Home: &h, Directory: &station.Directory{Stations: []station.Station{*nine}}, DB: d.DB}
	want, got := meet(t, own, d.Now(), "home", "QT9CR", 3), meet(t, d, d.Now(), "QT3NC", "QT9CR", 3)
	if len(got.Windows) == 0 || !reflect.DeepEqual(got.Windows, want.Windows) {
		t.Errorf("between posts\n%+v\nfrom the post's own desk\n%+v", got.Windows, want.Windows)
	}
	if len(want.Excluded) != 1 || want.Excluded[0].MHz != 7.65 {
		t.Errorf("the post has no permit for 7.65 MHz only: %+v", want.Excluded)
	}
	for _, w := range got.Windows {
		if w.MHz == 7.65 || w.Waveform == "fsk-eight" && w.MHz != 3.345 {
			t.Errorf("post 3 has no channel for %+v", w)
		}
	}
}

// Who is named first turns the answer round and changes nothing else; a window lies in the
// hours of both; each way has its own rate.
func TestMeetTurned(t *testing.T) {
	d := demoDesk(t, "tamarind")
	names := []string{"home", "QT1ND", "QT4DB", "QT6SK", "QT9CR"}
	found := 0
	for i, a := range names {
		for _, b := range names[i+1:] {
			there, back := meet(t, d, d.Now(), a, b, 2), meet(t, d, d.Now(), b, a, 2)
			if there.A != back.B || there.HeadingDeg != back.BackDeg || there.BackDeg != back.HeadingDeg || len(there.Windows) != len(back.Windows) {
				t.Fatalf("%s, %s: %+v and %+v", a, b, there, back)
			}
			found += len(there.Windows)
			for k, w := range there.Windows {
				v := back.Windows[k]
				v.Rate, v.RateBA = v.RateBA, v.Rate
				if v != w {
					t.Errorf("%s, %s: %+v, turned %+v", a, b, w, v)
				}
				for _, call := range []string{a, b} {
					s, ok := d.Directory.Find(call)
					for at := w.Opens; ok && at.Before(w.Shuts); at = at.Add(time.Minute) {
						if !s.Service().At(at) {
							t.Fatalf("%s does not listen at %v: %+v", call, at, w)
						}
					}
				}
				if w.Best < usable || w.ByState[0] > w.ByState[1] || w.ByState[1] > w.ByState[2] || w.Peaks.Before(w.Opens) || !w.Peaks.Before(w.Shuts) {
					t.Errorf("%s, %s: %+v", a, b, w)
				}
			}
		}
	}
	if found < 20 {
		t.Errorf("only %d windows in the net", found)
	}
}

// Each direction has its own power and noise: what weakens one end's sending slows what it
// sends; what is loud at one end slows what it receives.
func TestMeetDirections(t *testing.T) {
	d := demoDesk(t, "tamarind")
	at := time.Date(2026, 11, 26, 8, 30, 0, 0, time.UTC)
	rates := func(d *Desk) (there, back float64) {
		for _, w := range meet(t, d, at, "QT3NC", "QT9CR", 1).Windows {
			if w.MHz == 5.91 && w.Opens.Equal(at) {
				return w.Rate, w.RateBA
			}
		}
		t.Fatal("no window at 5.91 MHz")
		return 0, 0
	}
	there, back := rates(d)
	weak := edited(d, func(_ *station.Home, s []station.Station) { s[8].Power = 10 * unit.Watt }) // from 20 W
	if a, b := rates(weak); b > 0.95*back || a < 0.95*there {
		t.Errorf("post 9 with half its power: %g and %g bytes/min, before %g and %g", a, b, there, back)
	}
	loud := edited(d, func(_ *station.Home, s []station.Station) { s[8].Noise = station.Residential }) // from quiet rural
	if a, b := rates(loud); a > 0.9*there || b < 0.95*back {
		t.Errorf("post 9 in the noise of a town: %g and %g bytes/min, before %g and %g", a, b, there, back)
	}
}

func TestCommonFrequencies(t *testing.T) {
	ch := func(kHz, width float64, hours string, waveforms ...string) station.Channel {
		s, err := station.ParseSpan(hours)
		if err != nil {
			t.Fatal(err)
		}
		return station.Channel{Centre: unit.Freq(kHz) * unit.KHz, Bandwidth: unit.Freq(width) * unit.KHz, Hours: station.Spans{s}, Waveforms: waveforms}
	}
	a := &station.Station{Hours: station.Spans{{From: 6 * 60, To: 20 * 60}}, Channels: []station.Channel{
		ch(5000.5, 3, "00:00-24:00", "serial-3k"), ch(5000.2, 2, "00:00-12:00", "fsk-eight", "psk-narrow"), ch(7100, 3, "00:00-24:00", "serial-3k"), ch(8000, 3, "00:00-24:00", "teleprinter-arq")}}
	b := &station.Station{Hours: station.Always(), Channels: []station.Channel{
		ch(5000, 3, "10:00-24:00", "psk-narrow", "serial-3k"), ch(7100.6, 3, "00:00-24:00", "serial-3k"), ch(8000, 3, "00:00-24:00", "serial-3k")}}
	got := common(party{far: a}, b)
	want := ch(5000, 2, "10:00-12:00", "psk-narrow")
	if len(got) != 1 || !reflect.DeepEqual(got[0], want) {
		t.Errorf("got %+v\nwant the nearer of two in the hours and waveforms of both, %+v; 7100.6 is too far, 8000 shares no waveform", got, want)
	}
	if b.Channels[0].Bandwidth != 3*unit.KHz || len(b.Channels[0].Waveforms) != 2 {
		t.Error("the directory was changed")
	}
}

func TestMeetCorners(t *testing.T) {
	d := demoDesk(t, "tamarind")
	strangers := edited(d, func(_ *station.Home, s []station.Station) {
		s[0].Channels = s[0].Channels[:1]
		s[5].Channels = s[5].Channels[2:]
	})
	m := meet(t, strangers, d.Now(), "QT1ND", "QT6SK", 2)
	if len(m.Windows) != 0 || m.Windows == nil || !strings.Contains(m.Sentence, "no common window in the coming 2 days") || len(m.Notes) != 1 || !strings.Contains(m.Notes[0], "no frequency in common") {
		t.Errorf("%+v", m)
	}
	barred := edited(d, func(h *station.Home, _ []station.Station) { h.Permits = h.Permits[:1] })
	if m := meet(t, barred, d.Now(), "QT1ND", "Tamarind", 1); len(m.Excluded) != 3 || !strings.Contains(m.Excluded[0].Reason, "no permit covers") {
		t.Errorf("%+v", m.Excluded)
	}
	moving, err := station.ParseTrackCSV("way.csv", []byte("time,position\n2026-11-25T12:00:00Z,16.5S 35.5E\n2026-11-26T12:00:00Z,16.5S 37.5E\n"))
	if err != nil {
		t.Fatal(err)
	}
	under := *d
	under.Track = moving
	now, later := meet(t, &under, moment("2026-11-25T12:00Z"), "home", "QT2MS", 1), meet(t, &under, moment("2026-11-26T12:00Z"), "home", "QT2MS", 1)
	if now.DistanceKm != 71 || later.DistanceKm != 143 {
		t.Errorf("the home under way is %g, then %g km off, want 71 and 143", now.DistanceKm, later.DistanceKm)
	}
	post2, _ := under.party("QT2MS")
	index, err := under.believed(context.Background(), moment("2026-11-25T12:00Z"))
	if err != nil {
		t.Fatal(err)
	}
	pr, err := under.between(party{name: "Tamarind", home: d.Home}, []party{post2}, index, moment("2026-11-25T12:00Z"), 24*time.Hour)
	if err != nil || pr.Channels[0].Hours[24].Distance < 142*unit.Km {
		t.Errorf("the prospect of its last hour is not from where it will be: %v", err)
	}
	asleep := edited(d, func(h *station.Home, _ []station.Station) {
		h.Watch, h.Wake = station.Spans{{From: 10 * 60, To: 11 * 60}}, nil
	})
	short := meet(t, asleep, d.Now(), "home", "QT2MS", 1)
	for _, w := range short.Windows {
		if !w.Opens.Equal(moment("2026-11-26T10:00Z")) || !w.Shuts.Equal(moment("2026-11-26T11:00Z")) {
			t.Errorf("nobody is at the radio but from 10:00 to 11:00: %+v", w)
		}
	}
	if len(short.Windows) == 0 || len(short.Notes) != 0 {
		t.Errorf("%+v", short)
	}
	same := edited(d, func(_ *station.Home, s []station.Station) { s[0].Position = s[1].Position })
	for _, c := range []struct {
		d    *Desk
		a, b string
		days int
		want string
	}{
		{d, "home", "QT0TM", 1, "home and QT0TM are the same station"},
		{d, "QT1ND", "post-1-ndulimbe", 1, "are the same station"},
		{d, "QT1ND", "QT99", 1, `no station "QT99" in the directory`},
		{d, "nobody", "home", 1, `no station "nobody" in the directory`},
		{d, "QT1ND", "home", 0, "days of 0 is out of range: give 1 to 14"},
		{d, "QT1ND", "home", 15, "days of 15 is out of range: give 1 to 14"},
		{same, "QT1ND", "QT2MS", 1, "are at the same place"},
	} {
		m, err := c.d.Meet(context.Background(), d.Now(), c.a, c.b, c.days)
		if m != nil || err == nil || !strings.Contains(err.Error(), c.want) || Classify(err) == Fault {
			t.Errorf("%s, %s, %d days: %v, want %q", c.a, c.b, c.days, err, c.want)
		}
	}
	_, err = same.Relay(context.Background(), d.Now(), "QT3NC", "QT8MP", "", 1000)
	if err != nil {
		t.Errorf("two stations at one place stop the whole net: %v", err)
	}
	_, err = d.Relay(context.Background(), d.Now(), "QT3NC", "QT8MP", "", 0)
	var rng *unit.RangeError
	if !errors.As(err, &rng) {
		t.Errorf("a message of no bytes: %v", err)
	}
}

// moment reads a time of a test.
func moment(s string) time.Time {
	t, err := ParseTime(s, time.Time{})
	if err != nil {
		panic(err)
	}
	return t
}

func BenchmarkMeet(b *testing.B) {
	d := demoDesk(b, "tamarind")
	for b.Loop() {
		meet(b, d, d.Now(), "QT3NC", "QT9CR", 7)
	}
}
