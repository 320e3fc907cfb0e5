package station

import (
	"errors"
	"strings"
	"testing"
)

// broken is a file with one thing spoilt in it: old, which must be there, gives way
// to new; want is every fault there must be, in order, as printed.
type broken struct{ old, new, want string }

func (b broken) spoil(t *testing.T, good string) []byte {
	t.Helper()
	if !strings.Contains(good, b.old) {
		t.Fatalf("the good file has no %q to spoil", b.old)
	}
	return []byte(strings.Replace(good, b.old, b.new, 1))
}

func (b broken) judge(t *testing.T, got any, none bool, err error) {
	t.Helper()
	var faults Faults
	switch {
	case err == nil:
		t.Errorf("%q for %q was accepted\nwant %s", b.new, b.old, b.want)
	case !errors.As(err, &faults) || !none:
		t.Errorf("%q for %q: an error of type %T with a value %v", b.new, b.old, err, got)
	case err.Error() != b.want:
		t.Errorf("%q for %q\n got %s\nwant %s", b.new, b.old, err, b.want)
	}
}

func TestBrokenHome(t *testing.T) {
	for _, b := range brokenHomes {
		h, err := ParseHome("home.toml", b.spoil(t, goodHome))
		b.judge(t, h, h == nil, err)
	}
}

func TestBrokenStations(t *testing.T) {
	for _, b := range brokenStations {
		d, err := ParseDirectory("stations.toml", b.spoil(t, goodStations))
		b.judge(t, d, d == nil, err)
	}
}

func TestBrokenCSV(t *testing.T) {
	for _, b := range brokenTables {
		d, err := ParseDirectoryCSV("stations.csv", b.spoil(t, goodCSV))
		b.judge(t, d, d == nil, err)
	}
}

var brokenHomes = []broken{
	// syntax
	{`power = "100 W"`, `power = 100 W`, `home.toml:8:13: the line cannot be read: expected newline but got 'W'; write key = "value", names and quantities in double quotes`},
	{`name = "Saltmarsh"`, `name = "Saltmarsh`, `home.toml:3:18: the line cannot be read: the quotes are not closed on the line; write key = "value", names and quantities in double quotes`},
	{`[transmitter]`, `[transmitter`, `home.toml:7:13: the line cannot be read: expected ']' to close table name; write key = "value", names and quantities in double quotes`},
	{`duty = "62 %"`, `duty`, `home.toml:35:5: the line cannot be read: expected '=' after key; write key = "value", names and quantities in double quotes`},
	{`name = "Saltmarsh"`, "name = \"Salt\xffmarsh\"", `home.toml:3:13: the line cannot be read: invalid UTF-8 character in basic string; write key = "value", names and quantities in double quotes`},
	// structure
	{`duty = "62 %"`, `dtuy = "62 %"`, `home.toml:35:1: consumption.dtuy: is an unknown key; did you mean "duty"?`},
	{`duty = "62 %"`, `wombat = "62 %"`, `home.toml:35:1: consumption.wombat: is an unknown key; choose one of receive, transmit, other, duty`},
	{`[receiver]`, `[reciever]`, `home.toml:19:2: reciever: is an unknown key; did you mean "receiver"?`},
	{`duty = "62 %"`, "duty = \"62 %\"\nduty = \"50 %\"", `home.toml:36:1: consumption.duty: written twice, first on line 35; keep one of them`},
	{`[receiver]`, "[battery]\nvoltage = \"12 V\"\n[receiver]", `home.toml:19:2: battery.capacity: is missing; add a line like capacity = "100 Ah"
home.toml:19:2: battery.reserve: is missing; add a line like reserve = "30 %"
home.toml:19:2: battery.charge: is missing; add a line like charge = "80 %"
home.toml:28:2: battery: written twice, first on line 19; keep one of them`},
	{`[[permit]]`, `[permit]`, `home.toml:54:2: permit: is a section, not a repeated section; write [[permit]] on a line of its own, once for each`},
	{"[receiver]\n", "receiver = 4\n[x]\n", `home.toml:19:1: antenna.receiver: is an unknown key; choose one of feeder_loss, kind, height, top, length, bearing, ground, earth_resistance, earth_lead, radius, tuner_loss
home.toml:20:2: x: is an unknown key; choose one of station, transmitter, antenna, receiver, noise, battery, consumption, solar, generator, watch, prices, bearer, wake, permit, rule`},
	{"[transmitter]\npower = \"100 W\"\nwaveforms = [\"serial-3k\", \"psk-narrow\"]\n", "", `home.toml:1:1: transmitter: the section is missing; add [transmitter] with power and waveforms`},
	{`call = "QX2SM"`, ``, `home.toml:2:2: station.call: is missing; add a line like call = "QX2SM"`},
	// station
	{`"38 31.2N 28 37.9W"`, `"91N 28 37.9W"`, `home.toml:5:12: station.position: latitude of 91°N is out of range; give 90°S to 90°N`},
	{`"38 31.2N 28 37.9W"`, `"38 31.2N 181W"`, `home.toml:5:12: station.position: longitude of 181°W is out of range; give 180°W to 180°E`},
	{`"38 31.2N 28 37.9W"`, `"38 31.2N"`, `home.toml:5:12: station.position: "38 31.2N" is not a position: one of its two numbers is missing; write it like "38 31.2N 28 37.9W", "38.5, -28.6" or a locator "HM58qm"`},
	{`"38 31.2N 28 37.9W"`, `38.5`, `home.toml:5:12: station.position: "38.5" is not a position: it has 1 part and neither letters nor a comma to tell latitude from longitude; write it like "38 31.2N 28 37.9W", "38.5, -28.6" or a locator "HM58qm"`},
	{`name = "Saltmarsh"`, `name = ""`, `home.toml:3:8: station.name: is empty; write one line like "Saltmarsh"`},
	{`name = "Saltmarsh"`, `name = "…"`, `home.toml:3:8: station.name: "…" has neither letter nor figure; write a name like "Saltmarsh"`},
	{`name = "Saltmarsh"`, `name = "Salt\nmarsh"`, `home.toml:3:8: station.name: has characters that cannot be shown; write one line like "Saltmarsh"`},
	{`call = "QX2SM"`, `call = "QX 2SM"`, `home.toml:4:8: station.call: "QX 2SM" is not a call sign; write letters and figures like "QX2SM"`},
	{`call = "QX2SM"`, `call = 2`, `home.toml:4:8: station.call: 2 is a bare number; write it in quotes like "QX2SM"`},
	// quantities
	{`power = "100 W"`, `power = 100`, `home.toml:8:9: transmitter.power: 100 has no unit; write a power like "100 W" (W, mW, kW)`},
	{`power = "100 W"`, `power = "100"`, `home.toml:8:9: transmitter.power: 100 has no unit; write a power like "100 W" (W, mW, kW)`},
	{`power = "100 W"`, `power = "100 m"`, `home.toml:8:9: transmitter.power: "100 m" is not a power; write it like "100 W" (W, mW, kW)`},
	{`power = "100 W"`, `power = "-5 W"`, `home.toml:8:9: transmitter.power: "-5 W" is out of range; give 0.1 W to 20 kW`},
	{`power = "100 W"`, `power = "100 kW"`, `home.toml:8:9: transmitter.power: "100 kW" is out of range; give 0.1 W to 20 kW`},
	{`power = "100 W"`, `power = ["100 W"]`, `home.toml:8:9: transmitter.power: is a list; write one value in quotes like "100 W"`},
	{`charge = "81 %"`, `charge = "181 %"`, `home.toml:30:10: battery.charge: "181 %" is out of range; give 0 % to 100 %`},
	{`charge = "81 %"`, `charge = 81`, `home.toml:30:10: battery.charge: 81 has no unit; write a share like "80 %" (%)`},
	{`reserve = "30 %"`, `reserve = "100 %"`, `home.toml:29:11: battery.reserve: "100 %" is out of range; give 0 % to 95 %, most give 30 % to 50 %`},
	{`voltage = "12 V"`, `voltage = "12 A"`, `home.toml:27:11: battery.voltage: "12 A" is not a voltage; write it like "12 V" (V, mV)`},
	{`transmit = "19 A"`, `transmit = "19 Ah"`, `home.toml:34:12: consumption.transmit: "19 Ah" is not a consumption; write it like "19 A" (A, mA, W, kW)`},
	{`transmit = "19 A"`, `transmit = "-19 A"`, `home.toml:34:12: consumption.transmit: "-19 A" is out of range; give 0 W to 20 kW, or the current at the battery's voltage`},
	{`panels = 2`, `panels = "2"`, `home.toml:39:10: solar.panels: is "2", not a bare number; write it without quotes and unit like panels = 2`},
	{`panels = 2`, `panels = 2.5`, `home.toml:39:10: solar.panels: 2.5 is not a whole number; count the panels`},
	{`panels = 2`, `panels = -2`, `home.toml:39:10: solar.panels: -2 is out of range; give 0 to 1000`},
	{`noise_figure = "15 dB"`, `noise_figure = "15"`, `home.toml:20:16: receiver.noise_figure: 15 has no unit; write a ratio like "15 dB" (dB, dBi)`},
	{`"quiet-rural"`, `"quiet rural"`, `home.toml:23:15: noise.environment: "quiet rural" is not known here; did you mean "quiet-rural"?`},
	{`"-105 dBm in 3 kHz at 7.1 MHz"`, `"-105 dBm"`, `home.toml:24:13: noise.measured: "-105 dBm" is not a noise level; write it like "-105 dBm in 3 kHz at 7.1 MHz" or, off the S-meter, "S4 in 2.4 kHz at 7.1 MHz" or "S9 +10 dB in 2.4 kHz"`},
	{`"-105 dBm in 3 kHz at 7.1 MHz"`, `"S7"`, `home.toml:24:13: noise.measured: "S7" is not a noise level; write it like "-105 dBm in 3 kHz at 7.1 MHz" or, off the S-meter, "S4 in 2.4 kHz at 7.1 MHz" or "S9 +10 dB in 2.4 kHz"`},
	{`"-105 dBm in 3 kHz at 7.1 MHz"`, `"S7 +10 dB in 3 kHz"`, `home.toml:24:13: noise.measured: "S7 +10 dB in 3 kHz" is not a noise level; write it like "-105 dBm in 3 kHz at 7.1 MHz" or, off the S-meter, "S4 in 2.4 kHz at 7.1 MHz" or "S9 +10 dB in 2.4 kHz"`},
	{`"-105 dBm in 3 kHz at 7.1 MHz"`, `"S12 in 3 kHz"`, `home.toml:24:13: noise.measured: "S12 in 3 kHz" is not a noise level; write it like "-105 dBm in 3 kHz at 7.1 MHz" or, off the S-meter, "S4 in 2.4 kHz at 7.1 MHz" or "S9 +10 dB in 2.4 kHz"`},
	{`"-105 dBm in 3 kHz at 7.1 MHz"`, `"-105 dBm in 3 kHz at 71 MHz"`, `home.toml:24:13: noise.measured: "-105 dBm in 3 kHz at 71 MHz" is out of range; give -200 dBm to 0 dBm in 10 Hz to 48 kHz, at 1.6 MHz to 30 MHz`},
	// antenna
	{`kind = "wire"`, `kind = "kite"`, `home.toml:12:8: antenna.kind: "kite" is not known here; choose one of isotropic, vertical, whip, dipole, inverted-v, wire, table`},
	{`kind = "wire"`, `kind = "dipole"`, `home.toml:14:1: antenna.top: does not belong to the kind "dipole"; it has height, length, design, bearing, ground, radius, tuner_loss and feeder_loss`},
	{`length = "12.5 m"`, `length = "8 m"`, `home.toml:15:10: antenna.length: the ends are 11 m apart in height, the wire is 8 m long; measure again, the wire goes straight from end to end`},
	{`height = "3 m"`, `height = "0 m"`, `home.toml:13:10: antenna.height: "0 m" is out of range; give 0.1 m to 200 m`},
	{`ground = "sea"`, `ground = "salt"`, `home.toml:16:10: antenna.ground: "salt" is not known here; choose one of sea, low-salinity-sea, good-land, wet, average, fresh-water, medium-dry, dry, very-dry, ice`},
	// hours
	{`["06:00-10:00", "16:00-01:00"]`, `["06:00-06:00"]`, `home.toml:47:10: watch.hours: "06:00-06:00" lasts no time; for the whole day write "00:00-24:00"`},
	{`["06:00-10:00", "16:00-01:00"]`, `["06:00-10:00", "09:00-12:00"]`, `home.toml:47:25: watch.hours[2]: "09:00-12:00" overlaps another span of the list; write each hour once`},
	{`["06:00-10:00", "16:00-01:00"]`, `["6-10"]`, `home.toml:47:10: watch.hours: "6-10" is not a span of hours; write it in UTC like "06:00-22:00"`},
	{`["06:00-10:00", "16:00-01:00"]`, `["06:00-25:00"]`, `home.toml:47:10: watch.hours: "06:00-25:00" is not a span of hours; write it in UTC like "06:00-22:00"`},
	{`["06:00-10:00", "16:00-01:00"]`, `[]`, `home.toml:47:9: watch.hours: is an empty list; write ["06:00-22:00"]`},
	{`["06:00-10:00", "16:00-01:00"]`, `[6, 10]`, `home.toml:47:10: watch.hours[1]: is a bare number, not a text in quotes; write ["06:00-22:00"]
home.toml:47:13: watch.hours[2]: is a bare number, not a text in quotes; write ["06:00-22:00"]`},
	{`["06:00-10:00", "16:00-01:00"]`, `06:00`, `home.toml:47:9: watch.hours: is a date or time without quotes, not a list; write ["06:00-22:00"]`},
	{`["10:00-16:00"]`, `["10:00-17:00"]`, `home.toml:51:9: wake[1].hours: 10:00-17:00 overlaps the watch, 06:00-10:00, 16:00-01:00; nobody needs waking in watch hours; give the others`},
	{"hours = [\"06:00-10:00\", \"16:00-01:00\"]\n\n[[wake]]\nwho = \"the mate\"\nhours = [\"10:00-16:00\"]", "hours = [\"00:00-24:00\"]\n[[wake]]\nwho = \"the mate\"", `home.toml:48:3: wake[1]: the watch is the whole day already; shorten [watch] hours or take this away`},
	// permits
	{`from = "8.195 MHz"`, `from = "31 MHz"`, `home.toml:55:8: permit[1].from: "31 MHz" is out of range; give 1.6 MHz to 30 MHz`},
	{`from = "8.195 MHz"`, `from = "8.9 MHz"`, `home.toml:56:6: permit[1].to: 8.815 MHz is not above from, 8.9 MHz; give the lower end first`},
	{`from = "8.195 MHz"`, `from = 8.195`, `home.toml:55:8: permit[1].from: 8.195 has no unit; write a frequency like "10.145 MHz" (Hz, kHz, MHz)`},
	{"bandwidth = \"3 kHz\"\npower = \"150 W\"", "bandwidth = \"700 kHz\"\npower = \"150 W\"", `home.toml:57:13: permit[1].bandwidth: "700 kHz" is out of range; give 50 Hz to 48 kHz`},
	{"to = \"8.815 MHz\"\nbandwidth = \"3 kHz\"", "to = \"8.196 MHz\"\nbandwidth = \"3 kHz\"", `home.toml:57:13: permit[1].bandwidth: 3 kHz is more than the whole segment, 1 kHz; give the widest emission that the permit allows`},
	{`["2K80J2D"]`, `["voice"]`, `home.toml:59:14: permit[1].emissions: "voice" is not an emission; write its designator like "2K80J2D" or its class like "J2D"`},
	// prices and rules
	{`flash = 64`, `flash = "64"`, `home.toml:62:9: prices.flash: is "64", not a bare number; write it without quotes and unit like flash = 64`},
	{`flash = 64`, `flash = 2`, `home.toml:61:2: prices: the worths do not rise from routine to flash: 1, 4, 16, 2; give a higher precedence at least the worth of a lower one`},
	{`flash = 64`, `flash = -1`, `home.toml:62:9: prices.flash: -1 is out of range; give 0 to 1000000`},
	{`halving = "48 h"`, `halving = 48`, `home.toml:63:11: prices.halving: 48 has no unit; write a time span like "24 h" (s, min, h, d, ms)`},
	{`precedence = "priority"`, `precedence = "urgent"`, `home.toml:67:14: rule[1].precedence: "urgent" is not known here; choose one of flash, immediate, priority, routine`},
	{`subject = "position"`, ``, `home.toml:65:3: rule[1]: says of no message that it fits; add from, to or subject, like subject = "position"`},
	{"precedence = \"priority\"\ndeadline = \"6 h\"", ``, `home.toml:65:3: rule[1]: gives a message nothing; add precedence = "priority" or deadline = "24 h"`},
	{`["serial-3k", "psk-narrow"]`, `["serial-3k", "serial-3k"]`, `home.toml:9:27: transmitter.waveforms: "serial-3k" is listed twice; keep one of them`},
	{`["serial-3k", "psk-narrow"]`, `["Serial 3k"]`, `home.toml:9:14: transmitter.waveforms: "Serial 3k" is not the name of a waveform; names have small letters, figures and hyphens, like "serial-3k"`},
	// two at once
	{"power = \"100 W\"\nwaveforms = [\"serial-3k\", \"psk-narrow\"]", "power = 100\nwaveforms = []", `home.toml:8:9: transmitter.power: 100 has no unit; write a power like "100 W" (W, mW, kW)
home.toml:9:13: transmitter.waveforms: is an empty list; write ["serial-3k"]`},
}

var brokenStations = []broken{
	{`position = "43.0N 9.2W"`, `position = "91N 9.2W"`, `stations.toml:4:12: station[1].position: latitude of 91°N is out of range; give 90°S to 90°N`},
	{`position = "43.0N 9.2W"`, ``, `stations.toml:1:3: station[1].position: is missing; add a line like position = "38 31.2N 28 37.9W"`},
	{`frequency = "8.37 MHz"`, `frequency = "1.5 MHz"`, `stations.toml:15:13: station[1].channel[1].frequency: "1.5 MHz" is out of range; give 1.6 MHz to 30 MHz`},
	{`frequency = "8.37 MHz"`, `frequency = "30.1 MHz"`, `stations.toml:15:13: station[1].channel[1].frequency: "30.1 MHz" is out of range; give 1.6 MHz to 30 MHz`},
	{`frequency = "8.37 MHz"`, `frequency = "29.9995 MHz"`, `stations.toml:15:13: station[1].channel[1].frequency: an edge of 29 999.5 kHz ± 1.5 kHz lies outside 1.6 to 30 MHz; give the centre of the emission`},
	{`frequency = "8.37 MHz"`, `frequency = 8.37`, `stations.toml:15:13: station[1].channel[1].frequency: 8.37 has no unit; write a frequency like "10.145 MHz" (Hz, kHz, MHz)`},
	{`frequency = "8.37 MHz"`, `frequency = "8.37"`, `stations.toml:15:13: station[1].channel[1].frequency: 8.37 has no unit; write a frequency like "10.145 MHz" (Hz, kHz, MHz)`},
	{`frequency = "8.37 MHz"`, `frequency = "8.37 m"`, `stations.toml:15:13: station[1].channel[1].frequency: "8.37 m" is not a frequency; write it like "10.145 MHz" (Hz, kHz, MHz)`},
	{`frequency = "8.37 MHz"`, `frequency = "-8.37 MHz"`, `stations.toml:15:13: station[1].channel[1].frequency: "-8.37 MHz" is out of range; give 1.6 MHz to 30 MHz`},
	{`frequency = "12610 kHz"`, `frequency = "8370 kHz"`, `stations.toml:22:13: station[1].channel[2].frequency: 8 370 kHz is already the channel of line 15; give each channel once, with all its waveforms`},
	{`bandwidth = "3 kHz"`, `bandwidth = "3 MHz"`, `stations.toml:16:13: station[1].channel[1].bandwidth: "3 MHz" is out of range; give 50 Hz to 48 kHz`},
	{`bandwidth = "3 kHz"`, `bandwith = "3 kHz"`, `stations.toml:16:1: station[1].channel[1].bandwith: is an unknown key; did you mean "bandwidth"?`},
	{`emission = "2K80J2D"`, `emission = "2K80"`, `stations.toml:18:12: station[1].channel[1].emission: "2K80" is not an emission; write its designator like "2K80J2D" or its class like "J2D"`},
	{`name = "Brandt"`, `name = "cabo lume"`, `stations.toml:26:8: station[2].name: "cabo lume" is already the station of line 1; give each station once, all its channels under it`},
	{`name = "Brandt"`, "name = \"Brandt\"\ncall = \"qm4cl\"", `stations.toml:27:8: station[2].call: "QM4CL" is already the station of line 1; give each station once, all its channels under it`},
	{`name = "Brandt"`, ``, `stations.toml:25:3: station[2].name: is missing; add a line like name = "Saltmarsh"`},
	{`dwell = "2 s"`, `dwell = "2 min"`, `stations.toml:6:9: station[1].dwell: "2 min" is out of range; give 0.1 s to 60 s`},
	{`power = "500 W"`, `power = "0 W"`, `stations.toml:7:9: station[1].power: "0 W" is out of range; give 0.1 W to 20 kW`},
	{`noise = "residential"`, `noise = "suburban"`, `stations.toml:9:9: station[1].noise: "suburban" is not known here; choose one of city, residential, rural, quiet-rural`},
	{`carries = ["*"]`, `carries = []`, `stations.toml:10:11: station[1].carries: is an empty list; write ["*"]`},
	{`kind = "vertical"`, `kind = "vertical", height = "9 m"`, `stations.toml:8:32: station[1].antenna.height: does not belong to the kind "vertical"; it has length, design, ground, earth_resistance, radius, tuner_loss and feeder_loss`},
	{`skeds = ["00:00", "12:00"]`, `skeds = ["00:00", "24:00"]`, `stations.toml:28:19: station[2].skeds[2]: "24:00" is not a time of day; write it in UTC like "12:00"`},
	{`skeds = ["00:00", "12:00"]`, `skeds = ["12:00", "12:00"]`, `stations.toml:28:19: station[2].skeds[2]: "12:00" is listed twice; keep one of them`},
	{`skeds = ["00:00", "12:00"]`, ``, `stations.toml:29:15: station[2].sked_margin: there are no skeds to which it belongs; add skeds = ["00:00", "12:00"] or take it away`},
	{`skeds = ["00:00", "12:00"]`, "skeds = [\"00:00\", \"12:00\"]\nhours = [\"06:00-10:00\"]", `stations.toml:28:9: station[2].skeds: none of them lies in the station's hours, 06:00-10:00; change hours or skeds`},
	{`sked_margin = "30 min"`, `sked_margin = "30 s"`, `stations.toml:29:15: station[2].sked_margin: "30 s" is not a whole number of minutes; write it like "30 min"`},
	{`hours = ["06:00-22:00"]`, `hours = "06:00"`, `stations.toml:19:9: station[1].channel[1].hours: "06:00" is not a span of hours; write it in UTC like "06:00-22:00"`},
	{"\n[[station.channel]]\nfrequency = \"5.25 MHz\"\nwaveforms = [\"serial-3k\"]\n", "", `stations.toml:25:3: station[2]: has no channel; add [[station.channel]] with frequency, bandwidth and waveforms`},
	{`waveforms = ["serial-3k"]`, ``, `stations.toml:14:11: station[1].channel[1].waveforms: is missing; add a line like waveforms = ["serial-3k"]`},
	{`language = "pt"`, `power = "400 W"`, `stations.toml:11:1: station[1].power: written twice, first on line 7; keep one of them`},
	{`[[station]]`, `[[stations]]`, `stations.toml:1:3: stations: is an unknown key; did you mean "station"?
stations.toml:14:3: station: is a section, not a repeated section; write [[station]] on a line of its own, once for each
stations.toml:25:3: station: written twice, first on line 14; keep one of them`},
	{goodStations, `# nothing`, `stations.toml: station: there is no station in the file; add [[station]] with name, position and channels`},
}

var brokenTables = []broken{
	{`frequency,bandwidth`, `frequency,bandwith`, `stations.csv:1:132: "bandwith" is an unknown column; did you mean "bandwidth"?`},
	{`frequency,bandwidth`, `centre,bandwidth`, `stations.csv:1:1: the column "frequency" is missing; the first row must name it
stations.csv:1:122: "centre" is an unknown column; choose one of name, call, position, hours, skeds, sked_margin, dwell, power, antenna, antenna_height, antenna_length, antenna_top, antenna_apex, antenna_design, antenna_bearing, antenna_ground, antenna_earth_resistance, antenna_earth_lead, antenna_coil_q, antenna_tuner_loss, feeder_loss, noise, carries, language, note, frequency, bandwidth, waveforms, emission, channel_hours`},
	{`language,note`, `language,language`, `stations.csv:1:117: the column "language" is there twice; keep one of them`},
	{`8.37 MHz`, `8.37`, `stations.csv:2:102: station[1].channel[1].frequency: 8.37 has no unit; write a frequency like "10.145 MHz" (Hz, kHz, MHz)`},
	{`8.37 MHz`, `31 MHz`, `stations.csv:2:102: station[1].channel[1].frequency: "31 MHz" is out of range; give 1.6 MHz to 30 MHz`},
	{`43.0N 9.2W`, `43.0N`, `stations.csv:2:17: station[1].position: "43.0N" is not a position: one of its two numbers is missing; write it like "38 31.2N 28 37.9W", "38.5, -28.6" or a locator "HM58qm"`},
	{`Cabo Lume,,,`, `Cabo Lume,QM4CX,,`, `stations.csv:3:11: call: "QM4CX" is not what line 2 says of Cabo Lume; leave the cell empty or write the same`},
	{`Cabo Lume,,,,,,`, `Cabo Lume,,,,12:00,,`, `stations.csv:3:14: skeds: "12:00" is said only here, not in the first row of Cabo Lume; write it in the station's first row`},
	{`Cabo Lume,,,`, `,,,`, `stations.csv:3:1: name: is empty; every row names its station`},
	{`Cabo Lume,,,`, `Cabo Lume,,`, `stations.csv:3:1: the row has 19 cells, the first row 20; give every column a cell, an empty one where there is nothing to say`},
	{`answers quickly`, `"answers" quickly`, `stations.csv:2:94: the row cannot be read: extraneous or missing " in quoted-field; put a cell that has quotes or commas in it in double quotes, and double those inside`},
	{goodCSV[strings.IndexByte(goodCSV, '\n'):], ``, `stations.csv: station: there is no station in the file; add a row for each channel below the first`},
	{goodCSV, ``, `stations.csv: the file is empty; begin with a row that names the columns: name,position,frequency,waveforms`},
}
