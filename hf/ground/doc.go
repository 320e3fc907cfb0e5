// Package ground is the ground wave of a vertical antenna at 1.6–30 MHz: the field
// over a smooth round earth of one kind of ground or of several in a row, the loss
// and the received power, and what the sky wave adds to it.
//
// It follows the physics of ITU-R P.368 (and P.832 for kinds of ground), whose
// printed text and curves were not at hand: the formulas are those of our
// ground-wave notes, derived there and computed by independent methods; sections
// (§) are theirs. What they take from memory (the reference of 300 mV/m at 1 km,
// Millington's method) is marked so where it is used.
//
// Notation, time factor e^{+jωt}, square roots and arguments principal:
//
//	f [MHz], d [km] along the surface, k = 2πf·10⁶/c [rad/m]
//	ε_c = ε_r − j 17975.1036 σ/f       complex permittivity, σ [S/m]
//	Δ   = √(ε_c − 1)/ε_c               surface impedance over η0 at grazing
//	a   = κ·6371 km, κ = 4/3           effective radius (air); ν = (k a/2)^{1/3}
//	x   = ν d/a                        reduced distance
//	Q   = ν Δ e^{j30°}, X = x e^{j30°}, u = Q √X;  −u² = p, Sommerfeld's distance
//	W                                  attenuation; 1 over perfect flat ground
//	E [dBµV/m]                         field for 1 kW e.m.r.p., P [dBW] received
//
// Not in the method: terrain, forest, rough sea, layers below the surface, ducts,
// and the near field: below 1 km the value is good to ±1 dB, below 0.3 km to ±3 dB
// on dry ground.
package ground
