package practice

import (
	"math"
	"os"
	"sync"
	"testing"
	"time"

	"farhail/forecast"
	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/plan"
	"farhail/station"
)

// letter is a message of a demo world: hours until its deadline, 0 none.
type letter struct {
	precedence string
	bytes      float64
	dueH       float64
	to         []string
}

var weight = map[string]float64{"flash": 64, "immediate": 16, "priority": 4, "routine": 1}

// The traffic of the demo worlds by size, precedence and deadline.
var (
	gateways       = []string{"Cabo Lume", "Merrow Head", "Pedra Alta", "Port Ansel", "Sallow Cay", "Ilha Dourada"}
	saltmarshMails = []letter{
		{"immediate", 887, 11.4, gateways}, {"immediate", 776, 12.4, gateways}, {"priority", 288, 3.7, gateways}, {"priority", 262, 5.4, gateways},
		{"priority", 675, 66, gateways}, {"routine", 4929, 39, gateways}, {"routine", 3329, 39, gateways}, {"routine", 542, 48, []string{"Brandt"}},
		{"routine", 559, 114, gateways}, {"routine", 99025, 126, gateways}, {"routine", 582, 0, gateways}, {"routine", 733, 0, gateways}, {"routine", 824, 0, gateways},
	}
	posts         = []string{"Post 1 Ndulimbe", "Post 2 Masokote Ferry", "Post 3 Nchelewa", "Post 4 Dambowe", "Post 5 Vumbalani", "Post 6 Sankholo", "Post 7 Luwenzi", "Post 8 Mpatalunga", "Post 9 Chirondwe"}
	tamarindMails = []letter{
		{"flash", 528, 3.4, []string{posts[1], posts[2], posts[4]}}, {"immediate", 522, 10.4, posts[6:7]}, {"priority", 594, 11.9, posts},
		{"priority", 453, 14.7, posts[5:6]}, {"priority", 534, 42, posts[3:4]}, {"routine", 2214, 70, []string{posts[0], posts[7]}}, {"routine", 421, 0, posts[8:9]},
	}
)

var start = time.Date(2026, 11, 25, 17, 30, 0, 0, time.UTC)

// believed is the index the operator was told: the demo's.
func believed(int, int) (float64, float64) { return 82, 72 }

// setting is a demo world as the desk would hand it over, 24 hours from its clock.
func setting(t testing.TB, world string) *Setting {
	t.Helper()
	read := func(name string) []byte {
		b, err := os.ReadFile("../desk/demo/" + world + "/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	h, err := station.ParseHome("home.toml", read("home.toml"))
	if err != nil {
		t.Fatal(err)
	}
	dir, err := station.ParseDirectory("stations.toml", read("stations.toml"))
	if err != nil {
		t.Fatal(err)
	}
	mails := saltmarshMails
	if world == "tamarind" {
		mails = tamarindMails
	}
	return settle(t, h, dir, mails, 96)
}

func settle(t testing.TB, h *station.Home, dir *station.Directory, mails []letter, slots int) *Setting {
	t.Helper()
	s := &Setting{Request: forecast.Request{Home: h, Directory: dir, Start: start, Slots: slots, Drive: believed, Reading: circuit.Field}, Minutes: []float64{5, 10, 15}}
	var err error
	if s.Prospect, err = forecast.New(s.Request); err != nil {
		t.Fatal(err)
	}
	s.Battery = plan.Battery{Price: h.Prices.EnergyPerWh, Doubling: h.Prices.Doubling}
	if h.Battery.Limited() {
		full := h.Battery.Energy().Wh()
		s.Battery.Capacity, s.Battery.Reserve, s.Battery.Now = full, full*h.Battery.Reserve, full*h.Battery.Charge
	}
	s.Draw = h.Consumption.AboveListening().W()
	for k := range slots {
		mid := start.Add(time.Duration(k)*forecast.Slot + forecast.Slot/2)
		wh := -(h.Consumption.Receive + h.Consumption.Other).W() / 4
		sun := earth.SunOn(mid.Year(), int(mid.Month()), mid.Day()).CosZenith(h.Position, float64(mid.Hour())+float64(mid.Minute())/60)
		wh += float64(h.Solar.Panels) * h.Solar.Each.W() * math.Max(sun, 0) / 4
		if h.Generator.Hours.At(mid) {
			wh += h.Generator.Power.W() / 4
		}
		s.Battery.Drift = append(s.Battery.Drift, wh)
		price, _, ok := h.WakePrice(mid)
		if !ok {
			price = math.Inf(1)
		}
		s.Wake = append(s.Wake, price)
	}
	for n, l := range mails {
		groups := [][]string{l.to}
		if world := len(l.to); world > 1 && l.to[0] != gateways[0] {
			groups = nil
			for _, to := range l.to {
				groups = append(groups, []string{to})
			}
		}
		for _, to := range groups {
			it := Item{Message: string(rune('a' + n)), Precedence: l.precedence, Bytes: l.bytes, Stations: to}
			for k := range slots {
				age := float64(k+1) / 4
				w := weight[l.precedence] / float64(len(groups))
				switch {
				case l.dueH == 0:
					w *= math.Exp2(-age / 48)
				case age > l.dueH:
					w = 0
				default:
					w *= 1 - age/l.dueH/2
				}
				it.Worth = append(it.Worth, w)
			}
			s.Items = append(s.Items, it)
		}
	}
	if err := s.prepare(); err != nil {
		t.Fatal(err)
	}
	return s
}

var made = struct {
	sync.Mutex
	s map[string]*Setting
}{s: map[string]*Setting{}}

// shared is a setting made once for all tests: nothing changes it.
func shared(t testing.TB, world string) *Setting {
	made.Lock()
	defer made.Unlock()
	if made.s[world] == nil {
		made.s[world] = setting(t, world)
	}
	return made.s[world]
}
