package station

import (
	"strings"
	"testing"

	"farhail/unit"
)

func TestPermitted(t *testing.T) {
	h := &Home{Permits: []Permit{
		{From: 8.195 * unit.MHz, To: 8.815 * unit.MHz, Bandwidth: 2800, Power: 150, Emissions: []string{"2K80J2D", "F1B"}},
		{From: 8.6 * unit.MHz, To: 8.7 * unit.MHz, Bandwidth: 6000, Power: 50},
	}}
	for _, c := range []struct {
		kHz, channelHz, emissionHz float64
		power                      unit.Power
		emission                   string
		reason                     string
	}{
		{8370, 3000, 2800, 100, "J2D", ""},
		{8370, 3000, 2800, 150, "300HF1B", ""},
		{8370, 3000, 2800, 100, "", ""},
		{8196.4, 3000, 2800, 100, "", ""}, // the very edge
		{8196.3, 3000, 2800, 100, "", "no permit covers 8 196.3 kHz ± 1.4 kHz"},
		{8813.7, 3000, 2800, 100, "", "no permit covers 8 813.7 kHz ± 1.4 kHz"},
		{5250, 3000, 2800, 100, "", "no permit covers 5 250 kHz ± 1.4 kHz"},
		{8370, 3000, 3000, 100, "", "the permit 8.195 to 8.815 MHz allows 2.8 kHz, the emission takes 3 kHz"},
		{8370, 3000, 2800, 151, "", "the permit 8.195 to 8.815 MHz allows 150 W, the transmitter gives 151 W"},
		{8370, 3000, 2800, 100, "2K80J3E", "the permit 8.195 to 8.815 MHz allows 2K80J2D, F1B, the channel takes 2K80J3E"},
		{8370, 500, 2800, 100, "", "the channel is 500 Hz wide, the emission takes 2.8 kHz"},
		{8650, 6000, 6000, 40, "J3E", ""}, // the second permit has it
		{8291, 3000, 2800, 100, "", "8 291 kHz ± 1.5 kHz comes within 3 kHz of 8 291 kHz, kept for distress and safety (ITU Radio Regulations App. 15, from memory)"},
	} {
		ch := &Channel{Centre: unit.Freq(c.kHz * 1e3), Bandwidth: unit.Freq(c.channelHz), Emission: c.emission}
		ok, reason := Permitted(h, ch, unit.Freq(c.emissionHz), c.power)
		if ok != (c.reason == "") || reason != c.reason {
			t.Errorf("%g kHz, %g Hz, %g W, %q: %v, %q\nwant %q", c.kHz, c.emissionHz, c.power.W(), c.emission, ok, reason, c.reason)
		}
	}
	if got := PowerLimit(h, &Channel{Centre: 8.65e6, Bandwidth: 3000}, 2800); got != 150 {
		t.Errorf("limit %v, want 150 W: the larger of two permits", got)
	}
	if got := PowerLimit(h, &Channel{Centre: 8.65e6, Bandwidth: 6000}, 6000); got != 50 {
		t.Errorf("limit %v, want 50 W", got)
	}
	if got := PowerLimit(h, &Channel{Centre: 8.364e6, Bandwidth: 3000}, 2800); got != 0 {
		t.Errorf("limit %v on a survival frequency, want 0", got)
	}
}

// No edge of a channel may come within 3 kHz of a frequency kept for others:
// counted here from the edges, list by list.
func TestKept(t *testing.T) {
	// Source: ITU Radio Regulations App. 15 and Art. 5, from memory, in kHz.
	for _, kHz := range []float64{2182, 2187.5, 4125, 4177.5, 4207.5, 4209.5, 6215, 6268, 6312, 6314, 8291, 8364, 8376.5, 8414.5,
		8416.5, 12290, 12520, 12577, 12579, 16420, 16695, 16804.5, 16806.5, 2500, 5000, 10000, 15000, 20000} {
		for _, bw := range []float64{0.5, 3, 24} {
			for _, side := range []float64{-1, 1} {
				near, far := kHz+side*(2.999+bw/2), kHz+side*(3+bw/2)
				reason, ok := Kept(unit.Freq(near)*unit.KHz, unit.Freq(bw)*unit.KHz)
				if ok || !strings.Contains(reason, "ITU Radio Regulations") {
					t.Errorf("%g kHz ± %g with an edge 2.999 kHz from %g is free: %q", near, bw/2, kHz, reason)
				}
				// Beyond 3 kHz this frequency is no obstacle; another of the list may be.
				if reason, ok := Kept(unit.Freq(far)*unit.KHz, unit.Freq(bw)*unit.KHz); !ok && strings.Contains(reason, " "+thousands(kHz)+" kHz, kept") {
					t.Errorf("%g kHz ± %g, 3 kHz clear of %g, is refused: %s", far, bw/2, kHz, reason)
				}
			}
		}
	}
}

func TestCheck(t *testing.T) {
	width := func(w string) (unit.Freq, bool) {
		f, ok := map[string]unit.Freq{"serial-3k": 3000, "psk-narrow": 200, "wide-6k": 6000}[w]
		return f, ok
	}
	names := []string{"psk-narrow", "serial-3k", "wide-6k"}
	for _, c := range []struct{ homeOld, homeNew, farOld, farNew, want string }{
		{`"8.815 MHz"`, `"12.8 MHz"`, `"5.25 MHz"`, `"9.25 MHz"`, ``},
		{`to = "8.815 MHz"`, `to = "12.8 MHz"`, `"12610 kHz"`, `"12580 kHz"`, "" +
			`stations.toml:22:13: station[1].channel[2].frequency: 12 580 kHz ± 1.5 kHz comes within 3 kHz of 12 577 kHz, kept for distress and safety (ITU Radio Regulations App. 15, from memory); take the channel out; no call is planned there` + "\n" +
			`stations.toml:33:13: warning: station[2].channel[1].frequency: no permit covers 5 250 kHz ± 1.5 kHz; no call is planned there`},
		{`["serial-3k", "psk-narrow"]`, `["psk-narow"]`, ``, ``, "" +
			`home.toml:9:13: transmitter.waveforms: "psk-narow" is a waveform the desk does not know; did you mean "psk-narrow"?` + "\n" +
			`stations.toml:1:3: warning: station[1]: none of the 2 channels of Cabo Lume may be called; see what is said of each` + "\n" +
			`stations.toml:15:13: warning: station[1].channel[1].waveforms: it takes serial-3k, our modem has psk-narow; no call can connect there` + "\n" +
			`stations.toml:22:13: warning: station[1].channel[2].waveforms: it takes serial-3k, our modem has psk-narow; no call can connect there` + "\n" +
			`stations.toml:33:13: warning: station[2].channel[1].waveforms: it takes serial-3k, our modem has psk-narow; no call can connect there`},
		{`power = "150 W"`, `power = "50 W"`, `12610 kHz`, `8400 kHz`, "" +
			`home.toml:54:3: warning: permit[1].power: it allows 50 W, the transmitter gives 100 W; turn the power down before a call in this segment` + "\n" +
			`stations.toml:33:13: warning: station[2].channel[1].frequency: no permit covers 5 250 kHz ± 1.5 kHz; no call is planned there`},
		{`"81 %"`, `"30 %"`, `"5.25 MHz"`, `"8.25 MHz"`, "" +
			`home.toml:30:10: warning: battery.charge: 30 % is not above the reserve, 30 %; no call will be planned until it is charged` + "\n" +
			`stations.toml:22:13: warning: station[1].channel[2].frequency: no permit covers 12 610 kHz ± 1.5 kHz; no call is planned there`},
		{`to = "8.815 MHz"`, `to = "12.8 MHz"`, "skeds = [\"00:00\", \"12:00\"]", "hours = [\"03:00-04:00\"]\nskeds = [\"03:30\"]", "" +
			`stations.toml:25:3: warning: station[2].hours: Brandt listens 03:00-04:00, when nobody is at our radio (06:00-01:00); lengthen the watch or name somebody under [[wake]]` + "\n" +
			`stations.toml:34:13: warning: station[2].channel[1].frequency: no permit covers 5 250 kHz ± 1.5 kHz; no call is planned there`},
		{`"8.815 MHz"`, `"12.8 MHz"`, `call = "QM4CL"`, `call = "QX2SM"`, "" +
			`stations.toml:1:3: station[1].call: QX2SM is our own call sign; take our own station out of the directory` + "\n" +
			`stations.toml:33:13: warning: station[2].channel[1].frequency: no permit covers 5 250 kHz ± 1.5 kHz; no call is planned there`},
		{`"38 31.2N 28 37.9W"`, `"43.001N 9.2W"`, `"5.25 MHz"`, `"8.25 MHz"`, "" +
			`stations.toml:1:3: warning: station[1].position: Cabo Lume is 111 m from home; check both positions` + "\n" +
			`stations.toml:22:13: warning: station[1].channel[2].frequency: no permit covers 12 610 kHz ± 1.5 kHz; no call is planned there`},
		{`transmit = "19 A"`, `transmit = "7 A"`, `"12610 kHz"`, `"8250 kHz"`, "" +
			`home.toml:34:12: warning: consumption.transmit: 84 W drawn while sending is less than the 100 W sent; measure the current with the carrier up` + "\n" +
			`stations.toml:33:13: warning: station[2].channel[1].frequency: no permit covers 5 250 kHz ± 1.5 kHz; no call is planned there`},
	} {
		h, err := ParseHome("home.toml", broken{old: c.homeOld, new: c.homeNew}.spoil(t, goodHome))
		if err != nil {
			t.Fatal(err)
		}
		d, err := ParseDirectory("stations.toml", broken{old: c.farOld, new: c.farNew}.spoil(t, goodStations))
		if err != nil {
			t.Fatal(err)
		}
		if got := Check(h, d, width, names).Error(); got != c.want {
			t.Errorf("%q and %q:\n got %s\nwant %s", c.homeNew, c.farNew, got, c.want)
		}
	}
	bare := DefaultHome()
	bare.Waveforms, bare.Power = []string{"serial-3k"}, 100
	faults := Check(&bare, &Directory{}, width, names)
	if len(faults) != 1 || !faults.Any(Error) || faults[0].Field != "permit" {
		t.Errorf("a home without permits: %v", faults)
	}
	if none := Check(&bare, &Directory{}, nil, nil); len(none) != 1 {
		t.Errorf("without a modem's widths: %v", none)
	}
}
