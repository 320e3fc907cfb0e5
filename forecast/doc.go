// Package forecast says what every channel promises: its prospect, for each
// quarter of an hour the chance to connect and the bytes a minute it would carry,
// both directions, as distributions.
//
// The spread of an SNR about its monthly median is split by how long it lasts. Of
// the day-to-day deciles of ITU-R P.842 half belongs to the day itself (receivers'
// own spread in reception reports: +4.7/−6.8 dB against +9.1/−13.8 of the table); the
// rest tells places and circuits apart and stays. The day's part is one unknown that
// all channels share, told in States; the rest, the noise and the sites are spread
// over Nodes inside a state. The fading within a call is in the modem's own curves.
package forecast
