package antenna

import (
	"math"

	"farhail/unit"
)

// GainDBi returns the power gain in dBi towards a true bearing and an elevation,
// in degrees, with all losses in.
//
// Domain:   any azimuth; below 0° the value of 0°, above 90° that of 90°; NaN gives NaN.
// Accuracy: interpolated; from the formulas 0.002 dB rms, a few tenths at most beside
// filled nulls (measured, see docs/accuracy.md).
func (p *Pattern) GainDBi(azDeg, elDeg float64) float64 {
	φ := p.bearingDeg - azDeg
	if φ-φ != 0 || elDeg != elDeg {
		return math.NaN()
	}
	elDeg = min(max(elDeg, 0), 90)
	switch {
	case p.table.elDeg != nil:
		return p.table.at(elDeg)
	case p.g.u == nil:
		return 0
	}
	return p.dB.of(max(p.g.lookup(φ, elDeg), p.floor))
}

// DirectivityDBi is the gain without the losses, 4πU/P_up: what counts against
// noise from outside when receiving.
func (p *Pattern) DirectivityDBi(azDeg, elDeg float64) float64 {
	return p.GainDBi(azDeg, elDeg) + p.lossDB
}

// LossDB returns the loss of the antenna circuit, 10 log(P_in/P_up) ≥ 0: soil,
// earth connection, coil, wire, tuner.
func (p *Pattern) LossDB() float64 { return p.lossDB }

// lookup interpolates by third-degree polynomials through the four nearest samples
// in t = √(Δ/90°) and in φ.
func (g *grid) lookup(φDeg, elDeg float64) float64 {
	t := math.Sqrt(elDeg*(1.0/90)) * float64(g.nt)
	i := min(int(t), g.nt-1)
	a0, a1, a2, a3 := cubic(t - float64(i))
	if g.nφ == 0 {
		return dot(g.u[i:], a0, a1, a2, a3)
	}
	φDeg -= 360 * math.Floor(φDeg*(1.0/360))
	if φDeg > 180 {
		φDeg = 360 - φDeg
	}
	y := φDeg * (1.0 / 180) * float64(g.nφ)
	j := min(max(int(y), 0), g.nφ-1)
	b0, b1, b2, b3 := cubic(y - float64(j))
	at := i*g.cols + j
	return a0*dot(g.u[at:], b0, b1, b2, b3) +
		a1*dot(g.u[at+g.cols:], b0, b1, b2, b3) +
		a2*dot(g.u[at+2*g.cols:], b0, b1, b2, b3) +
		a3*dot(g.u[at+3*g.cols:], b0, b1, b2, b3)
}

func dot(u []float64, b0, b1, b2, b3 float64) float64 {
	u = u[:4:4]
	return b0*u[0] + b1*u[1] + b2*u[2] + b3*u[3]
}

// cubic is the weights of samples at −1, 0, 1, 2 for a place x in [0, 1] (Lagrange).
func cubic(x float64) (a0, a1, a2, a3 float64) {
	p, q, r := x+1, x-1, x-2
	return -x * q * r / 6, p * q * r / 2, -p * x * r / 2, p * x * q / 6
}

// exact is the gain ratio by the formulas themselves, without floor or grid.
func (p *Pattern) exact(azDeg, elDeg float64) float64 {
	return 4 * math.Pi / p.pin * p.w.intensity(elDeg*math.Pi/180, (p.bearingDeg-azDeg)*math.Pi/180)
}

// MaxGainDBi returns the greatest gain on a bearing between two elevations.
func (p *Pattern) MaxGainDBi(azDeg, elLoDeg, elHiDeg float64) float64 {
	if elLoDeg > elHiDeg {
		elLoDeg, elHiDeg = elHiDeg, elLoDeg
	}
	if p.table.elDeg != nil {
		if azDeg-azDeg != 0 || elLoDeg != elLoDeg || elHiDeg != elHiDeg {
			return math.NaN()
		}
		return p.table.max(max(elLoDeg, 0), min(elHiDeg, 90))
	}
	best := max(p.GainDBi(azDeg, elLoDeg), p.GainDBi(azDeg, elHiDeg))
	for i := range 4 * p.g.nt { // four places a step of the grid
		t := float64(i) / float64(4*p.g.nt)
		if el := 90 * t * t; el > elLoDeg && el < elHiDeg {
			best = max(best, p.GainDBi(azDeg, el))
		}
	}
	return best
}

// NoGroundWaveDBi stands for an antenna that sends nothing along the ground.
const NoGroundWaveDBi = -100

// GroundWaveDBi returns the gain a ground wave starts with towards a bearing:
// vertical component over perfect ground with the real losses (a lossless short
// vertical: 4.77 dBi). Horizontal wires count by the tilt of the wave, 10–40 dB
// less. An operator's table has one gain at 0° for all waves; it stands here too.
//
// Source: §8, and "groundwave.md, as in our notes", §8.
func (p *Pattern) GroundWaveDBi(azDeg float64) float64 {
	switch p.kind {
	case Isotropic, Table:
		return p.GainDBi(azDeg, 0)
	}
	U := p.w.groundWave((p.bearingDeg - azDeg) * math.Pi / 180)
	if math.IsNaN(U) {
		return U
	}
	return max(10*math.Log10(4*math.Pi*U/p.pin), NoGroundWaveDBi)
}

// Kind and Freq say what was solved.
func (p *Pattern) Kind() Kind      { return p.kind }
func (p *Pattern) Freq() unit.Freq { return p.f }

// Resistance returns R_in at the feed in ohms, without tuner: radiation, soil,
// earth connection, coil and wire; of a wire with an earth lead, at the foot of the
// lead. It grows without bound towards a current node (+Inf is possible) and is
// NaN for a reference or a table.
func (p *Pattern) Resistance() float64 { return p.feedOhm }

// LoopResistance returns the same power as a resistance at the current loop.
func (p *Pattern) LoopResistance() float64 { return p.loopOhm }

// Impedance returns the impedance at the feed without tuner. ok is false where the
// reactance is not modelled (wires, tables) or a coil takes it away (whips). The
// reactance is that of free space, good to some tens of ohms near ground.
func (p *Pattern) Impedance() (z complex128, ok bool) {
	return p.z, !math.IsNaN(imag(p.z)) && !math.IsInf(real(p.z), 0)
}

// Notes returns what an operator should know of the figures, as sentences.
func (p *Pattern) Notes() []string { return append([]string(nil), p.notes...) }
