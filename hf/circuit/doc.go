// Package circuit predicts one HF circuit by sky wave after ITU-R P.533: which modes
// arrive, how strong, against which noise, how often.
//
// Notation, as in the Recommendation: D path length; n hops, d = D/n hop length, ψ =
// d/2R0 half of it as an arc; T, R terminals, M the midpoint, P = T + d0/2 and Q =
// R − d0/2 the reflection points of the lowest-order mode's end hops, A = T + 1000 and B
// = R − 1000 km; fb basic MUF of a mode, fs its E-layer screening frequency; Δ
// elevation, i incidence at 110 km, p′ virtual slant range; foF2, foE, M(3000)F2,
// fH gyrofrequency; E field strength, dB(µV/m); losses L in dB. R12 drives every
// formula but the maps, which IG12 may drive. Longitude positive east, UT in hours.
//
// Where the Recommendation leaves a choice, a Reading makes it, in one place. Beside the
// readings stands one option, Options.SporadicE, off unless asked for: modes by sporadic E,
// which the Recommendation has not, as a bonus with a stated chance (es.go).
//
// The work is cut where its inputs change: a Sky once a day and index, a Path once a
// circuit, an Hour once a path and hour, a Prediction for each frequency. Batch, which
// is for programs beside this one, runs them all without allocation; results do not depend on how many cores share the work.
//
// Not certified as conforming to anything: "after P.533", from notes, with the
// graphs of absorption replaced by a published formula (docs/sources.md).
package circuit
