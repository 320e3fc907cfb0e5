// Package modem turns a signal-to-noise ratio into what a call will carry: the
// chance to connect, bytes in so many minutes, minutes for so many bytes.
//
// A Waveform is a ladder of levels with the rules of its ARQ. A Link is a waveform
// over one path: everything that does not depend on the SNR is settled once, the
// rest is a look-up. SNRs come as nodes with weights; results come as a Dist.
//
// Notation, used in all files:
//
//	x, snr   mean SNR in the waveform's own bandwidth, dB; mean over fast fading
//	γs       energy of a symbol over noise density, a ratio
//	p        chance that one unit (what lives or dies together: a block, or the
//	         blocks of one interleaver span) is received
//	A        chance that the acknowledgement of a transmission is received
//	U        units in a full transmission
//	C        cycle: transmission, acknowledgement, two turnarounds, two delays [s]
//	B        two-sided Doppler spread 2σ of ITU-R F.1487 [Hz]
//	out, in  data from us, judged at the far receiver; data to us, judged at ours
//
// Sources: MIL-STD-188-110D Appendix D for the serial-tone ladder, ITU-R M.625-4 for
// direct printing, ITU-R F.1487 for the channels; textbook theory for error rates,
// ARQ and scanning. All of them as in our notes; each place says how sure.
//
// What the package leaves out: interference, the time to climb the ladder after the
// link is up (the SNR is taken as exchanged while connecting), and memory of fast
// fading from one cycle to the next (F.1487 fading has none at cycles of 2 s and
// spreads of 0.5 Hz; the slow variation of the path belongs to the nodes).
package modem
