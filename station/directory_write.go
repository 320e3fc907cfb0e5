package station

// DirectoryTemplate writes far stations with every key that they set, and for an
// empty directory a station in remarks to copy from. What it writes of one that is
// not empty reads back as the same directory.
func DirectoryTemplate(d Directory) []byte {
	w := &writer{}
	w.note("Far stations: whom we may call. Each [[station]] has its channels below it; the frequency is",
		"the centre of the emission, not what the dial of a single-sideband radio shows. All hours are UTC.")
	if len(d.Stations) == 0 {
		w.note("", "[[station]]", `name = "Merrow Head"`, `call = "QM5MH"`, `position = "52.1N 10.3W"`, `hours = ["06:00-22:00"]`,
			`power = "500 W"`, `noise = "residential"`, `carries = ["*"]`, "",
			"[[station.channel]]", `frequency = "8.43 MHz"`, `bandwidth = "3 kHz"`, `waveforms = ["serial-3k"]`)
	}
	for i := range d.Stations {
		w.station(&d.Stations[i])
	}
	return []byte(w.b.String())
}

func (w *writer) station(s *Station) {
	w.section("[station]")
	w.text("name", s.Name)
	w.optional("call", s.Call)
	w.text("position", positionText(s.Position))
	w.list("hours", s.Hours.list())
	if len(s.Skeds) > 0 {
		at := make([]string, len(s.Skeds))
		for i, m := range s.Skeds {
			at[i] = clock(m)
		}
		w.list("skeds", at)
		w.text("sked_margin", durationText(s.SkedMargin))
	}
	w.text("dwell", durationText(s.Dwell))
	w.text("power", powerText(s.Power))
	w.text("noise", string(s.Noise))
	w.list("carries", s.Carries)
	w.optional("language", s.Language)
	w.optional("note", s.Note)
	w.section("station.antenna")
	w.antenna(s.Antenna, s.FeederLoss)
	for _, c := range s.Channels {
		w.section("[station.channel]")
		w.text("frequency", freqText(c.Centre))
		w.text("bandwidth", freqText(c.Bandwidth))
		w.list("waveforms", c.Waveforms)
		w.optional("emission", c.Emission)
		if c.Hours.Minutes() < dayMin {
			w.list("hours", c.Hours.list())
		}
	}
}
