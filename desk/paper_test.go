package desk

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"farhail/report"
)

// cardOf lays a demo world out and makes its card.
func cardOf(t *testing.T, world string, week ...string) (*Desk, *report.Card) {
	t.Helper()
	ctx := context.Background()
	d, _, err := MakeDemo(ctx, world, filepath.Join(t.TempDir(), world))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	c, err := d.Card(ctx, d.Now(), week)
	if err != nil {
		t.Fatal(err)
	}
	return d, c
}

// textOf reads a PDF back by another program.
func textOf(t *testing.T, pdf []byte) string {
	t.Helper()
	path, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("pdftotext is not there: apt-get install poppler-utils")
		}
		t.Skip("pdftotext is not there: apt-get install poppler-utils")
	}
	c := exec.Command(path, "-", "-")
	c.Stdin = bytes.NewReader(pdf)
	out, err := c.Output()
	if err != nil {
		t.Fatalf("pdftotext: %v", err)
	}
	return strings.ReplaceAll(string(out), "\u00a0", " ")
}

// The card of both worlds says what the plan says, with battery and traffic drawn, on one sheet.
func TestCardSaysThePlan(t *testing.T) {
	for _, world := range Worlds {
		t.Run(world, func(t *testing.T) {
			d, c := cardOf(t, world)
			a, err := d.Plan(context.Background(), d.Now(), 24*time.Hour)
			if err != nil {
				t.Fatal(err)
			}
			if len(c.Calls) != len(a.Calls) || len(a.Calls) == 0 {
				t.Fatalf("%d calls on the card, %d in the plan", len(c.Calls), len(a.Calls))
			}
			for _, size := range report.Sizes {
				pdf, err := c.PDF(size)
				if err != nil {
					t.Fatal(err)
				}
				text := textOf(t, pdf)
				leaves := map[report.Size]int{report.A5: 2, report.A4: 1}[size]
				if n := strings.Count(text, "\f"); n != leaves {
					t.Errorf("%s: %d pages, want %d", size, n, leaves)
				}
				for i, call := range a.Calls {
					for _, want := range []string{call.Start.Format("15:04"), call.Station, KHz(call.MHz)} {
						if !strings.Contains(text, want) {
							t.Errorf("%s: call %d: no %q", size, i+1, want)
						}
					}
					for _, f := range call.Fallbacks {
						if !strings.Contains(text, KHz(f.MHz)) {
							t.Errorf("%s: call %d: no fallback on %s", size, i+1, KHz(f.MHz))
						}
					}
				}
				for _, want := range []string{d.Home.Name, d.Home.Call, "25 Nov 2026 17:38", "IG12", "bulletin", "Not a distress watch", "never transmits by itself", "not a promise", "licence decides",
					"Battery", fmt.Sprintf("reserve %.0f %%", 100*d.Home.Battery.Reserve), "To send", fmt.Sprintf("%.0f kB", c.Ribbon.Load.KB)} {
					if !strings.Contains(strings.Join(strings.Fields(text), " "), want) {
						t.Errorf("%s: nowhere %q", size, want)
					}
				}
			}
		})
	}
}

// A compass shows true less the variation (common practice: variation east, compass
// least), and a post in the near field has no bearing.
func TestCardBearings(t *testing.T) {
	d, c := cardOf(t, "saltmarsh")
	decl := Declination(d.At(d.Now()), d.Now())
	if math.Abs(c.VariationDeg-decl) > 1e-9 || decl > -5 || decl < -12 {
		t.Errorf("variation %.1f°, want %.1f, between −12 and −5 in the eastern Azores", c.VariationDeg, decl)
	}
	for _, call := range c.Calls {
		if got := call.Bearing.TrueDeg - call.Bearing.CompassDeg; call.Bearing.Overhead || math.Abs(got-decl) > 1e-9 {
			t.Errorf("%s: true less compass %.2f°, want %.2f; overhead %v", call.Station, got, decl, call.Bearing.Overhead)
		}
	}
	_, net := cardOf(t, "tamarind")
	for _, call := range net.Calls {
		if !call.Bearing.Overhead {
			t.Errorf("%s is within 400 km and has a bearing", call.Station)
		}
	}
}

// The windows of the week are those of `farhail windows`, each under the day it opens.
func TestCardWindowsAgree(t *testing.T) {
	d, c := cardOf(t, "saltmarsh", "Pedra Alta")
	if len(c.Week.Stations) != 1 || c.Week.Stations[0].Name != "Pedra Alta" || !c.Week.Chosen {
		t.Fatalf("the week holds %+v, want Pedra Alta alone", c.Week.Stations)
	}
	w, err := d.Windows(context.Background(), d.Now(), 7, []string{"Pedra Alta"})
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, day := range w.Stations[0].Days {
		midnight, _ := time.Parse("2006-01-02", day.Day)
		for _, x := range day.Windows {
			if x.Opens.Equal(midnight) || x.Shuts.Equal(midnight.AddDate(0, 0, 1)) {
				continue // cut at midnight there, whole here
			}
			i := slices.IndexFunc(c.Week.Stations[0].Channels, func(ch report.WeekChannel) bool { return ch.MHz == x.MHz })
			if i < 0 {
				t.Fatalf("no channel %g MHz", x.MHz)
			}
			if !slices.Contains(c.Week.Stations[0].Channels[i].Spans, report.Span{From: x.Opens, To: x.Shuts}) {
				t.Errorf("%g MHz, %s: %s–%s is not on the card", x.MHz, day.Day, x.Opens.Format("15:04"), x.Shuts.Format("15:04"))
			}
			compared++
		}
	}
	if compared < 7 {
		t.Errorf("only %d windows compared", compared)
	}
}

func TestCardOfUnknownStation(t *testing.T) {
	d, _ := cardOf(t, "tamarind")
	if _, err := d.Card(context.Background(), d.Now(), []string{"Nowhere"}); Classify(err) != Missing {
		t.Errorf("got %v, want a missing station", err)
	}
}
