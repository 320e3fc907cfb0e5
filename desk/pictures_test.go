package desk

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"farhail/station"
	"farhail/unit"
)

// What a cut is promised to bring it brings: the plan after choosing it.
func TestCutKeepsItsPromise(t *testing.T) {
	d := demoDesk(t, "saltmarsh")
	ctx := context.Background()
	before, err := d.Plan(ctx, d.Now(), 24*time.Hour)
	if err != nil {
		t.Fatal(err)
	}
	var cut *Cut
	for _, m := range before.Messages {
		if m.Cut != nil && m.ID != "d510ddd6dae4" {
			t.Errorf("a cut is offered for %s, in time with %.2f", m.Subject, m.Probability)
		}
		if m.ID == "d510ddd6dae4" {
			cut = m.Cut
		}
	}
	if cut == nil || cut.Budget != 60_000 || cut.Minutes <= 0 || cut.Minutes > 15 || cut.Probability < 0.5 || cut.Gain <= 0 {
		t.Fatalf("the photograph of 1.9 MB is offered %+v", cut)
	}
	page, err := d.Cuts(ctx, before)
	if err != nil || len(page) != 1 || page["d510ddd6dae4"].Budget != cut.Budget || page["d510ddd6dae4"].Gain != cut.Gain {
		t.Errorf("the page is offered %+v, %v", page, err)
	}
	a, err := d.ChoosePicture(ctx, "d510", cut.Budget)
	if err != nil {
		t.Fatal(err)
	}
	if got := a.Chosen.BytesOnAir; got > cut.BytesOnAir || got < cut.BytesOnAir*95/100 {
		t.Errorf("it takes %v, at most %v was promised", got, cut.BytesOnAir)
	}
	after, err := d.Plan(ctx, d.Now(), 24*time.Hour)
	if err != nil {
		t.Fatal(err)
	}
	if p := after.chance(a.Chosen.ID); math.Abs(p-cut.Probability) > 0.02 {
		t.Errorf("in time with %.3f, promised %.3f", p, cut.Probability)
	}
	if gain := after.ExpectedValue - before.ExpectedValue; math.Abs(gain-cut.Gain) > 0.05 {
		t.Errorf("gained %.3f, promised %.3f", gain, cut.Gain)
	}
	for _, c := range after.Calls {
		if strings.Contains(strings.Join(c.Messages, " "), a.Chosen.ID) {
			return
		}
	}
	t.Error("no call of the new plan carries the cut")
}

// The worse the link, the smaller the cut; where none goes none is offered.
func TestCutFollowsTheLink(t *testing.T) {
	d := demoDesk(t, "saltmarsh")
	last := unit.Bytes(math.MaxInt64)
	seen := map[unit.Bytes]bool{}
	for _, watts := range []unit.Power{100, 1, 0.3, 0.1, 0.001} {
		weak := edited(d, func(h *station.Home, s []station.Station) {
			h.Power = watts
			for i := range s {
				if watts < 100 {
					s[i].Channels = s[i].Channels[:1]
				}
			}
		})
		a, err := weak.Plan(context.Background(), d.Now(), 24*time.Hour)
		if err != nil {
			t.Fatal(err)
		}
		budget := unit.Bytes(0)
		for _, m := range a.Messages {
			if m.Cut != nil && m.ID == "d510ddd6dae4" {
				budget = m.Cut.Budget
			}
		}
		if budget > last {
			t.Errorf("%v: a cut of %v, with more power %v", watts, budget, last)
		}
		t.Logf("%v: %v", watts, budget)
		last, seen[budget] = budget, true
	}
	if last != 0 || !seen[60_000] || len(seen) < 3 {
		t.Errorf("cuts met: %v; with a milliwatt %v", seen, last)
	}
}

// What is remembered is what would be made, of the right picture.
func TestCutterRemembers(t *testing.T) {
	d := demoDesk(t, "saltmarsh")
	ctx := context.Background()
	first := map[unit.Bytes][]byte{}
	for range 2 {
		for _, budget := range []unit.Bytes{12_000, 9_000, 9_000, 12_000} {
			b, err := d.PictureVersion(ctx, "d510", budget)
			if err != nil || len(b) == 0 || unit.Bytes(len(b)) > budget {
				t.Fatalf("%v: %d octets, %v", budget, len(b), err)
			}
			if old, ok := first[budget]; ok && !bytes.Equal(old, b) {
				t.Errorf("%v: another picture the second time", budget)
			}
			first[budget] = b
		}
	}
	other, err := d.PictureVersion(ctx, "66d6", 9_000) // another message's picture
	if err != nil || bytes.Equal(other, first[9_000]) {
		t.Errorf("the picture of another message: %d octets, %v", len(other), err)
	}
	for i := range 2 * mostMade {
		if _, err := d.PictureVersion(ctx, "66d6", unit.Bytes(3000+100*i)); err != nil {
			t.Fatal(err)
		}
	}
	if n := len(d.cuts.made); n != mostMade {
		t.Errorf("%d pictures are kept, want %d", n, mostMade)
	}
}
