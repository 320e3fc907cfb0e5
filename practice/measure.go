package practice

import (
	"fmt"
	"math"
	"sync"
	"sync/atomic"
)

// A Player is a policy by name, made anew for each day.
type Player struct {
	Name string
	New  func() Policy
}

// Yardsticks are the plan and what it is measured against, but for the bound: the notebook
// of one frequency by day and one by night, one with a page for each station, and greedy.
func Yardsticks(set *Setting) ([]Player, error) {
	if err := set.prepare(); err != nil {
		return nil, err
	}
	one, full := *NewNotebook(set), *NewFullNotebook(set)
	return []Player{
		{"plan", func() Policy { return &Planner{Plan: Farhail} }},
		{"notebook", func() Policy { n := one; return &n }},
		{"full notebook", func() Policy { n := full; return &n }},
		{"greedy", func() Policy { return Greedy{} }},
	}, nil
}

// A Mean is an average over days with half the width of its 95 % interval.
type Mean struct{ Value, Half float64 }

// A Line is one player's figures over the days.
type Line struct {
	Name    string
	Worth   Mean            // weighted delivery
	Net     Mean            // less the price of waking
	OfBound Mean            // Σ worth / Σ bound
	InTime  map[string]Mean // share of messages in time, by precedence
	Minutes Mean            // on the air
	Energy  Mean            // Wh
	Calls   Mean
	WhPerKB Mean // Σ energy / Σ kB delivered
	Over    Mean // Σ worth / Σ worth of the player named in Measure
}

// A Report is what Measure found.
type Report struct {
	Days  int
	Bound Mean
	Lines []Line
}

// Measure plays so many days, of seeds from first on, on so many goroutines. Ratios are
// of sums, with intervals by their linear error; Over is each player's ratio to the one
// named than. The figures do not depend on the number of workers.
func Measure(set *Setting, w *World, players []Player, than string, first uint64, days, workers int) (*Report, error) {
	if err := set.prepare(); err != nil {
		return nil, err
	}
	bound := make([]float64, days)
	scores := make([][]Score, days)
	errs := make([]error, days)
	var next atomic.Int64
	var all sync.WaitGroup
	for range max(1, min(workers, days)) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < days; i = int(next.Add(1)) - 1 {
				d, err := NewDay(set, w, first+uint64(i))
				if err != nil {
					errs[i] = fmt.Errorf("day %d: %w", first+uint64(i), err)
					continue
				}
				bound[i] = d.Bound()
				for _, p := range players {
					s := d.Play(p.New(), nil)
					s.Log = nil
					scores[i] = append(scores[i], s)
				}
			}
		})
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	r := &Report{Days: days, Bound: mean(bound)}
	against := -1
	for k, p := range players {
		if p.Name == than {
			against = k
		}
	}
	pick := func(k int, of func(*Score) float64) []float64 {
		v := make([]float64, days)
		for i := range v {
			v[i] = of(&scores[i][k])
		}
		return v
	}
	worth := func(s *Score) float64 { return s.Worth }
	for k, p := range players {
		l := Line{Name: p.Name, InTime: map[string]Mean{}}
		v := pick(k, worth)
		l.Worth, l.OfBound = mean(v), ratio(v, bound)
		l.Net = mean(pick(k, func(s *Score) float64 { return s.Worth - s.Sleep }))
		energy := pick(k, func(s *Score) float64 { return s.Energy })
		l.Energy = mean(energy)
		l.Minutes = mean(pick(k, func(s *Score) float64 { return s.Minutes }))
		l.Calls = mean(pick(k, func(s *Score) float64 { return float64(s.Calls) }))
		l.WhPerKB = ratio(energy, pick(k, func(s *Score) float64 { return s.Bytes / 1000 }))
		for _, name := range set.precedent {
			l.InTime[name] = mean(pick(k, func(s *Score) float64 { return set.inTime(name, s) }))
		}
		if against >= 0 {
			l.Over = ratio(v, pick(against, worth))
		}
		r.Lines = append(r.Lines, l)
	}
	return r, nil
}

// inTime is the share of the messages of a precedence that were through, to all they
// are for, while still worth something.
func (s *Setting) inTime(precedence string, sc *Score) float64 {
	ok := map[string]bool{}
	var names []string
	for i := range s.Items {
		it := &s.Items[i]
		if it.Precedence != precedence {
			continue
		}
		if _, seen := ok[it.Message]; !seen {
			names, ok[it.Message] = append(names, it.Message), true
		}
		t := sc.Delivered[i]
		ok[it.Message] = ok[it.Message] && t >= 0 && it.Worth[t] > 0
	}
	n := 0.0
	for _, name := range names {
		if ok[name] {
			n++
		}
	}
	return n / float64(len(names))
}

// normal95 is the quantile of a 95 % interval.
const normal95 = 1.959964

func mean(v []float64) Mean {
	n := float64(len(v))
	sum, squares := 0.0, 0.0
	for _, x := range v {
		sum += x
	}
	m := sum / n
	for _, x := range v {
		squares += (x - m) * (x - m)
	}
	if n < 2 {
		return Mean{m, math.Inf(1)}
	}
	return Mean{m, normal95 * math.Sqrt(squares/(n-1)/n)}
}

// ratio is Σx/Σy; its error is that of the mean of x − r y over the mean of y.
func ratio(x, y []float64) Mean {
	sx, sy := 0.0, 0.0
	for i := range x {
		sx, sy = sx+x[i], sy+y[i]
	}
	if sy == 0 {
		return Mean{math.NaN(), math.Inf(1)}
	}
	r := sx / sy
	rest := make([]float64, len(x))
	for i := range x {
		rest[i] = x[i] - r*y[i]
	}
	return Mean{r, mean(rest).Half / (sy / float64(len(y)))}
}
