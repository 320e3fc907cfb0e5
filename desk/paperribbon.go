package desk

import (
	"fmt"
	"math"
	"time"

	"farhail/report"
)

// Ribbon turns a plan and its screen into what the ribbon shows. With the screen of
// before a change, the sky of before is shown beside it.
func Ribbon(a *PlanAnswer, s *Screen, before *Screen) *report.Ribbon {
	r := &report.Ribbon{From: s.From, To: s.To, Now: s.Now, Focus: s.Focus, Steps: s.Steps, Slot: 15 * time.Minute, Edges: edges(s.Sky)}
	if before != nil {
		r.Before = edges(before.Sky)
	}
	inPlan := map[string]bool{}
	for i, c := range a.Calls {
		r.Calls = append(r.Calls, report.Planned{No: i + 1, Start: c.Start, Minutes: c.Minutes, Station: c.Station, MHz: c.MHz})
		inPlan[c.Station] = true
		if i == 0 {
			for _, f := range c.Fallbacks {
				r.Calls = append(r.Calls, report.Planned{Start: c.Start.Add(time.Duration(s.GiveUpMinutes * float64(time.Minute))), Station: f.Station, MHz: f.MHz, Fallback: true})
				inPlan[f.Station] = true
			}
		}
	}
	strands(r, s, inPlan)
	for _, n := range s.Nights {
		r.Nights = append(r.Nights, report.Night(n))
	}
	for _, o := range s.Outcomes {
		r.Outcomes = append(r.Outcomes, report.Outcome(o))
	}
	if b := s.Battery; b != nil {
		r.Battery = &report.Lane{At: b.At, Mid: b.Mid, Low: b.Low, High: b.High, Reserve: b.Reserve}
	}
	r.Load = load(a)
	return r
}

func edges(sky []SkyEdge) []report.Edge {
	out := make([]report.Edge, len(sky))
	for i, e := range sky {
		out[i] = report.Edge(e)
	}
	return out
}

// mostStrands are drawn; of more stations those of the plan and the best.
const mostStrands = 9

func strands(r *report.Ribbon, s *Screen, inPlan map[string]bool) {
	var all []report.Strand
	for _, st := range s.Stations {
		if st.Name == s.Focus {
			for _, c := range st.Channels {
				r.Channels = append(r.Channels, report.Bar{MHz: c.MHz, Chance: c.Chance})
			}
			continue
		}
		x := report.Strand{Station: st.Name, HeadingDeg: st.HeadingDeg}
		for t := range s.Steps {
			best, mhz := -1.0, 0.0
			for _, c := range st.Channels {
				if c.Chance[t] > best {
					best, mhz = c.Chance[t], c.MHz
				}
			}
			x.Chance, x.MHz = append(x.Chance, best), append(x.MHz, mhz)
		}
		all = append(all, x)
	}
	if len(all) <= mostStrands {
		r.Strands = all
		return
	}
	now := int(s.Now.Sub(s.From) / r.Slot)
	chance := func(x report.Strand) float64 { return x.Chance[min(now, len(x.Chance)-1)] }
	shown := map[string]bool{}
	for n := range inPlan {
		shown[n] = true
	}
	for len(shown) < mostStrands {
		best := -1
		for i, x := range all {
			if !shown[x.Station] && (best < 0 || chance(x) > chance(all[best])) {
				best = i
			}
		}
		if best < 0 {
			break
		}
		shown[all[best].Station] = true
	}
	hidden, most := 0, 0.0
	for _, x := range all {
		if shown[x.Station] {
			r.Strands = append(r.Strands, x)
		} else {
			hidden, most = hidden+1, max(most, chance(x))
		}
	}
	if hidden > 0 {
		r.Hidden = fmt.Sprintf("%d more, none likelier now than %s", hidden, Chance(most))
	}
}

func load(a *PlanAnswer) *report.Load {
	l := &report.Load{}
	size := map[string]float64{}
	for _, m := range a.Messages {
		kB := float64(m.BytesOnAir) / 1000
		if m.Note != "" {
			l.Stays += kB
			continue
		}
		size[m.ID] = kB
		l.KB += kB
		if m.Deadline != nil && m.Deadline.After(a.At) {
			l.Due = append(l.Due, report.Due{At: *m.Deadline, What: m.Subject})
		}
	}
	for i := range l.Due {
		for j := i; j > 0 && l.Due[j].At.Before(l.Due[j-1].At); j-- {
			l.Due[j], l.Due[j-1] = l.Due[j-1], l.Due[j]
		}
	}
	for _, c := range a.Calls {
		d := report.Drop{From: c.Start, To: c.Start.Add(time.Duration(c.Minutes * float64(time.Minute)))}
		for _, id := range c.Messages {
			d.KB += size[id]
			size[id] = 0
		}
		l.Drops = append(l.Drops, d)
	}
	l.KB = math.Round(l.KB*10) / 10
	return l
}
