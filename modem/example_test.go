package modem_test

import (
	"fmt"
	"time"

	"farhail/modem"
	"farhail/unit"
)

// A night path of 3,000 km: 9 dB for the far receiver, 6 dB for ours in the median.
func Example() {
	w, err := modem.ByName("serial-3k")
	if err != nil {
		fmt.Println(err)
		return
	}
	link := w.Over(3000*unit.Km, modem.Poor)
	nodes := modem.Both(nil, modem.SNRDist{Median: 9, Upper: 6, Lower: 9}, modem.SNRDist{Median: 6, Upper: 6, Lower: 9}, 8)

	call := modem.Scanned(5, 2*time.Second)
	var connect float64
	for _, n := range nodes {
		connect += n.Weight * link.Connect(call, n)
	}
	var bytes, minutes modem.Dist
	link.Bytes(&bytes, modem.Outward, nodes, 10*time.Minute)
	link.Minutes(&minutes, nodes, 20*unit.KB, 0, time.Hour)
	fmt.Printf("connects %.0f %% if they are there, %.0f %% else unknown\n", 100*connect, 100*connect*modem.UsualPresence.Free())
	fmt.Printf("in 10 minutes %.0f kB, 20 kB with %.0f %%\n", bytes.Mean()/1000, 100*bytes.AtLeast(20_000))
	fmt.Printf("20 kB in %.1f minutes or less on half the days\n", minutes.Quantile(0.5))
	// Output:
	// connects 98 % if they are there, 70 % else unknown
	// in 10 minutes 126 kB, 20 kB with 88 %
	// 20 kB in 1.6 minutes or less on half the days
}

// An operator's own modem, described by its ladder.
func ExampleNew() {
	_, err := modem.New(modem.Waveform{
		Name: "ours", Bandwidth: 2 * unit.KHz,
		Levels: []modem.Level{
			{Name: "safe", BitRate: 200, NeedAWGN: -2, NeedPoor: 4},
			{Name: "fast", BitRate: 1800, NeedAWGN: -3, NeedPoor: 15},
		},
	})
	fmt.Println(err)
	// Output:
	// describe waveform "ours": level 2 "fast": it is faster than the level before and yet needs less SNR: check the ladder, or leave the level before out
}
