package circuit

import (
	"fmt"
	"sync"
	"sync/atomic"
)

// A Batch predicts many circuits over the same hours and frequencies under one sky.
type Batch struct {
	Sky     *Sky
	Hours   []float64 // UT
	Bands   []Band
	Workers int // goroutines; 0 or 1 runs in the caller's own

	scratch []scratch
}

type scratch struct {
	path Path
	hour Hour
}

// A Summary is what an hour of a path says without a frequency.
type Summary struct {
	BasicMUF, OperationalMUF, OWF float64
}

// Size is the number of predictions for n circuits.
func (b *Batch) Size(n int) int { return n * len(b.Hours) * len(b.Bands) }

// Run fills out[(i·hours + j)·bands + k] for circuit i, hour j, band k, and, when it is
// not nil, hours[i·hours + j]. The circuits must have passed Check. It allocates only
// when first run with more workers; results are the same bit for bit whatever the
// number of workers. The error says which slice is too short.
func (b *Batch) Run(circuits []Circuit, out []Prediction, hours []Summary) error {
	if n := b.Size(len(circuits)); len(out) < n {
		return fmt.Errorf("circuit: room for %d predictions, %d needed", len(out), n)
	}
	if n := len(circuits) * len(b.Hours); hours != nil && len(hours) < n {
		return fmt.Errorf("circuit: room for %d hours, %d needed", len(hours), n)
	}
	workers := max(1, min(b.Workers, len(circuits)))
	for len(b.scratch) < workers {
		b.scratch = append(b.scratch, scratch{})
	}
	if workers == 1 {
		for i := range circuits {
			b.one(&b.scratch[0], circuits, i, out, hours)
		}
		return nil
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for w := range workers {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(circuits); i = int(next.Add(1)) - 1 {
				b.one(&b.scratch[w], circuits, i, out, hours)
			}
		})
	}
	all.Wait()
	return nil
}

func (b *Batch) one(s *scratch, circuits []Circuit, i int, out []Prediction, hours []Summary) {
	s.path.set(b.Sky, circuits[i])
	at := i * len(b.Hours)
	for j, utc := range b.Hours {
		s.path.At(utc, &s.hour)
		if hours != nil {
			hours[at+j] = Summary{s.hour.BasicMUF, s.hour.OperationalMUF, s.hour.OWF}
		}
		row := out[(at+j)*len(b.Bands):]
		for k := range b.Bands {
			s.hour.Predict(&b.Bands[k], &row[k])
		}
	}
}
