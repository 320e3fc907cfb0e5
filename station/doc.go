// Package station holds who we are and whom we may call: the home station and the
// directory of far stations, read strictly from files that people write by hand.
//
// Words: home is our own station; a far station is anyone we may call; a channel
// is a far station's centre frequency with a bandwidth and the waveforms taken
// there; a permit is a segment of the spectrum our licence lets us use; a watch is
// the hours somebody is at the radio. All hours are UTC.
//
// A file is read whole or not at all. Every fault in it is collected, each as one
// sentence with the file, the line, the field, what is wrong and what to do; with
// any fault no value comes back. An unknown key is a fault, so a misspelt one can
// never be passed over. Quantities carry their unit ("80 W", "10.145 MHz"); a bare
// number is taken only for a count or a price, which have none. Sections and
// entries of a list are counted from 1 in what a fault says: permit[2].from.
//
// A file of the home station or of far stations may be TOML 1.0; far stations may
// also come as CSV, one row a channel (see ParseDirectoryCSV).
package station
