package desk

import (
	"context"
	"encoding/base64"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
)

// bulky queues routine messages of random octets, each half of a call or more.
func bulky(t *testing.T, d *Desk, n int) (ids []string) {
	t.Helper()
	r := rand.New(rand.NewPCG(11, 25))
	for i := range n {
		b := make([]byte, 180_000+1000*i) // the rule sends them in this order
		for k := range b {
			b[k] = byte(r.Uint32())
		}
		mail := fmt.Sprintf("From: ines@saltmarsh.example\r\nTo: yard@cabolume.example\r\nSubject: Plate %d\r\nDate: Wed, 25 Nov 2026 17:00:00 +0000\r\n"+
			"MIME-Version: 1.0\r\nContent-Type: application/octet-stream\r\nContent-Disposition: attachment; filename=p.bin\r\nContent-Transfer-Encoding: base64\r\n\r\n%s\r\n", i, base64.StdEncoding.EncodeToString(b))
		a, err := d.AddTraffic(context.Background(), []string{"-"}, strings.NewReader(mail), "", "")
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, a[0].ID)
	}
	return ids
}

func orderOf(t *testing.T, d *Desk, among []string) string {
	t.Helper()
	all, err := d.Traffic(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var s []string
	for _, l := range all {
		if i := slices.Index(among, l.ID); i >= 0 {
			s = append(s, fmt.Sprint(i))
		}
	}
	return strings.Join(s, " ")
}

// The plan takes the queue in the order made by hand: what was moved ahead is delivered
// earlier, what it overtook later.
func TestPlanFollowsTheHand(t *testing.T) {
	d := demoDesk(t, "saltmarsh")
	ctx := context.Background()
	ids := bulky(t, d, 4)
	sent := func() (call map[string]int, chance map[string][]float64) {
		w, err := d.begin(ctx, d.Now(), 24*time.Hour)
		if err != nil {
			t.Fatal(err)
		}
		a, err := w.plan()
		if err != nil {
			t.Fatal(err)
		}
		call = map[string]int{}
		for i, c := range a.Calls {
			for _, id := range c.Messages {
				call[id] = i
			}
		}
		return call, w.chances
	}
	calls, chances := sent()
	if calls[ids[0]] >= calls[ids[3]] {
		t.Fatalf("by rule the first goes by call %d, the last by %d: the test tests nothing", calls[ids[0]], calls[ids[3]])
	}
	part, err := d.MoveTraffic(ctx, ids[3][:6], "first", "")
	if err != nil || part[0].ID != ids[3] || part[0].Rank >= 0 || part[0].Precedence != "routine" {
		t.Fatalf("%+v, %v", part, err)
	}
	moved, anew := sent()
	if moved[ids[3]] >= calls[ids[3]] || moved[ids[1]] <= calls[ids[1]] {
		t.Errorf("calls %v, after the move %v", calls, moved)
	}
	for q := range chances[ids[0]] { // whatever the sky does, what stands ahead is through first
		if chances[ids[0]][q] < chances[ids[3]][q] || anew[ids[3]][q] < anew[ids[0]][q] || anew[ids[3]][q] < chances[ids[3]][q] {
			t.Errorf("after %d quarters: moved %.3f, was %.3f; overtaken %.3f, was %.3f", q+1, anew[ids[3]][q], chances[ids[3]][q], anew[ids[0]][q], chances[ids[0]][q])
		}
	}
	if anew[ids[3]][1] < chances[ids[3]][1]+0.2 {
		t.Errorf("through within half an hour with %.3f, before the move %.3f", anew[ids[3]][1], chances[ids[3]][1])
	}
}

func TestOrderByHandAndBack(t *testing.T) {
	d := demoDesk(t, "saltmarsh")
	ctx := context.Background()
	ids := bulky(t, d, 4)
	move := func(i int, where, other, want string) {
		t.Helper()
		if _, err := d.MoveTraffic(ctx, ids[i], where, other); err != nil {
			t.Fatal(err)
		}
		if got := orderOf(t, d, ids); got != want {
			t.Errorf("order %s, want %s", got, want)
		}
	}
	move(3, "before", ids[1][:5], "0 3 1 2")
	move(0, "after", ids[2], "3 1 2 0")
	if _, err := d.UndoOrder(ctx); err != nil || orderOf(t, d, ids) != "0 3 1 2" {
		t.Errorf("undone: %s, %v", orderOf(t, d, ids), err)
	}
	if _, err := d.UndoOrder(ctx); Classify(err) != Missing {
		t.Errorf("a second undo: %v", err)
	}
	if _, err := d.OrderByRule(ctx, "priority"); err != nil || orderOf(t, d, ids) != "0 3 1 2" {
		t.Errorf("priority given back: %s, %v", orderOf(t, d, ids), err)
	}
	if _, err := d.OrderByRule(ctx, "routine"); err != nil || orderOf(t, d, ids) != "0 1 2 3" {
		t.Errorf("routine given back: %s, %v", orderOf(t, d, ids), err)
	}
	if _, err := d.UndoOrder(ctx); err != nil || orderOf(t, d, ids) != "0 3 1 2" {
		t.Errorf("giving back undone: %s, %v", orderOf(t, d, ids), err)
	}
	// Another precedence takes the rank away, and undo leaves it there.
	move(2, "first", "", "2 0 3 1")
	if _, err := d.SetUrgency(ctx, ids[2], "priority", ""); err != nil {
		t.Fatal(err)
	}
	if _, err := d.UndoOrder(ctx); err != nil || orderOf(t, d, ids) != "2 0 3 1" {
		t.Errorf("undone across precedences: %s, %v", orderOf(t, d, ids), err)
	}
	all, err := d.OrderByRule(ctx)
	if err != nil || slices.ContainsFunc(all, func(l Letter) bool { return l.Rank != 0 }) {
		t.Errorf("all given back: %+v, %v", all, err)
	}
	for _, bad := range []struct{ ref, where, other, say string }{
		{ids[0], "before", ids[2], "is routine and"},
		{ids[0], "before", "zz", `no message "zz"`},
		{"zz", "first", "", `no message "zz"`},
		{ids[0], "up", "", `no place "up" in the queue`},
	} {
		if _, err := d.MoveTraffic(ctx, bad.ref, bad.where, bad.other); err == nil || !strings.Contains(err.Error(), bad.say) {
			t.Errorf("move %s %s %s: %v, want %q", bad.ref, bad.where, bad.other, err, bad.say)
		}
	}
	if _, err := d.SetTraffic(ctx, "dropped", ids[:1]); err != nil {
		t.Fatal(err)
	}
	if _, err := d.MoveTraffic(ctx, ids[0], "first", ""); Classify(err) != Input || !strings.Contains(err.Error(), "does not wait in the queue") {
		t.Errorf("moving a dropped message: %v", err)
	}
}

// A cut picture goes where its original was put.
func TestCutKeepsThePlace(t *testing.T) {
	d := demoDesk(t, "saltmarsh")
	ctx := context.Background()
	if _, err := d.MoveTraffic(ctx, "d510", "first", ""); err != nil {
		t.Fatal(err)
	}
	a, err := d.ChoosePicture(ctx, "d510", 25_000)
	if err != nil {
		t.Fatal(err)
	}
	all, err := d.Traffic(ctx, "queued")
	if err != nil {
		t.Fatal(err)
	}
	first := slices.IndexFunc(all, func(l Letter) bool { return l.Precedence == "priority" })
	if all[first].ID != a.Chosen.ID {
		t.Errorf("the cut %s stands behind %s", a.Chosen.ID, all[first].ID)
	}
}
