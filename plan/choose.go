package plan

import (
	"math"
	"slices"
)

// greatest finds G under one belief: it works out every second call that may be the best
// at some level.
func (q *bound) greatest(w *pass, i, θ int) {
	best, lowest := q.best[θ], max(slices.Min(w.onward)-1, 0) // a failure reads the level under the first that goes on
	clear(best)
	clear(q.tried[θ])
	least := 0.0 // of best
	rest := w.row(q.rest, i, θ)
	for _, x := range q.here.live[θ] {
		if q.here.second(x, θ) <= least+tie || q.here.lost[θ][x] <= least+tie && !exceeds(q.byLevel(w, x, i, θ), best, lowest) {
			continue
		}
		q.tried[θ][x] = true
		a := w.anotherCall(x, w.soonest, i, θ)
		for b := lowest; b < len(best); b++ {
			best[b] = max(best[b], a.both[b]-rest[b], a.failed[b]-rest[b])
		}
		least = math.Inf(1)
		for _, v := range best[min(lowest, len(best)):] {
			least = min(least, v)
		}
	}
	q.bestIn[θ] = slices.Max(best)
}

// exceeds says whether a row lies above another at some level from lowest up.
func exceeds(row, other []float64, lowest int) bool {
	for b := lowest; b < len(row); b++ {
		if row[b] > other[b]+tie {
			return true
		}
	}
	return false
}

// promises says whether calling channel x first could be worth more than value holds, at
// any level that allows it. margin is the least that value stands above resting.
func (q *bound) promises(w *pass, e *extremes, x, i, θ int, value []float64, margin float64) bool {
	o, wake := &w.options[x][θ], w.p.Wake[w.t]
	up := o.no
	if o.noW > 0 {
		up++
	}
	more := q.bestIn[o.no]
	more += o.noW * (q.bestIn[up] - more)
	if e.first[θ][x]+(1-o.p)*more-wake <= margin+tie {
		return false
	}
	rest, after, higher := w.row(q.rest, i, θ), q.best[o.no], q.best[up]
	for b, v := range q.byLevel(w, x, i, θ) {
		if b >= w.floor && rest[b]+v+(1-o.p)*(after[b]+o.noW*(higher[b]-after[b]))-wake > value[b]+tie {
			return true
		}
	}
	return false
}

// stands says whether a first call whose worth if it connects is known may still be worth
// more than value holds, at any level from lowest up.
func (q *bound) stands(w *pass, x, i, θ int, won, value []float64, lowest int) bool {
	o, ef := &w.options[x][θ], q.sides[x][θ].giveUp
	rest, best := w.row(q.rest, i, o.no), q.best[o.no]
	up, higher := rest, best
	if o.noW > 0 {
		up, higher = w.row(q.rest, i, o.no+1), q.best[o.no+1]
	}
	for b := lowest; b < len(won); b++ {
		after := rest[b] + best[b]
		after += o.noW * (up[b] + higher[b] - after)
		if o.p*won[b]+(1-o.p)*(after-w.price[b]*ef)-w.p.Wake[w.t] > value[b]+tie {
			return true
		}
	}
	return false
}

// hopeless says whether no channel that is not live, called first, could be worth more
// than what is in hand, whatever is called after it.
func (q *bound) hopeless(w *pass, θ int, margin float64) bool {
	return q.here.idle[θ]+slices.Max(q.bestIn[:q.upTo[θ]+1])-w.p.Wake[w.t] <= margin+tie
}

// firsts weighs every first call that could be worth more than what is in hand.
func (q *bound) firsts(w *pass, i, θ int, value []float64, action []Action) {
	margin := 0.0
	rest := w.row(q.rest, i, θ)
	try := func(e *extremes, x int) {
		if q.promises(w, e, x, i, θ, value, margin) {
			w.call(x, i, θ, value, action)
			margin = least(value, rest, w.floor)
		}
	}
	for _, x := range q.here.live[θ] {
		try(&q.here, x)
	}
	if q.hopeless(w, θ, margin) {
		return
	}
	for x := range w.order {
		if !q.here.lives[θ][x] {
			try(&q.everywhere, x)
		}
	}
}

// least is the least that worth stands above what waiting gives, from a level up.
func least(worth, waiting []float64, lowest int) float64 {
	v := math.Inf(1)
	for b := lowest; b < len(worth); b++ {
		v = min(v, worth[b]-waiting[b])
	}
	return v
}

// margins is how far what is in hand after a failure stands above waiting, by level, and the
// least of it; below lowest nothing can be done.
func (w *pass) margins(by []float64, lowest int) float64 {
	v := math.Inf(1)
	for b := range by {
		by[b] = math.Inf(1)
		if b >= lowest {
			by[b] = w.after[b] - w.waiting[b]
			v = min(v, by[b])
		}
	}
	return v
}

// over says whether together, taken where a failure leaves the battery, lies above by at
// some level.
func (w *pass) over(ef float64, by []float64) bool {
	for b, v := range by {
		if !math.IsInf(v, 1) && w.axis.read(w.together, b, -ef) > v+tie {
			return true
		}
	}
	return false
}

// followers works out every second call that could be worth more than what is in hand
// after a failure of channel x.
func (q *bound) followers(w *pass, x, i, θ int, ef float64) {
	o := &w.options[x][θ]
	lowest := max(w.floor, w.onward[w.giveUp[x]])
	if lowest >= len(w.axis.level) {
		return
	}
	clear(w.mixed)
	w.add(q.rest, i, o.no, o.noW, 1, w.mixed)
	for b := lowest; b < len(w.waiting); b++ {
		w.waiting[b] = w.axis.read(w.mixed, b, -ef)
	}
	margins := w.sum
	margin := w.margins(margins, lowest)
	up := o.no
	if o.noW > 0 {
		up++
	}
	try := func(y int) {
		no, more := 0.0, 0.0 // at most, of one that is not live
		if q.here.lives[o.no][y] {
			no = q.here.second(y, o.no)
		}
		if q.here.lives[up][y] {
			more = q.here.second(y, up)
		}
		if no+o.noW*(more-no) <= margin+tie || y == x {
			return
		}
		second, higher, lost := q.byLevel(w, y, i, o.no), q.byLevel(w, y, i, up), 0.0
		if q.here.lives[o.no][y] {
			lost = max(lost, q.here.lost[o.no][y])
		}
		if q.here.lives[up][y] {
			lost = max(lost, q.here.lost[up][y])
		}
		for b, v := range second {
			v = max(v, lost)
			w.together[b] = v + o.noW*(max(higher[b], lost)-v)
		}
		if w.over(ef, margins) {
			w.follow(x, y, i, θ, ef)
			margin = w.margins(margins, lowest)
		}
	}
	for _, y := range q.here.live[o.no] {
		if q.tried[o.no][y] {
			try(y)
		}
	}
	// A channel not tried is worth G at most; one that is not live, nothing.
	for b, v := range q.best[o.no] {
		w.together[b] = v + o.noW*(q.best[up][b]-v)
	}
	if !w.over(ef, margins) {
		return
	}
	for _, y := range q.here.live[o.no] {
		if !q.tried[o.no][y] {
			try(y)
		}
	}
	if up == o.no {
		return
	}
	for _, y := range q.here.live[up] {
		if !q.here.lives[o.no][y] {
			try(y)
		}
	}
}
