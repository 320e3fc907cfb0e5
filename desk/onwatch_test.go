package desk

import (
	"context"
	"encoding/json"
	"math"
	"testing"
	"time"

	"farhail/hf/earth"
	"farhail/station"
	"farhail/unit"
)

// A plan stands for under a minute, and never over the beginning of a watch.
func TestPlanIsMadeAgainOnComingOnWatch(t *testing.T) {
	at := func(hm string) time.Time {
		x, err := time.Parse("2006-01-02 15:04:05", "2026-11-25 "+hm)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	watch := func(spans ...string) *Desk {
		d := &Desk{Home: &station.Home{}}
		for _, s := range spans {
			p, err := station.ParseSpan(s)
			if err != nil {
				t.Fatal(err)
			}
			d.Home.Watch = d.Home.Watch.Union(station.Spans{{From: p.From, To: min(p.To, 1440)}})
			if p.To > 1440 {
				d.Home.Watch = d.Home.Watch.Union(station.Spans{{From: 0, To: p.To - 1440}})
			}
		}
		return d
	}
	sea := watch("06:00-10:00", "16:00-01:00")
	for _, c := range []struct {
		d         *Desk
		made, now string
		want      bool
	}{
		{sea, "17:38:00", "17:38:00", true},
		{sea, "17:38:00", "17:38:49", true},
		{sea, "17:38:00", "17:38:50", false},
		{sea, "15:59:30", "15:59:59", true},
		{sea, "15:59:30", "16:00:00", false}, // the watch begins
		{sea, "16:00:00", "16:00:30", true},
		{sea, "05:59:59", "06:00:01", false},
		{sea, "09:59:30", "10:00:10", true},  // it ends: the plan foresaw that
		{sea, "23:59:30", "23:59:59", true},  // midnight is within the watch
		{sea, "17:38:00", "17:37:59", false}, // the clock was set back
		{watch("00:00-24:00"), "23:59:30", "23:59:59", true},
		{&Desk{Home: &station.Home{}}, "12:00:00", "12:00:40", true}, // nobody ever
	} {
		if got := c.d.Stands(at(c.made), at(c.now)); got != c.want {
			t.Errorf("watch %s: a plan of %s stands at %s: %v, want %v", c.d.Home.Watch, c.made, c.now, got, c.want)
		}
	}
	for from, want := range map[string]string{"17:38:00": "2026-11-26 06:00", "02:00:00": "2026-11-25 06:00", "10:00:00": "2026-11-25 16:00", "16:00:00": "2026-11-26 06:00"} {
		if got, ok := sea.WatchBegins(at(from)); !ok || got.Format("2006-01-02 15:04") != want {
			t.Errorf("after %s a watch begins at %v (%v), want %s", from, got, ok, want)
		}
	}
	if got, ok := watch("00:00-24:00").WatchBegins(at("12:00:00")); ok {
		t.Errorf("a watch of day and night begins at %v", got)
	}
}

// Night: at sunset and sunrise the Sun's centre is 50′ under the horizon, wherever that
// is; none where the Sun stays up or down.
func TestNight(t *testing.T) {
	for _, place := range []earth.Point{{Lat: 38.5 * unit.Degree, Lon: -28.6 * unit.Degree}, {Lat: -16.5 * unit.Degree, Lon: 35.5 * unit.Degree}, {Lat: 10 * unit.Degree, Lon: 179 * unit.Degree}, {Lat: 10 * unit.Degree, Lon: -179 * unit.Degree}} {
		d := &Desk{Home: &station.Home{Position: place}}
		for h := range 48 {
			now := time.Date(2026, 11, 25, 0, 30*h, 0, 0, time.UTC)
			set, rise, ok := d.Night(now)
			if !ok || !rise.After(now) || rise.Sub(set) < 8*time.Hour || rise.Sub(set) > 15*time.Hour || set.Sub(now) > 24*time.Hour {
				t.Fatalf("%v at %v: night %v to %v (%v)", place, now, set, rise, ok)
			}
			for _, e := range []time.Time{set, rise} {
				c := earth.SunOn(e.Year(), int(e.Month()), e.Day()).CosZenith(place, float64(e.Hour())+float64(e.Minute())/60+float64(e.Second())/3600)
				if z := math.Acos(c) * 180 / math.Pi; math.Abs(z-earth.SunriseZenith) > 0.3 {
					t.Fatalf("%v: at %v the Sun stands %.2f° from the zenith, want %.2f", place, e, z, earth.SunriseZenith)
				}
			}
			dark := earth.SunOn(now.Year(), int(now.Month()), now.Day()).CosZenith(place, float64(now.Hour())+float64(now.Minute())/60) < math.Cos(earth.SunriseZenith*math.Pi/180)
			if in := !now.Before(set); in != dark && min(math.Abs(now.Sub(set).Minutes()), math.Abs(now.Sub(rise).Minutes())) > 3 {
				t.Fatalf("%v at %v: in the night %v, the Sun is down %v", place, now, in, dark)
			}
		}
	}
	for _, lat := range []float64{78, -78} {
		d := &Desk{Home: &station.Home{Position: earth.Point{Lat: unit.Angle(lat) * unit.Degree}}}
		if set, rise, ok := d.Night(time.Date(2026, 12, 21, 12, 0, 0, 0, time.UTC)); ok {
			t.Errorf("at %g° in December there is a night from %v to %v", lat, set, rise)
		}
	}
}

// A call begun is counted until an answer is logged, by whatever opens the folder; the
// minutes are the answer's default.
func TestCallingIsCounted(t *testing.T) {
	ctx := context.Background()
	d := demoDesk(t, "saltmarsh")
	a, err := d.Plan(ctx, d.Now(), 24*time.Hour)
	if err != nil {
		t.Fatal(err)
	}
	first := a.Calls[0]
	if c, err := d.Calling(ctx); c != nil || err != nil {
		t.Fatalf("before anything: %v, %v", c, err)
	}
	c, err := d.BeginCalling(ctx, a, first.Station, first.MHz)
	if err != nil {
		t.Fatal(err)
	}
	// Five channels of 2 s and 5 s more, 3 s for the answer, 2 s of pause and the delay: three tries.
	if c.Tries != 3 || c.TryS < 20 || c.TryS > 20.1 || c.Call.Station != first.Station || len(c.Call.Messages) != len(first.Messages) {
		t.Errorf("calling %+v, want three tries of 20 s and what was planned", c)
	}
	// The home file: 19 A sending, 1.6 A listening, 12 V, the carrier up 62 % of a call.
	if want := 0.62 * (19 - 1.6) * 12; math.Abs(c.DrawW-want) > 0.1 {
		t.Errorf("it counts with %.1f W above listening, want %.1f", c.DrawW, want)
	}
	if _, err := d.BeginCalling(ctx, a, first.Station, first.MHz); Classify(err) != Input {
		t.Errorf("a second call at once: %v", err)
	}
	// Another program opens the folder two minutes and a half later.
	back := func(by time.Duration) {
		t.Helper()
		s, _, err := d.DB.Setting(ctx, callingSetting)
		if err != nil {
			t.Fatal(err)
		}
		var k Calling
		if err := json.Unmarshal([]byte(s), &k); err != nil {
			t.Fatal(err)
		}
		k.Since = time.Now().Add(-by)
		b, err := json.Marshal(k)
		if err != nil {
			t.Fatal(err)
		}
		if err := d.DB.SetSetting(ctx, callingSetting, string(b)); err != nil {
			t.Fatal(err)
		}
	}
	back(150 * time.Second)
	other, err := Open(ctx, d.Dir)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if c, err = other.Calling(ctx); err != nil || c == nil || c.Elapsed < 149 || c.Elapsed > 160 {
		t.Fatalf("opened again: %+v, %v, want 150 s", c, err)
	}
	// Of another station nothing is counted, and the counting goes on.
	l, err := other.Log(ctx, "busy merrow-head 12.59")
	if err != nil {
		t.Fatal(err)
	}
	if l.Minutes != 0 {
		t.Errorf("an answer of another station has %g minutes", l.Minutes)
	}
	if c, err = other.Calling(ctx); c == nil || err != nil {
		t.Fatalf("after another station's answer: %v, %v", c, err)
	}
	if l, err = other.Log(ctx, `no answer "`+first.Station+`" 12610kHz`); err != nil {
		t.Fatal(err)
	}
	if l.Minutes != 3 {
		t.Errorf("the answer has %g minutes, want 3", l.Minutes)
	}
	if c, err = other.Calling(ctx); c != nil || err != nil {
		t.Errorf("after the answer: %v, %v", c, err)
	}
	// A length that is given stands.
	if _, err := d.BeginCalling(ctx, a, first.Station, first.MHz); err != nil {
		t.Fatal(err)
	}
	back(150 * time.Second)
	if l, err = d.Log(ctx, `connected "`+first.Station+`" 12610kHz 9min`); err != nil || l.Minutes != 9 {
		t.Errorf("a given length: %g minutes, %v, want 9", l.Minutes, err)
	}
	// Stopped, and forgotten.
	if _, err := d.BeginCalling(ctx, a, first.Station, first.MHz); err != nil {
		t.Fatal(err)
	}
	if err := d.StopCalling(ctx); err != nil {
		t.Fatal(err)
	}
	if c, err = d.Calling(ctx); c != nil || err != nil {
		t.Errorf("stopped: %v, %v", c, err)
	}
	if _, err := d.BeginCalling(ctx, a, first.Station, first.MHz); err != nil {
		t.Fatal(err)
	}
	back(forgotten + 16*time.Minute)
	if c, err = d.Calling(ctx); c != nil || err != nil {
		t.Errorf("an hour past its time: %v, %v", c, err)
	}
	// What may not be called is not counted.
	for _, x := range a.Excluded {
		if _, err := d.BeginCalling(ctx, a, x.Station, x.MHz); Classify(err) != Input {
			t.Errorf("%s %g, not used (%s): %v", x.Station, x.MHz, x.Reason, err)
		}
	}
	if _, err := d.BeginCalling(ctx, a, "nobody", 7); Classify(err) != Missing {
		t.Errorf("a station that is not there: %v", err)
	}
}
