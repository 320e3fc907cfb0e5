package practice

import (
	"math"
	"math/rand/v2"
	"testing"
)

// exhaust is the best anybody can earn: every way of giving each item to a place or to
// none.
func exhaust(all []chance, item, items int, room []float64) float64 {
	if item == items {
		return 0
	}
	best := exhaust(all, item+1, items, room)
	for _, c := range all {
		if c.item == item && c.a <= room[c.at]+1e-12 {
			room[c.at] -= c.a
			best = max(best, c.worth+exhaust(all, item+1, items, room))
			room[c.at] += c.a
		}
	}
	return best
}

// On 400 tiny problems the bound is never under what exhaustion finds, and on average
// little above it.
func TestBoundAgainstExhaustion(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	sum, n := 0.0, 0.0
	for k := range 400 {
		items, places := 1+rng.IntN(6), 1+rng.IntN(4)
		var all []chance
		room := make([]float64, places)
		for p := range room {
			room[p] = 1
		}
		for i := range items {
			for p := range places {
				if rng.Float64() < 0.7 {
					all = append(all, chance{i, p, 1 + 20*rng.Float64(), 0.05 + 0.9*rng.Float64()})
				}
			}
		}
		want, got := exhaust(all, 0, items, room), least(all, places)
		if len(all) == 0 {
			want, got = 0, 0
		}
		if got < want-1e-9 {
			t.Fatalf("problem %d %v: bound %g, exhaustion %g", k, all, got, want)
		}
		if want > 0 {
			sum, n = sum+got/want, n+1
		}
	}
	t.Logf("bound over exhaustion, mean of %g: %.3f", n, sum/n)
	if sum/n > 1.15 {
		t.Errorf("the bound lies %.1f %% above exhaustion on average, want under 15 %%", 100*(sum/n-1))
	}
}

// restless calls at random: no policy at all.
type restless struct{ rng *rand.Rand }

func (r restless) Next(s *Situation) Order {
	var o Order
	for range r.rng.IntN(5) {
		o.Calls = append(o.Calls, r.rng.IntN(len(s.Set.of)))
	}
	o.Limit = 1 + 14*r.rng.Float64()
	for _, i := range r.rng.Perm(len(s.Waiting)) {
		o.Queue = append(o.Queue, s.Waiting[i])
	}
	return o
}

// eager calls all there is, in turn, in every quarter.
type eager struct{}

func (eager) Next(s *Situation) (o Order) {
	for c := range s.Set.of {
		if s.MayCall(c) {
			o.Calls = append(o.Calls, c)
		}
	}
	return o
}

// On every seed nobody earns more than the bound: not the yardsticks, not one who calls
// everything, not one who calls at random with the traffic shuffled.
func TestNobodyBeatsTheBound(t *testing.T) {
	for _, world := range []string{"saltmarsh", "tamarind"} {
		set := shared(t, world)
		players, err := Yardsticks(set)
		if err != nil {
			t.Fatal(err)
		}
		for seed := range uint64(12) {
			d := day(t, set, Usual(12), 100+seed)
			bound := d.Bound()
			players = append(players[:4:4], Player{"random", func() Policy { return restless{rand.New(rand.NewPCG(seed, 1))} }}, Player{"eager", func() Policy { return eager{} }})
			for _, p := range players {
				sc := d.Play(p.New(), nil)
				if sc.Worth > bound+1e-6 || math.IsNaN(sc.Worth) {
					t.Errorf("%s seed %d: %s earns %g, the bound is %g", world, seed, p.Name, sc.Worth, bound)
				}
			}
		}
	}
}
