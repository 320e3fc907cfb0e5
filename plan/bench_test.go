package plan

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// BenchmarkSolve is the planner alone, without prospects: a day of a yacht, three days
// of a base, and each dimension doubled from the day.
func BenchmarkSolve(b *testing.B) {
	for _, c := range []struct {
		name                                string
		slots, stations, channels, messages int
		grid                                Grid
	}{
		{"day", 96, 7, 4, 14, DefaultGrid},
		{"base", 288, 40, 8, 60, DefaultGrid},
		{"slots", 192, 7, 4, 14, DefaultGrid},
		{"stations", 96, 14, 4, 14, DefaultGrid},
		{"channels", 96, 7, 8, 14, DefaultGrid},
		{"messages", 96, 7, 4, 28, DefaultGrid},
		{"levels", 96, 7, 4, 14, Grid{2*DefaultGrid.Levels - 1, DefaultGrid.Tilts}},
		{"tilts", 96, 7, 4, 14, Grid{DefaultGrid.Levels, evenly(DefaultGrid.Tilts[0], -DefaultGrid.Tilts[0], 2*len(DefaultGrid.Tilts)-1)}},
	} {
		b.Run(fmt.Sprintf("%s/%dh,%dx%d,%dmsg,%dx%d", c.name, c.slots/4, c.stations, c.channels, c.messages, c.grid.Levels, len(c.grid.Tilts)), func(b *testing.B) {
			p := aWatch(rand.New(rand.NewPCG(3, 1)), c.slots, c.stations, c.channels, c.messages, 4800)
			b.ReportAllocs()
			for b.Loop() {
				Solve(p, c.grid)
			}
		})
	}
}

// BenchmarkRehearse is what a plan's chances cost.
func BenchmarkRehearse(b *testing.B) {
	p := aWatch(rand.New(rand.NewPCG(3, 1)), 96, 7, 4, 14, 4800)
	s := Solve(p, DefaultGrid)
	rng := rand.New(rand.NewPCG(1, 1))
	b.ReportAllocs()
	for b.Loop() {
		s.Rehearse(2000, rng)
	}
}
