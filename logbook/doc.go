// Package logbook is the station's log: what was called, what was listened for,
// what happened, and what the desk had promised beforehand.
//
// The log only grows. A wrong entry is struck by a later one that names it and
// says why; both stay. A Book is the fold of all entries in the order they were
// written, so it can be made anew from them at any time.
//
// # The line an operator types
//
// One line is one entry. Words stand in any order unless said otherwise.
//
//	line      = attempt | listening | strike
//	attempt   = outcome   { station | frequency | minutes | clock | key } [ note ]
//	listening = heard     { station | frequency | clock | key } [ note ]
//	strike    = "strike" entry { word of the reason }
//	outcome   = "connected" | "no answer" | "busy" | "broken off"
//	heard     = "heard" | "faint" | "not heard"
//	frequency = 12.6045 | 12.6045MHz | 12604.5kHz     bare numbers are MHz
//	minutes   = 9min | 90s | 1.5h
//	clock     = 17:50 | 17:50Z                        UTC, the latest such moment
//	key       = name "=" value
//	note      = "note:" everything to the end of the line
//
// Two words of one term may be joined by a hyphen ("no-answer"), a number and its
// unit may be parted by a space ("9 min"). A word with spaces in it stands in
// double quotes. A station is meant by its name, the beginning of its name if no
// other begins so, or its call sign; case, spaces and hyphens do not matter.
// Case does not matter anywhere but in units.
//
//	key       value            meaning
//	out, in   38kB             octets of traffic through, from us and to us
//	snr       12 or 12dB       what we received, the same as snr-in
//	snr-in    12dB             ratio at our receiver, reference bandwidth 3 kHz
//	snr-out   9dB              ratio the far station reported
//	power     80W              transmitter power used
//	sent      ID,ID            messages delivered, by their ids
//	wave      name             waveform, where the channel takes several
//	at        17:50 or a date  2026-11-25T17:50Z; start of the attempt
//	freq      12.61MHz         a frequency that is on no list (see below)
//	station   "Cabo Lume"      the station, where a bare word would be misread
//
// A bare frequency means the listed channel within 500 Hz of it, since dials are
// read to the kilohertz; elsewhere it is refused as a slip, and freq= records it
// all the same. What the line leaves out is filled only where there is one
// answer: the station of that channel, the only channel of that station, the call
// the plan proposed. Without at=, an attempt is taken to have ended just now.
package logbook
