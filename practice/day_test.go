package practice

import (
	"math"
	"reflect"
	"testing"
	"time"

	"farhail/forecast"
	"farhail/hf/earth"
	"farhail/station"
	"farhail/unit"
)

func day(t testing.TB, set *Setting, w World, seed uint64) *Day {
	t.Helper()
	d, err := NewDay(set, &w, seed)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Every number of a day is a number, storms and lost paths included; the same seed gives
// the same day and another another.
func TestDayIsSoundAndRepeatable(t *testing.T) {
	for _, world := range []string{"saltmarsh", "tamarind"} {
		set := shared(t, world)
		for seed := range uint64(30) {
			d := day(t, set, Usual(6), seed)
			for c := range d.snr {
				for q, v := range d.snr[c] {
					if len(set.radios[c]) > 0 && !(v[0] >= shut && v[0] < 90 && v[1] >= shut && v[1] < 90) {
						t.Fatalf("%s seed %d channel %d quarter %d: SNR %v", world, seed, c, q, v)
					}
				}
			}
		}
		a, b, c := day(t, set, Usual(6), 7), day(t, set, Usual(6), 7), day(t, set, Usual(6), 8)
		if !reflect.DeepEqual(a.snr, b.snr) || !reflect.DeepEqual(a.keepers, b.keepers) {
			t.Error("one seed, two days")
		}
		if reflect.DeepEqual(a.snr, c.snr) {
			t.Error("two seeds, one day")
		}
	}
}

// An index of some age errs as real ones did: 3, 8, 16, 31, 44 rms at 1, 3, 6, 12, 18
// months. Source: day_to_day §5. 2,000 draws; ± 15 %.
func TestIndexError(t *testing.T) {
	for age, want := range map[int]float64{1: 3, 3: 8, 6: 16, 12: 31, 18: 44} {
		w := Usual(age)
		squares := 0.0
		for seed := range uint64(2000) {
			d := Day{Seed: seed, w: &w}
			d.drawIndex()
			squares += d.IndexError * d.IndexError / 2000
		}
		if got := math.Sqrt(squares); math.Abs(got/want-1) > 0.15 {
			t.Errorf("index %d months old: off by %.1f rms, want %.0f ± 15 %%", age, got, want)
		}
	}
}

// Stations are away for a fifth of the time, in absences of hours, and busy for a tenth,
// in minutes, as the world says.
func TestKeepers(t *testing.T) {
	w := Usual(1)
	rng := stream(1, streamStations)
	away, busy, gone, spells := 0.0, 0.0, 0.0, 0.0
	const runs, hours = 3000, 24.0
	for range runs {
		k := newKeeper(&w, hours, 0, rng)
		for h := 0.05; h < hours; h += 0.1 {
			if off(k.away, h) {
				away++
			}
			if off(k.busy, h) {
				busy++
			}
		}
		gone += float64(len(k.away))
		for _, b := range k.busy {
			if b.from >= 0 && b.from < hours {
				spells++
			}
		}
	}
	n := runs * hours * 10
	if got := away / n; math.Abs(got-0.2) > 0.015 {
		t.Errorf("away %.3f of the time, want 0.20", got)
	}
	if got := busy / n; math.Abs(got-0.1) > 0.01 {
		t.Errorf("busy %.3f of the time, want 0.10", got)
	}
	if got := busy / spells * 6; math.Abs(got-8) > 1 {
		t.Errorf("busy for %.1f minutes at a time, want 8", got)
	}
	if got := gone / runs; got < 0.5 || got > 3 {
		t.Errorf("%.2f absences a day", got)
	}
}

// Fadeouts are for the day side and for low frequencies.
func TestFadeouts(t *testing.T) {
	f := []fadeout{{h: 12, lastsH: 0.5, dB: 20}}
	if x := lossOf(f, 12.1, 10, -0.1); x != 0 {
		t.Errorf("by night %g dB", x)
	}
	if x := lossOf(f, 11.9, 10, 1); x != 0 {
		t.Errorf("before it begins %g dB", x)
	}
	if a, b := lossOf(f, 12+5./60, 10, 1), lossOf(f, 12+5./60+0.5, 10, 1); math.Abs(a-20) > 1e-6 || math.Abs(b-20/math.E) > 1e-6 {
		t.Errorf("peak %g dB, half an hour later %g: want 20 and 20/e", a, b)
	}
	if a, b := lossOf(f, 12.2, 5, 1), lossOf(f, 12.2, 20, 1); math.Abs(a/b-8) > 1e-9 {
		t.Errorf("5 MHz %g dB, 20 MHz %g: want 8 times", a, b)
	}
}

// A call meets the answer that trying alone meets; what is told of it adds up to the
// result.
func TestCallIsPlayedBlockByBlock(t *testing.T) {
	set := shared(t, "saltmarsh")
	d := day(t, set, Usual(3), 11)
	played := 0
	for c := range set.of {
		for s := 0; s < 96; s += 5 {
			if !set.usable(c, s) {
				continue
			}
			o := d.contact(c, s).try()
			sent, last, through := 0, 0.0, 0.0
			r := d.call(c, s, 32400, 10, func(x Transmission) {
				if x.At <= last || x.Got > x.Units || x.Bytes < through || !x.Acknowledge && x.Bytes != through {
					t.Fatalf("transmission %+v after %g min, %g bytes", x, last, through)
				}
				sent, last, through = sent+1, x.At, x.Bytes
			})
			if o.Answer != r.Outcome.Answer && r.Answer != BrokenOff || o.Tries != r.Tries {
				t.Fatalf("channel %d quarter %d: try %+v, call %+v", c, s, o, r.Outcome)
			}
			if r.Answer < Connected {
				if r.Bytes != 0 || sent != 0 {
					t.Fatalf("not connected, and yet %+v", r)
				}
				continue
			}
			played++
			if r.Bytes != through || r.Minutes > 10 && sent > 0 || math.Abs(r.Energy-set.Draw*r.Minutes/60) > 1e-9 {
				t.Fatalf("channel %d quarter %d: %+v, %d transmissions, %g bytes told", c, s, r, sent, through)
			}
		}
	}
	if played < 20 {
		t.Fatalf("only %d calls connected: nothing was tested", played)
	}
}

// What the bound rests on. A call with less to send, or less time, goes as the call
// without end until less than a full transmission is left: it never carries more than
// that call does, and one transmission.
func TestCallsAreOneStory(t *testing.T) {
	for _, world := range []string{"saltmarsh", "tamarind"} {
		set := shared(t, world)
		checked := 0
		for seed := range uint64(4) {
			d := day(t, set, Usual(6), seed)
			for c := range set.of {
				for s := 0; s < 96; s += 7 {
					if !set.usable(c, s) {
						continue
					}
					whole := d.call(c, s, math.Inf(1), slotMin, nil)
					before := -1.0
					for _, limit := range []float64{3, 5, 9, 15} {
						r := d.call(c, s, math.Inf(1), limit, nil)
						if r.Bytes < before {
							t.Fatalf("more time, fewer bytes: %g min %g, before %g", limit, r.Bytes, before)
						}
						before = r.Bytes
						for _, bytes := range []float64{100, 900, 5000, 40000, whole.Bytes, whole.Bytes + whole.full/2, whole.Bytes + 5*whole.full} {
							r := d.call(c, s, bytes, limit, nil)
							if (r.Answer < Connected) != (whole.Answer < Connected) || r.Bytes > bytes+1e-6 || r.Bytes > whole.Bytes+whole.full {
								t.Fatalf("%s seed %d channel %d quarter %d, %g bytes in %g min: %+v; without end %+v", world, seed, c, s, bytes, limit, r, whole)
							}
							checked++
						}
					}
				}
			}
		}
		if checked < 1000 {
			t.Fatalf("only %d calls", checked)
		}
	}
}

// No power, no delivery; no antenna is so bad that more power delivers less.
func TestPowerDelivers(t *testing.T) {
	base := shared(t, "saltmarsh")
	worth := map[float64]float64{}
	for _, watts := range []float64{0.001, 10, 1000} {
		h := *base.Request.Home
		h.Power = unit.Power(watts)
		h.Permits = []station.Permit{{From: 2 * unit.MHz, To: 30 * unit.MHz, Bandwidth: 3 * unit.KHz, Power: 2000}}
		set := settle(t, &h, base.Request.Directory, saltmarshMails, 24)
		for seed := range uint64(6) {
			worth[watts] += day(t, set, Usual(3), seed).Play(NewFullNotebook(set), nil).Worth
		}
	}
	if worth[0.001] != 0 {
		t.Errorf("a milliwatt delivers %g", worth[0.001])
	}
	if !(worth[10] > 0 && worth[1000] >= worth[10]) {
		t.Errorf("10 W deliver %g, 1,000 W %g", worth[10], worth[1000])
	}
}

// The truth is neither the belief nor far from it: over channels believed usable its SNR
// strays from the prospect's median by 6 to 13 dB rms, and calls believed sure connect
// about as often as presence allows (0.72).
func TestTruthAgainstBelief(t *testing.T) {
	set := shared(t, "saltmarsh")
	squares, n, hit, sure := 0.0, 0.0, 0.0, 0.0
	for seed := range uint64(40) {
		d := day(t, set, Usual(6), seed)
		for c := range set.of {
			for s := 0; s < 96; s += 8 {
				if !set.usable(c, s) {
					continue
				}
				if believed := set.Prospect.Channels[c].At(set.at(s)).Out.SNR; believed > -10 {
					x := d.snr[c][s][0] - believed
					squares, n = squares+x*x, n+1
				}
				if set.Prospect.Channels[c].Cells[s].Likely(forecast.StatePrior) > 0.95 {
					sure++
					if d.contact(c, s).try().Answer == Connected {
						hit++
					}
				}
			}
		}
	}
	if rms := math.Sqrt(squares / n); rms < 6 || rms > 13 {
		t.Errorf("SNR strays by %.1f dB rms", rms)
	}
	if p := hit / sure; p < 0.6 || p > 0.78 {
		t.Errorf("calls believed sure connect %.3f of the time (%g calls)", p, sure)
	}
}

// A home that moves is heard from where it is: the position is asked for by the hour.
func TestMovingHome(t *testing.T) {
	base := shared(t, "saltmarsh")
	still := day(t, base, Usual(3), 5)
	set := &Setting{Request: base.Request, Prospect: base.Prospect, Items: base.Items, Battery: base.Battery, Draw: base.Draw, Wake: base.Wake, Minutes: base.Minutes}
	h := base.Request.Home.Position
	set.Request.Where = func(at time.Time) earth.Point {
		return earth.At(h.Lat.Deg()-at.Sub(start).Hours()*0.1, h.Lon.Deg())
	}
	moved := day(t, set, Usual(3), 5)
	first, last := 0.0, 0.0
	for c := range still.snr {
		first += math.Abs(still.snr[c][2][0] - moved.snr[c][2][0])
		last += math.Abs(still.snr[c][90][0] - moved.snr[c][90][0])
	}
	if !(first < last) || last == 0 {
		t.Errorf("after half an hour %g dB apart, after 22 h %g", first, last)
	}
}
