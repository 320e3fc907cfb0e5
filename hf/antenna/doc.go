// Package antenna gives the gain of what field stations put up, by azimuth and
// elevation over flat real ground, and how much of the power is lost on the way.
//
// Everything follows from Maxwell's equations for thin straight wires with an
// assumed sinusoidal current ("antennas.md, as in our notes", computed there by
// two methods; sections are cited as §):
//
//	far field    both polarisations, each wire and its image weighted by the
//	             Fresnel coefficient of the ground (§2)
//	P_up         power through the upper half space, the integral of U (§2)
//	P_g          power the soil absorbs from wires that do not touch it, near
//	             field included, a spectral integral (§3)
//	grounded     radiation resistance over perfect ground plus the resistances
//	             of earth connection and coil (§6, §7)
//
// Notation. Station frame: azimuth is a true bearing, elevation Δ is counted from
// the horizon, both in degrees at the exported edge. Antenna frame: z up, ground
// at z = 0, all wires in the plane y = 0; φ is the azimuth from +x, counter-
// clockwise; station azimuth = Spec.Bearing − φ. Time factor e^{+jωt};
// k = 2π/λ; ε_c = ε_r − jσ/(ωε0); currents are peak values, referred to the
// current loop, I_m = 1 A. η0 = 376.730 Ω.
//
//	G = 4πU/P_in   gain: P_in is the power fed in (sending)
//	D = 4πU/P_up   directivity: for reception against noise from outside
//	D − G          10 log(P_in/P_up), the antenna circuit's loss f_c
//
// The currents are assumed, not solved for; a wire near half a wave from its open
// end to the feed has a resistance at the feed that is nominal only (powers are
// taken at the loop). The other side of an end-fed wire without earth lead, rigging,
// masts and feeders are not in the model. Small loops are not built.
//
// Limits (our judgement, not measured; §10). A dipole from 0.15 λ up ± 0.3 dB
// above 15° and ± 1 dB below, at 0.1 λ ± 0.5, at 0.05 λ ± 1.5, not below 0.04 λ.
// A vertical is as good as its earth resistance, ± 1.5 dB, a whip ± 3; a backstay
// ± 3 dB for the rigging around it. Below 5° over land nothing is to be trusted
// better than 3 dB. Nulls are filled by scatter: no gain is lower than 25 dB
// under the maximum (common practice), which also makes the gain at 0° finite;
// below 0° stands the gain of 0°.
package antenna
