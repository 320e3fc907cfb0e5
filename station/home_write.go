package station

import (
	"strconv"

	"farhail/unit"
)

// HomeTemplate writes a home file with every key and a comment to each section, so
// that a beginner can go through it with the radio's manual at hand. What it
// writes reads back as the same home (a position to 10⁻⁶ of a degree).
func HomeTemplate(h Home) []byte {
	w := &writer{}
	w.note("The home station. Every quantity carries its unit, \"100 W\" or \"7.1 MHz\", in double quotes.",
		"All hours are UTC. Lines that begin with # are remarks. `farhail check` says what is wrong, by line.")
	w.section("station")
	w.text("name", h.Name)
	w.text("call", h.Call)
	w.key("position", quote(positionText(h.Position)), `degrees, degrees and minutes "38 31.2N 28 37.9W", or a locator "HM58qm"`)

	if h.Track != "" {
		w.text("track", h.Track)
	} else {
		w.note(`track = "passage.gpx"   a station that moves: GPX 1.1, RTZ (IEC 61174) or CSV beside this file`)
	}

	w.section("transmitter", "Power is what goes into the feeder; waveforms are what your modem can do.")
	w.text("power", powerText(h.Power))
	w.list("waveforms", h.Waveforms)

	w.section("antenna", "What hangs there, in metres above the ground under it.")
	w.antenna(h.Antenna, h.FeederLoss)

	w.section("receiver")
	w.key("noise_figure", quote(dbText(h.NoiseFigure)), "15 dB when nobody has measured it")

	w.section("noise", "Man-made noise by ITU-R P.372: city, residential, rural or quiet-rural (the open sea, a desert).",
		`If you can read it off the receiver, say so: measured = ["-105 dBm in 3 kHz at 7.1 MHz"]`,
		`or off its S-meter: "S4 in 2.4 kHz at 7.1 MHz" (S9 is -73 dBm, a unit 6 dB; few meters keep to it).`)
	w.text("environment", string(h.Noise.Environment))
	if len(h.Noise.Measured) > 0 {
		levels := make([]string, len(h.Noise.Measured))
		for i, n := range h.Noise.Measured {
			levels[i] = n.String()
		}
		w.list("measured", levels)
	}

	if h.Battery.Limited() {
		w.section("battery", "The plan never goes below the reserve. Charge is what is in it now.")
		w.text("voltage", exactly(h.Battery.Voltage, unit.ParseVoltage, scale{"V", 1}))
		w.text("capacity", exactly(h.Battery.Capacity, unit.ParseCharge, scale{"Ah", 3600}))
		w.text("reserve", shareText(h.Battery.Reserve))
		w.text("charge", shareText(h.Battery.Charge))
	} else {
		w.note("", "No battery to look after. If there is one, add:",
			"[battery]", `voltage = "12 V"`, `capacity = "100 Ah"`, `reserve = "30 %"`, `charge = "80 %"`)
	}
	w.section("consumption", `Drawn from the battery, as a power or as a current ("19 A").`,
		"Duty is the share of a call in which the carrier is up; other is everything else, day and night.")
	w.text("receive", powerText(h.Consumption.Receive))
	w.text("transmit", powerText(h.Consumption.Transmit))
	w.text("duty", shareText(h.Consumption.Duty))
	w.text("other", powerText(h.Consumption.Other))

	w.section("solar", "Panels lie flat; they give their power times the sine of the sun's height.")
	w.line("panels = " + strconv.Itoa(h.Solar.Panels))
	w.text("each", powerText(h.Solar.Each))
	if h.Generator.Power > 0 {
		w.section("generator")
		w.text("power", powerText(h.Generator.Power))
		w.list("hours", h.Generator.Hours.list())
	}

	w.section("watch", "When somebody is at the radio, UTC. A span may pass midnight.")
	w.list("hours", h.Watch.list())
	for _, k := range h.Wake {
		w.section("[wake]", "Who may be woken outside the watch, and what that costs in the measure of [prices].")
		w.text("who", k.Who)
		w.list("hours", k.Hours.list())
		w.number("price", k.Price)
	}
	w.permits(h.Permits)
	w.prices(h.Prices)
	w.bearer(h.Bearer)
	w.rules(h.Rules)
	return []byte(w.b.String())
}

func (w *writer) permits(permits []Permit) {
	w.note("", "What your licence lets you use: one [[permit]] for each segment, with the widest",
		"emission, the most power, and, if it names them, the emissions. Your licence decides;",
		"the desk only reads what you tell it here.")
	if len(permits) == 0 {
		w.note("[[permit]]", `from = "4.065 MHz"`, `to = "4.4 MHz"`, `bandwidth = "3 kHz"`, `power = "100 W"`, `emissions = ["J2D"]`)
	}
	for _, p := range permits {
		w.section("[permit]")
		w.text("from", freqText(p.From))
		w.text("to", freqText(p.To))
		w.text("bandwidth", freqText(p.Bandwidth))
		w.text("power", powerText(p.Power))
		if len(p.Emissions) > 0 {
			w.list("emissions", p.Emissions)
		}
		w.optional("note", p.Note)
	}
}

func (w *writer) prices(p Prices) {
	w.section("prices", "What the plan weighs against each other: the worth of a message by precedence, a watt-hour,",
		"somebody's sleep. A message without a deadline is worth half after the time of halving; the",
		"price of a watt-hour doubles with each such share of the capacity that is gone.")
	w.number("flash", p.Flash)
	w.number("immediate", p.Immediate)
	w.number("priority", p.Priority)
	w.number("routine", p.Routine)
	w.text("halving", durationText(p.Halving))
	w.number("energy_per_wh", p.EnergyPerWh)
	w.text("doubling", shareText(p.Doubling))
	w.number("waking", p.Waking)
}

func (w *writer) bearer(b Bearer) {
	if !b.Has() {
		w.note("", "Another way to send that never fails but costs, in the measure of [prices].", "[bearer]", `name = "satellite terminal"`, "price_per_kb = 0.5")
		return
	}
	w.section("bearer", "Another way to send that never fails but costs, in the measure of [prices].")
	w.text("name", b.Name)
	w.number("price_per_kb", b.PricePerKB)
}

func (w *writer) rules(rules []Rule) {
	w.note("", "Precedence and deadline by rule; the first that fits is taken. * stands for anything,", "and the subject need only contain the words.")
	if len(rules) == 0 {
		w.note("[[rule]]", `subject = "position"`, `precedence = "priority"`, `deadline = "3 h"`)
	}
	for _, r := range rules {
		w.section("[rule]")
		w.optional("from", r.From)
		w.optional("to", r.To)
		w.optional("subject", r.Subject)
		w.optional("precedence", r.Precedence)
		if r.Deadline > 0 {
			w.text("deadline", durationText(r.Deadline))
		}
	}
}
