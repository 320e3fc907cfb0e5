package desk

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"farhail/forecast"
	"farhail/station"
	"farhail/unit"
)

func relay(t testing.TB, d *Desk, at time.Time, from, to string, size unit.Bytes) *RelayAnswer {
	t.Helper()
	r, err := d.Relay(context.Background(), at, from, to, "", size)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// hangsTogether checks that a chain leads from end to end, each hand-over in its window and
// after the one before.
func hangsTogether(t *testing.T, r *RelayAnswer) {
	t.Helper()
	at, who := r.At, r.From
	for _, h := range r.Chain {
		end := h.Start.Add(time.Duration(h.Minutes * float64(time.Minute)))
		if h.From != who || h.Start.Before(at) || end.After(h.Shuts.Add(time.Second)) || h.Connect < usable {
			t.Fatalf("the chain breaks at %+v, after %v at %s: %+v", h, at, who, r.Chain)
		}
		in := slices.ContainsFunc(r.Windows, func(w NetWindow) bool {
			return w.MHz == h.MHz && (w.A == h.From && w.B == h.To || w.B == h.From && w.A == h.To) && !h.Start.Before(w.Opens) && w.Shuts.Equal(h.Shuts)
		})
		if !in {
			t.Fatalf("%+v lies in no window of the net", h)
		}
		who, at = h.To, end
	}
	if len(r.Chain) > 0 && who != r.To {
		t.Fatalf("the chain ends at %s, not at %s", who, r.To)
	}
}

// Where the ends share no frequency the message goes by one that has both.
func TestRelayWithoutDirectWindow(t *testing.T) {
	d := demoDesk(t, "tamarind")
	split := edited(d, func(h *station.Home, s []station.Station) {
		h.Permits = h.Permits[:2]             // 3.34 and 4.785 MHz
		s[7].Channels = s[7].Channels[2:]     // post 8 has 7.65 MHz alone
		for _, i := range []int{0, 1, 2, 3} { // and only 5, 6, 7 and 9 share that with it
			s[i].Channels = s[i].Channels[:2]
		}
	})
	// As the directory stands no post passes on what is for the base: the sentence says who
	// would have to.
	none := relay(t, split, d.Now(), "QT8MP", "home", 2000)
	if len(none.Chain) != 0 || none.Connect != 0 || len(none.Unasked) != 1 ||
		!strings.HasPrefix(none.Sentence, "No way from Post 8 Mpatalunga to Tamarind in the coming 24 hours by stations that carry the message. By way of Post ") ||
		!strings.Contains(none.Sentence, none.Unasked[0].Station+" carries only "+none.Unasked[0].Carries[0]+": ask the operator") {
		t.Fatalf("%s\n%+v", none.Sentence, none.Unasked)
	}
	split = edited(split, func(_ *station.Home, s []station.Station) {
		for _, i := range []int{4, 5, 6, 8} {
			s[i].Carries = append(slices.Clone(s[i].Carries), d.Home.Call)
		}
	})
	r := relay(t, split, d.Now(), "QT8MP", "home", 2000)
	hangsTogether(t, r)
	if r.Direct != nil || len(r.Chain) != 2 || r.Chain[0].MHz != 7.65 || r.Chain[1].MHz > 4.8 || !strings.Contains(r.Sentence, "Without a relay there is no window in the coming 24 hours.") {
		t.Errorf("%s\n%+v", r.Sentence, r.Chain)
	}
	// The chance of the chain: the sky is one, each station but our own may be away.
	if want := r.Connect * 0.72; math.Abs(r.Chance-want) > 1e-3 {
		t.Errorf("probability %g, want %g: one relay, and ourselves", r.Chance, want)
	}
	if r.Connect > min(r.Chain[0].Connect, r.Chain[1].Connect) || r.Connect < r.Chain[0].Connect*r.Chain[1].Connect-1e-3 {
		t.Errorf("the chain connects with %g, its hand-overs with %g and %g", r.Connect, r.Chain[0].Connect, r.Chain[1].Connect)
	}
	cut := edited(split, func(_ *station.Home, s []station.Station) { s[7].Channels[0].Centre += unit.KHz })
	if r := relay(t, cut, d.Now(), "QT8MP", "home", 2000); len(r.Chain) != 0 || r.Chain == nil || r.Connect != 0 || r.Chance != 0 || !strings.Contains(r.Sentence, "No way from Post 8 Mpatalunga to Tamarind in the coming 24 hours") {
		t.Errorf("%s\n%+v", r.Sentence, r.Chain)
	}
}

// Who passes on depends on the address; a sooner way by one who does not is told beside the
// way there is.
func TestRelayAsksWhoCarries(t *testing.T) {
	d := demoDesk(t, "tamarind")
	ctx := context.Background()
	// Post 8 and the base share no frequency. Posts 5 and 9 have both; post 9 carries what is
	// for the net, but listens only later.
	at := moment("2026-11-25T18:00Z")
	net := edited(d, func(h *station.Home, s []station.Station) {
		h.Permits = h.Permits[:2]
		s[7].Channels = s[7].Channels[2:]
		for _, i := range []int{0, 1, 2, 3, 5, 6} {
			s[i].Channels = s[i].Channels[:2]
		}
		s[4].Hours = station.Always()
		s[8].Hours, s[8].Skeds = station.Spans{{From: 4 * 60, To: 10 * 60}}, nil
		s[8].Carries = append(slices.Clone(s[8].Carries), "*@tamarind.example")
	})
	ask := func(address string) *RelayAnswer {
		t.Helper()
		r, err := net.Relay(ctx, at, "QT8MP", "home", address, 2000)
		if err != nil {
			t.Fatal(err)
		}
		hangsTogether(t, r)
		return r
	}
	r := ask("base@tamarind.example")
	if len(r.Chain) != 2 || r.Chain[0].To != net.Directory.Stations[8].Name || !slices.Equal(r.For, []string{"base@tamarind.example"}) {
		t.Errorf("%s\n%+v", r.Sentence, r.Chain)
	}
	if five := net.Directory.Stations[4].Name; len(r.Unasked) != 1 || r.Unasked[0].Station != five || !r.Unasked[0].By.Before(r.Chain[1].Start) ||
		!strings.Contains(r.Sentence, "; through by ") || !strings.Contains(r.Sentence, " By way of "+five+" it would be through by ") || !strings.Contains(r.Sentence, "carries only post5@tamarind.example: ask the operator") {
		t.Errorf("%s\n%+v", r.Sentence, r.Unasked)
	}
	if r := ask("ada@roebuck.example"); len(r.Chain) != 0 || len(r.Unasked) != 1 {
		t.Errorf("for another net: %s", r.Sentence)
	}
	if _, err := net.Relay(ctx, at, "home", "QT8MP", "ada@roebuck.example", 2000); Classify(err) != Input || !strings.Contains(err.Error(), "does not carry traffic for ada@roebuck.example, only for post8@tamarind.example") {
		t.Errorf("to a post that does not take it: %v", err)
	}
}

// Where the direct window opens only later, a relay may be sooner; both are told.
func TestRelaySooner(t *testing.T) {
	d := demoDesk(t, "tamarind")
	late := edited(d, func(_ *station.Home, s []station.Station) { s[3].Hours = station.Spans{{From: 10 * 60, To: 19 * 60}} })
	// Post 9 listens from 04:00 to 05:00 and from 08:30 to 09:30, post 4 from 10:00: they
	// meet in the afternoon, but the base hears both before.
	r := relay(t, late, moment("2026-11-25T21:30Z"), "QT9CR", "QT4DB", 4000)
	hangsTogether(t, r)
	if len(r.Chain) != 2 || r.Direct == nil || r.Direct.Start.Before(moment("2026-11-26T14:00Z")) || !r.Chain[1].Start.Equal(moment("2026-11-26T10:00Z")) {
		t.Errorf("%+v\n%+v", r.Direct, r.Chain)
	}
	if !strings.Contains(r.Sentence, "to Post 4 Dambowe at 10:00 tomorrow on ") || !strings.Contains(r.Sentence, "Without a relay not before 14:") {
		t.Error(r.Sentence)
	}
	direct := relay(t, d, moment("2026-11-25T18:15Z"), "QT9CR", "QT4DB", 4000)
	hangsTogether(t, direct)
	if len(direct.Chain) != 1 || *direct.Direct != direct.Chain[0] || !strings.Contains(direct.Sentence, "Post 9 Chirondwe calls Post 4 Dambowe itself at 18:15") {
		t.Errorf("%s\n%+v", direct.Sentence, direct.Chain)
	}
	for _, to := range []string{"QT1ND", "QT6SK", "home"} {
		hangsTogether(t, relay(t, d, d.Now(), "QT9CR", to, 15000))
	}
}

// randomNet is a net of invented windows over four hours.
func randomNet(r *rand.Rand, stations int, start time.Time) *net {
	n := &net{parties: make([]party, stations), spans: map[[2]int][]netSpan{}}
	for i := range n.parties {
		n.parties[i].name = fmt.Sprint(i)
	}
	for a := range stations {
		for b := a + 1; b < stations; b++ {
			for range r.IntN(3) {
				first, slots := r.IntN(13), 1+r.IntN(3)
				s := netSpan{mhz: 3 + r.Float64()}
				for k := range slots {
					q := netSlot{from: start.Add(time.Duration(first+k) * forecast.Slot), connect: 0.5 + 0.1*float64(r.IntN(5))}
					q.takes = [2]time.Duration{time.Duration(1+r.IntN(25)) * time.Minute, time.Duration(1+r.IntN(25)) * time.Minute}
					s.slots = append(s.slots, q)
				}
				s.to = start.Add(time.Duration(first+slots) * forecast.Slot)
				n.spans[[2]int{a, b}] = append(n.spans[[2]int{a, b}], s)
			}
		}
	}
	return n
}

// literal looks through every way without a repeated station, and in every slot of every
// window on it, for the earliest arrival and the fewest hand-overs.
func literal(n *net, at, to int, t time.Time, been []int, passes func(int) bool, best *time.Time, fewest *int) {
	if at == to {
		if hops := len(been) - 1; fewest == nil || *fewest < 0 || t.Before(*best) || t.Equal(*best) && hops < *fewest {
			*best, *fewest = t, hops
		}
		return
	}
	if len(been) > 1 && !passes(at) {
		return
	}
	for v := range n.parties {
		if slices.Contains(been, v) {
			continue
		}
		for _, s := range n.spans[[2]int{min(at, v), max(at, v)}] {
			for _, q := range s.slots {
				takes := q.takes[0]
				if at > v {
					takes = q.takes[1]
				}
				start := q.from
				if t.After(start) {
					if t.Sub(start) >= forecast.Slot {
						continue
					}
					start = t
				}
				if end := start.Add(takes); !end.After(s.to) {
					quarter := end
					for quarter.Minute()%15 != 0 || quarter.Second() != 0 {
						quarter = quarter.Add(time.Minute)
					}
					literal(n, v, to, quarter, append(slices.Clone(been), v), passes, best, fewest)
				}
			}
		}
	}
}

func TestChainAgainstEveryWay(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	start := moment("2026-11-25T12:00Z")
	ways, long := 0, 0
	for i := range 400 {
		n := randomNet(r, 4+r.IntN(2), start)
		at := start.Add(time.Duration(r.IntN(15)) * time.Minute)
		var best time.Time
		fewest := -1
		unwilling := r.IntN(6) // of 0 and 1 nobody is asked to pass anything on, 5 is not there
		passes := func(k int) bool { return k != unwilling }
		literal(n, 0, 1, at, []int{0}, passes, &best, &fewest)
		chain, done := n.chain(0, 1, at, passes)
		if len(chain) == 0 {
			if fewest >= 0 {
				t.Fatalf("net %d: no chain, there is one by %v in %d", i, best, fewest)
			}
			continue
		}
		ways++
		if len(chain) > 1 {
			long++
		}
		now, who := at, "0"
		for _, h := range chain {
			if h.From != who || h.Start.Before(now) || who != "0" && who == fmt.Sprint(unwilling) {
				t.Fatalf("net %d: %+v breaks at %+v", i, chain, h)
			}
			end := h.Start.Add(time.Duration(h.Minutes * float64(time.Minute)))
			now, who = end.Add(forecast.Slot-1).Truncate(forecast.Slot), h.To
		}
		if who != "1" || !now.Equal(best) || !done.Equal(best) || len(chain) != fewest {
			t.Fatalf("net %d: %d hand-overs by %v, every way gives %d by %v", i, len(chain), now, fewest, best)
		}
	}
	if ways < 100 || long < 50 {
		t.Errorf("%d nets have a way, %d of more than one hand-over: too few to prove anything", ways, long)
	}
}

// Of hand-overs done in one quarter of an hour the surest is taken.
func TestFirstTakesTheSurest(t *testing.T) {
	start := moment("2026-11-25T12:00Z")
	slot := func(connect, minutes float64) []netSlot {
		return []netSlot{{from: start, takes: [2]time.Duration{time.Duration(minutes * float64(time.Minute)), time.Hour}, connect: connect}}
	}
	to := start.Add(forecast.Slot)
	n := &net{parties: make([]party, 2), spans: map[[2]int][]netSpan{{0, 1}: {{5, to, slot(0.6, 2)}, {7, to, slot(0.9, 9)}, {6, to, slot(0.9, 9)}, {8, to, slot(0.9, 10)}, {9, to, slot(1, 16)}}}}
	h, done, ok := n.first(0, 1, start)
	if !ok || h.MHz != 6 || !done.Equal(to) || h.Minutes != 9 {
		t.Errorf("%+v by %v, want 6 MHz: the surest that fits, the lower of two alike", h, done)
	}
	if h, _, ok := n.first(0, 1, start.Add(8*time.Minute)); !ok || h.MHz != 5 || !h.Start.Equal(start.Add(8*time.Minute)) {
		t.Errorf("eight minutes later %+v, want 5 MHz: the others do not fit the window any more", h)
	}
	if _, _, ok := n.first(1, 0, start); ok {
		t.Error("an hour back fits no window of a quarter")
	}
}

func BenchmarkRelay(b *testing.B) {
	d := demoDesk(b, "tamarind")
	for b.Loop() {
		relay(b, d, d.Now(), "QT9CR", "home", 4000)
	}
}
