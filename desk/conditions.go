package desk

import (
	"context"
	"crypto/sha256"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"farhail/hf/circuit"
	"farhail/hf/iono"
	"farhail/store"
	"farhail/unit"
)

// An IndexAnswer is the index believed at a moment, and why.
type IndexAnswer struct {
	At       time.Time        `json:"at"`
	IG12     float64          `json:"ig12"`
	R12      float64          `json:"r12"`
	SD       float64          `json:"standard_error"`
	Table    OpinionAnswer    `json:"table"`
	Heard    *OpinionAnswer   `json:"heard"`
	A        *float64         `json:"a"`
	K        *float64         `json:"k"`
	Why      string           `json:"why"`
	Note     string           `json:"note,omitempty"`
	Noise    string           `json:"noise"`
	Measured []string         `json:"measured,omitempty"` // as the home file has it
	Bulletin []BulletinAnswer `json:"bulletins"`
}

// An OpinionAnswer is one source's word on the index.
type OpinionAnswer struct {
	IG12   float64 `json:"ig12"`
	R12    float64 `json:"r12"`
	SD     float64 `json:"standard_error"`
	Source string  `json:"source"`
}

type BulletinAnswer struct {
	At   time.Time `json:"at"`
	Flux *float64  `json:"flux"`
	A    *float64  `json:"a"`
	K    *float64  `json:"k"`
}

// fluxMemory is how far back a bulletin's flux still speaks for the month, one turn of
// the Sun; dailyFluxSD how far one day's flux strays from the month's, in IG12.
// Measured on daily and monthly flux 1958–2025: docs/accuracy.md.
const (
	fluxMemory  = 27 * 24 * time.Hour
	dailyFluxSD = 15.0
)

// believed weighs the embedded table and what was heard on the air.
func (d *Desk) believed(ctx context.Context, at time.Time) (IndexAnswer, error) {
	t := iono.IndexOf(at.Year(), int(at.Month()))
	a := IndexAnswer{At: at, Table: OpinionAnswer{round(t.IG12), round(t.R12), round(t.SD), tableSource(t)}, Bulletin: []BulletinAnswer{}, Noise: string(d.Home.Noise.Environment)}
	for _, n := range d.Home.Noise.Measured {
		a.Measured = append(a.Measured, n.String())
	}
	if t.Clamped {
		a.Note = "the month lies outside the table of indices; its nearest month stands in"
	}
	list, err := d.DB.Bulletins(ctx, at.Add(-fluxMemory))
	if err != nil {
		return a, err
	}
	flux := map[string]float64{} // by day: one figure a day is issued, and read out all day
	for _, b := range list {
		if b.At.After(at) {
			continue
		}
		a.Bulletin = append(a.Bulletin, BulletinAnswer{b.At, b.Flux, b.A, b.K})
		if b.Flux != nil {
			flux[b.At.UTC().Format(time.DateOnly)] = *b.Flux
		}
		if at.Sub(b.At) < 24*time.Hour {
			if b.A != nil {
				a.A = b.A
			}
			if b.K != nil {
				a.K = b.K
			}
		}
	}
	x := t
	if n := len(flux); n > 0 {
		sum := 0.0
		for _, day := range slices.Sorted(maps.Keys(flux)) {
			sum += flux[day]
		}
		h := iono.FromFlux(sum / float64(n))
		h.SD = math.Hypot(h.SD, dailyFluxSD/math.Sqrt(float64(n)))
		a.Heard = &OpinionAnswer{round(h.IG12), round(h.R12), round(h.SD), fmt.Sprintf("flux %.0f, %s in 27 days", sum/float64(n), countOf(n, "bulletin"))}
		x = iono.Weigh(t, h)
	}
	a.IG12, a.R12, a.SD = round(x.IG12), round(x.R12), round(x.SD)
	a.Why = a.Table.Source
	if a.Heard != nil {
		a.Why = fmt.Sprintf("%s says %.0f ± %.0f, %s says %.0f ± %.0f: weighed by how sure each is", a.Table.Source, t.IG12, t.SD, a.Heard.Source, a.Heard.IG12, a.Heard.SD)
	}
	return a, nil
}

func tableSource(t iono.Index) string {
	y, m := iono.LastObserved()
	if t.AgeMonths == 0 {
		return "the table of observed indices"
	}
	return fmt.Sprintf("the table, continued %d months beyond the last observed (%d-%02d)", t.AgeMonths, y, m)
}

// drive shifts the table's months by what was believed today.
func (a IndexAnswer) drive() circuit.Driver {
	dig, dr := a.IG12-a.Table.IG12, a.R12-a.Table.R12
	return func(y, m int) (float64, float64) {
		x := iono.IndexOf(y, m)
		return x.IG12 + dig, x.R12 + dr
	}
}

// Conditions tells what is believed about the sky and the site, and why.
func (d *Desk) Conditions(ctx context.Context, at time.Time) (*IndexAnswer, error) {
	a, err := d.believed(ctx, at)
	return &a, err
}

// SetConditions records a bulletin heard on the air.
func (d *Desk) SetConditions(ctx context.Context, at time.Time, flux, a, k *float64) (*IndexAnswer, error) {
	if flux == nil && a == nil && k == nil {
		return nil, &UsageError{"nothing to record: give at least one of --flux, --a, --k", "farhail conditions set"}
	}
	for _, x := range []struct {
		name   string
		v      *float64
		lo, hi float64
	}{{"solar flux", flux, 50, 500}, {"A index", a, 0, 400}, {"K index", k, 0, 9}} {
		if x.v != nil {
			if err := unit.Check(x.name, *x.v, x.lo, x.hi, ""); err != nil {
				return nil, err
			}
		}
	}
	b := store.Bulletin{At: at, Flux: flux, A: a, K: k, Source: "heard"}
	text := fmt.Sprint(at.UnixMilli())
	for _, v := range []*float64{flux, a, k} {
		if v != nil {
			text += fmt.Sprintf(" %g", *v)
		} else {
			text += " -"
		}
	}
	b.ID = fmt.Sprintf("%x", sha256.Sum256([]byte(text)))[:12]
	if _, err := d.DB.AddBulletin(ctx, b); err != nil {
		return nil, err
	}
	return d.Conditions(ctx, at)
}
