package antenna

import (
	"fmt"
	"math"

	"farhail/unit"
)

// Pattern is an antenna solved at one frequency. It is not changed by its methods
// and may be read from many goroutines.
type Pattern struct {
	kind       Kind
	f          unit.Freq
	bearingDeg float64

	dB    decibels
	w     wires
	g     grid  // 4πU/P_in
	table curve // Kind Table in place of g

	floor, top float64 // least and greatest gain, ratios; the least is 25 dB under the greatest
	lossDB     float64 // 10 log(P_in/P_up)
	pin        float64 // W, for I_m = 1 A
	loopOhm    float64
	feedOhm    float64
	z          complex128 // at the feed, without tuner; NaN: not known
	notes      []string
}

// nullFloorDB is how far nulls lie under the maximum at most: scatter fills them.
// Common practice (§10).
const nullFloorDB = 25

// Solve computes the pattern of an antenna at a frequency: once per antenna,
// frequency and ground; a few tenths of a millisecond for a wire of half a wave,
// 10 ms for one of six waves.
//
//	P_in = [ P_up + P_g + ½ ∫R' I² dl ] · tuner                     not grounded
//	P_in = [ P_perfect + ½ I_0² (R_g + R_c) + ½ ∫R' I² dl ] · tuner  grounded
//
// P_perfect is the power radiated over a perfect conductor. Source: §1, §3, §6, §7;
// all powers are taken for I_m = 1 A at the current loop, so nothing grows without
// bound where the feed current vanishes (kl = π).
// Departs: for a wire on an earth lead P_up + P_g of the wire alone stands in place
// of P_perfect where it is more: over land a low wire warms the soil beneath it, and
// P_perfect, meant for a backstay over the sea, knows nothing of that.
// Domain:   1.6…30 MHz, antennas up to ten wavelengths long and high.
// Accuracy: of the powers, 0.01 dB (measured, see docs/accuracy.md).
func Solve(s Spec, f unit.Freq) (*Pattern, error) {
	if err := s.Check(); err != nil {
		return nil, fmt.Errorf("solve antenna: %w", err)
	}
	if err := unit.Check("frequency", f.MHz(), loFreqMHz, hiFreqMHz, "MHz"); err != nil {
		return nil, fmt.Errorf("solve antenna: %w", err)
	}
	p := &Pattern{kind: s.Kind, f: f, dB: decibels{dbStep()}, bearingDeg: s.Bearing.Deg(), feedOhm: math.NaN(), loopOhm: math.NaN(), z: complex(math.NaN(), math.NaN())}
	switch s.Kind {
	case Isotropic:
		p.floor, p.top = 1, 1
		return p, nil
	case Table:
		p.solveTable(s.Rows, s.TunerLoss)
		return p, nil
	}
	s = s.defaults()
	w, err := layout(s, f)
	if err != nil {
		return nil, fmt.Errorf("solve antenna at %.4g MHz: %w", f.MHz(), err)
	}
	p.w = w
	p.solveWires(s, 1)
	return p, nil
}

// solveWires fills in a pattern from its wires. scale multiplies the number of
// nodes of every quadrature; 1 but in tests of accuracy.
func (p *Pattern) solveWires(s Spec, scale float64) {
	w := &p.w
	g, up, perfect := w.sample(scale)
	antenna := up
	if above, any := w.aboveGround(); any {
		antenna += above.intoGround(scale)
	}
	if w.grounded {
		antenna = math.Max(antenna, perfect)
	}
	if s.Radius > 0 {
		for i := range w.n {
			antenna += wireOhmPerM(s, p.f) * w.arms[i].current2(w.k) / 2
		}
	}
	if w.grounded {
		antenna += w.feedI * w.feedI * s.EarthOhm / 2
	}
	if s.Kind == Whip {
		antenna += coilLoopOhm(s, w.k) / 2
	}
	p.loopOhm = 2 * antenna
	p.feedOhm = p.loopOhm / (w.feedI * w.feedI)
	p.z = complex(p.feedOhm, feedReactance(s, p.f))

	p.pin = antenna * s.TunerLoss.Ratio()
	p.lossDB = 10 * math.Log10(p.pin/up)
	p.g = g
	for i := range p.g.u {
		p.g.u[i] *= 4 * math.Pi / p.pin
	}
	for _, u := range p.g.u {
		p.top = math.Max(p.top, u)
	}
	p.floor = p.top * unit.DB(-nullFloorDB).Ratio()
	p.notes = p.remarks(s)
}

// solveTable takes the operator's figures as they stand, nulls and all.
func (p *Pattern) solveTable(rows []TableRow, tuner unit.DB) {
	c, inside := curveAt(rows, p.f)
	for i := range c.dBi {
		c.dBi[i] -= float64(tuner)
	}
	p.table = c
	p.top = unit.DB(c.max(0, 90)).Ratio()
	p.lossDB = -10 * math.Log10(c.share())
	if !inside {
		p.notes = append(p.notes, fmt.Sprintf("the antenna table has no figures at %.4g MHz: the nearest frequency is used", p.f.MHz()))
	}
	if p.lossDB < 0 {
		p.notes = append(p.notes, "the antenna table holds for its best bearing only: its loss for reception is taken as 0 dB")
		p.lossDB = 0
	}
}

// remarks says what an operator should know of the figures.
func (p *Pattern) remarks(s Spec) (notes []string) {
	w := &p.w
	λ := c0 / p.f.MHz()
	if !w.grounded && w.lowest < 0.04*λ {
		notes = append(notes, fmt.Sprintf("lowest point at %.1f m is below 0.04 wavelengths: the model is unsafe there", w.lowest))
	}
	if s.Kind == Wire && !s.EarthLead {
		notes = append(notes, "no earth lead: the loss of the wire's other side (counterpoise, hull) is not counted")
	}
	swr := SWR(Reflection(p.z, lineOhm))
	tuned := fmt.Sprintf("tuner loss only is counted (%.1f dB)", float64(s.TunerLoss))
	switch {
	case math.Abs(w.feedI) < 0.1:
		notes = append(notes, "fed at a current node, high voltage: "+tuned)
	case s.Kind == Wire:
		notes = append(notes, "fed through a tuner: "+tuned)
	case math.IsNaN(swr) || swr < 3:
	case math.Abs(imag(p.z)) > real(p.z):
		notes = append(notes, fmt.Sprintf("off resonance, about SWR %.0f in 50 ohm: %s", swr, tuned))
	default:
		notes = append(notes, fmt.Sprintf("mismatched, about SWR %.0f in 50 ohm: %s", swr, tuned))
	}
	return notes
}
