package desk

import (
	"context"
	"testing"
	"time"
)

func demoDesk(b testing.TB, world string) *Desk {
	b.Helper()
	d, _, err := MakeDemo(context.Background(), world, b.TempDir()+"/w")
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { d.Close() })
	return d
}

// BenchmarkPlan is a whole plan of 24 hours on a demo world, prospect included;
// BenchmarkProspect the prospect alone.
func BenchmarkPlan(b *testing.B) {
	for _, w := range Worlds {
		b.Run(w, func(b *testing.B) {
			d := demoDesk(b, w)
			for b.Loop() {
				if _, err := d.Plan(context.Background(), d.Now(), 24*time.Hour); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkProspect(b *testing.B) {
	for _, w := range Worlds {
		b.Run(w, func(b *testing.B) {
			d := demoDesk(b, w)
			for b.Loop() {
				if _, _, err := d.prospect(context.Background(), d.Now(), d.Now(), 24*time.Hour); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
