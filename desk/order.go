package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"farhail/traffic"
)

// orderSetting keeps what the last change of the order by hand did, so that it can be
// taken back.
const orderSetting = "order"

// reordered is that change, message by message.
type reordered map[string]struct {
	Precedence string
	Was, Now   int
}

// wheres are the words for where a message is moved to.
var wheres = map[string]traffic.Where{"first": traffic.First, "last": traffic.Last, "before": traffic.Before, "after": traffic.After}

// MoveTraffic puts a message at another place among those of its precedence (first, last,
// before or after the other one), and returns these in order of sending.
func (d *Desk) MoveTraffic(ctx context.Context, ref, where, other string) ([]Letter, error) {
	to := traffic.Target{Other: other}
	var ok bool
	if to.Where, ok = wheres[where]; !ok {
		return nil, &InputError{fmt.Sprintf("no place %q in the queue", where), "choose first, last, before or after"}
	}
	m, err := d.find(ctx, ref)
	if err != nil {
		return nil, err
	}
	if to.Where == traffic.Before || to.Where == traffic.After {
		o, err := d.find(ctx, other)
		if err != nil {
			return nil, err
		}
		to.Other = o.ID
	}
	queue, err := d.places(ctx)
	if err != nil {
		return nil, err
	}
	ranks, err := traffic.Move(queue, m.ID, to)
	if err != nil {
		return nil, err
	}
	if err := d.rank(ctx, queue, ranks); err != nil {
		return nil, err
	}
	return d.ofPrecedence(ctx, m.Precedence)
}

// OrderByRule gives the messages of the precedences named, all if none is, back to the
// rule, and returns the queue in order of sending.
func (d *Desk) OrderByRule(ctx context.Context, precedences ...string) ([]Letter, error) {
	levels := []traffic.Precedence{traffic.Unset}
	if len(precedences) > 0 {
		levels = nil
	}
	for _, word := range precedences {
		p, err := traffic.ParsePrecedence(word)
		if err != nil {
			return nil, err
		}
		levels = append(levels, p)
	}
	queue, err := d.places(ctx)
	if err != nil {
		return nil, err
	}
	ranks := map[string]int{}
	for _, p := range levels {
		for id, r := range traffic.ByRule(queue, p) {
			ranks[id] = r
		}
	}
	if len(ranks) > 0 {
		if err := d.rank(ctx, queue, ranks); err != nil {
			return nil, err
		}
	}
	return d.Traffic(ctx)
}

// UndoOrder takes the last move, or giving back to the rule, back, and returns the queue.
// What was delivered since, or has another precedence, stays as it is.
func (d *Desk) UndoOrder(ctx context.Context) ([]Letter, error) {
	text, _, err := d.DB.Setting(ctx, orderSetting)
	if err != nil {
		return nil, err
	}
	var last reordered
	if text != "" {
		if err := json.Unmarshal([]byte(text), &last); err != nil {
			return nil, fmt.Errorf("read the last move: %w", err)
		}
	}
	if len(last) == 0 {
		return nil, &MissingError{"no move to take back", "only the last one can be; move the message again"}
	}
	queue, err := d.places(ctx)
	if err != nil {
		return nil, err
	}
	ranks := map[string]int{}
	for _, p := range queue {
		if x, ok := last[p.ID]; ok && p.Precedence.String() == x.Precedence && p.Rank == x.Now {
			ranks[p.ID] = x.Was
		}
	}
	if err := d.DB.SetRanks(ctx, ranks, d.Now()); err != nil {
		return nil, err
	}
	if err := d.DB.SetSetting(ctx, orderSetting, ""); err != nil {
		return nil, err
	}
	return d.Traffic(ctx)
}

// rank keeps new ranks. What undoes them is kept first: cut short in between, it undoes
// nothing.
func (d *Desk) rank(ctx context.Context, queue []traffic.Place, ranks map[string]int) error {
	done := reordered{}
	for _, p := range queue {
		if r, ok := ranks[p.ID]; ok {
			x := done[p.ID]
			x.Precedence, x.Was, x.Now = p.Precedence.String(), p.Rank, r
			done[p.ID] = x
		}
	}
	text, err := json.Marshal(done)
	if err != nil {
		return err
	}
	if err := d.DB.SetSetting(ctx, orderSetting, string(text)); err != nil {
		return err
	}
	return d.DB.SetRanks(ctx, ranks, d.Now())
}

// places is the queue, held messages too, as the rule of order sees it.
func (d *Desk) places(ctx context.Context) ([]traffic.Place, error) {
	letters, err := d.Traffic(ctx)
	if err != nil {
		return nil, err
	}
	var out []traffic.Place
	for i := range letters {
		out = append(out, place(&letters[i]))
	}
	return out, nil
}

func (d *Desk) ofPrecedence(ctx context.Context, precedence string) ([]Letter, error) {
	all, err := d.Traffic(ctx)
	return slices.DeleteFunc(all, func(l Letter) bool { return l.Precedence != precedence }), err
}
