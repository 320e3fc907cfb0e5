package forecast

import (
	"math"
	"sync"

	"farhail/hf/antenna"
	"farhail/hf/circuit"
	"farhail/unit"
)

// An Aerial is one antenna with its line and receiver, solved at each frequency as it
// is needed.
type Aerial struct {
	Spec        antenna.Spec
	FeederLoss  unit.DB
	NoiseFigure unit.DB

	mu     sync.Mutex
	solved map[float64]*antenna.Pattern
}

// NewAerial checks the antenna.
func NewAerial(spec antenna.Spec, feeder, noiseFigure unit.DB) (*Aerial, error) {
	if err := spec.Check(); err != nil {
		return nil, err
	}
	return &Aerial{Spec: spec, FeederLoss: feeder, NoiseFigure: noiseFigure, solved: map[float64]*antenna.Pattern{}}, nil
}

// Pattern is the antenna at a frequency. A frequency the model cannot solve gives nil.
func (a *Aerial) Pattern(fMHz float64) *antenna.Pattern {
	a.mu.Lock()
	defer a.mu.Unlock()
	p, ok := a.solved[fMHz]
	if !ok {
		p, _ = antenna.Solve(a.Spec, unit.Freq(fMHz)*unit.MHz)
		a.solved[fMHz] = p
	}
	return p
}

func (a *Aerial) isotropic() bool { return a.Spec.Kind == "" || a.Spec.Kind == antenna.Isotropic }

// Transmitting is the antenna as a circuit's transmitter sees it: power gain, the
// feeder's loss in.
func (a *Aerial) Transmitting() circuit.Terminal {
	if a.isotropic() && a.FeederLoss == 0 {
		return circuit.Terminal{}
	}
	return circuit.Terminal{Antenna: transmit{a}}
}

// Receiving is the antenna as a receiver sees it: directivity, with the losses of
// antenna, line and receiver in the noise. The isotropic reference has none.
//
// Source: ITU-R P.372 Part 1, f = fa − 1 + fc ft fr, as in our notes (from memory, high).
func (a *Aerial) Receiving() circuit.Terminal {
	if a.isotropic() {
		return circuit.Terminal{}
	}
	return circuit.Terminal{Antenna: receive{a}, Internal: func(fMHz float64) float64 {
		dB := float64(a.FeederLoss + a.NoiseFigure)
		if p := a.Pattern(fMHz); p != nil {
			dB += p.LossDB()
		}
		return math.Pow(10, dB/10)
	}}
}

type transmit struct{ a *Aerial }

func (t transmit) Gain(fMHz, az, el float64) float64 {
	g := -float64(t.a.FeederLoss)
	if p := t.a.Pattern(fMHz); p != nil {
		g += p.GainDBi(az, el)
	}
	return g
}

type receive struct{ a *Aerial }

func (r receive) Gain(fMHz, az, el float64) float64 {
	if p := r.a.Pattern(fMHz); p != nil {
		return p.DirectivityDBi(az, el)
	}
	return 0
}
