// Package practice is a simulated air: a sky, noise and far stations that differ from
// what the planner believes in structure, not only in numbers, for training and for
// measuring the planner.
//
// A World holds the parameters; a Setting what the operator has and believes; a Day is
// one drawn truth, in which a call is played block by block; a Policy is somebody who
// decides the calls; Measure plays many days. Everything follows from the seed, on any
// number of cores.
//
// Where truth and belief part:
//
//	                 the planner                       the practice air
//	foF2 median      CCIR maps, field of the date      URSI maps, field of 1960 or 2025, bias by hour
//	index            as told                           off by a real IG12 difference of that age
//	day to day       one unknown in three states       patterns, episodes, waves, storms, over space
//	SNR spread       deciles of ITU-R P.842            whatever foF2, absorption and noise make of it
//	sites            a spread                          one offset each, drawn once
//	stations         a chance, afresh each quarter     hours off the air, minutes busy
//	fading           a logistic curve                  Rayleigh paths over each interleaver span
//
// Notation: x deviation of ln foF2; h hours since 00 UT of the first day; ℓ local mean
// time, running on without wrapping; μ modified dip; R12, IG12 the indices; ap, Ap the
// 3-hour index and its mean of eight. SNR in 3 kHz unless a waveform's own bandwidth is
// said.
//
// One rule is for the sake of measuring: time is cut in quarters of an hour, and a call's
// luck (fades, presence) belongs to its channel and quarter, counted from the quarter's
// beginning even when other calls came before. A channel is called once a quarter, a
// station that answered not again in it. With it the bound over all policies is proven
// (Day.Bound).
package practice
