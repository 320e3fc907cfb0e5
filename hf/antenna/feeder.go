package antenna

import (
	"math"
	"math/cmplx"

	"farhail/unit"
)

// Reflection returns the reflection coefficient of a load on a line.
//
//	Γ = (Z − Z_0)/(Z + Z_0)      Source: §9.
func Reflection(z complex128, z0Ohm float64) complex128 {
	return (z - complex(z0Ohm, 0)) / (z + complex(z0Ohm, 0))
}

// SWR returns the standing wave ratio of a reflection coefficient; +Inf at |Γ| ≥ 1.
func SWR(Γ complex128) float64 {
	g := cmplx.Abs(Γ)
	if g >= 1 {
		return math.Inf(1)
	}
	return (1 + g) / (1 - g)
}

// lineOhm is the impedance of line and transmitter that matches are stated for.
const lineOhm = 50

// Match says how the antenna fits a line and transmitter of 50 ohm without a tuner: the
// standing wave ratio and the loss of the mismatch. ok as for Impedance.
func (p *Pattern) Match() (swr float64, loss unit.DB, ok bool) {
	if _, ok := p.Impedance(); !ok {
		return math.NaN(), 0, false
	}
	Γ := Reflection(p.z, lineOhm)
	return SWR(Γ), MismatchLoss(Γ), true
}

// LineLoss returns what a line of 50 ohm between transmitter and antenna loses, that loses
// so much when matched. ok as for Impedance.
func (p *Pattern) LineLoss(matched unit.DB) (total unit.DB, ok bool) {
	if _, ok := p.Impedance(); !ok {
		return 0, false
	}
	return FeederLoss(matched, Reflection(p.z, lineOhm)), true
}

// MismatchLoss returns the loss of a transmitter that is fitted to the line, not to
// the antenna, and has no tuner.
//
//	−10 log(1 − |Γ|²)      Source: §9.
func MismatchLoss(Γ complex128) unit.DB {
	return unit.RatioDB(1 / (1 - abs2(Γ)))
}

// FeederLoss returns the total loss of a line whose matched loss is A, with the
// reflection Γ at the antenna's end and a match at the transmitter's.
//
//	10 log[ (a² − |Γ|²)/(a(1 − |Γ|²)) ],   a = 10^{A/10}
//
// Source: §9 (from memory high). Check there: SWR 10, A = 1 dB: 3.42 dB.
func FeederLoss(matched unit.DB, Γ complex128) unit.DB {
	a, g2 := matched.Ratio(), abs2(Γ)
	return unit.RatioDB((a*a - g2) / (a * (1 - g2)))
}
