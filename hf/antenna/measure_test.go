package antenna

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// anySpec draws an antenna that Check accepts, and a frequency.
func anySpec(r *rand.Rand) (Spec, unit.Freq) {
	span := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, r.Float64()) }
	f := unit.Freq(span(1.6, 30)) * unit.MHz
	λ := c0 / f.MHz()
	s := Spec{
		Kind:    []Kind{Vertical, Whip, Dipole, InvertedV, Wire}[r.IntN(5)],
		Ground:  earth.Grounds[r.IntN(len(earth.Grounds))].Ground,
		Height:  unit.Length(span(0.02*λ, 3*λ)),
		Bearing: unit.Angle(r.Float64()*360) * unit.Degree,
	}
	switch s.Kind {
	case Vertical:
		s.Length = unit.Length(span(0.02*λ, 3*λ))
	case Whip:
		s.Length = unit.Length(span(1, 10))
	case Dipole, InvertedV:
		s.Length = unit.Length(span(0.1*λ, 6*λ))
		s.Apex = unit.Angle(90+90*r.Float64()) * unit.Degree
		if s.Kind == InvertedV {
			s.Height += unit.Length(s.Length.M() / 2 * math.Cos(s.Apex.Rad()/2))
		}
	case Wire:
		s.Length = unit.Length(span(0.1*λ, 6*λ))
		s.Top = s.Height + s.Length*unit.Length(r.Float64())
		s.EarthLead = r.IntN(2) == 0
	}
	s.Height, s.Top = max(s.Height, 0.15), max(s.Top, 0.15)
	return s, f
}

// The quadratures of Solve against the same with three times the nodes, and the
// lookup against the formulas. The figures go to docs/accuracy.md.
func TestAccuracyOfSolve(t *testing.T) {
	n := 250
	if testing.Short() {
		n = 40
	}
	r := rand.New(rand.NewPCG(1, 2))
	var worstLoss, worstUp, worst, sum2 float64
	var count, over int
	for range n {
		s, f := anySpec(r)
		p, err := Solve(s, f)
		if err != nil {
			continue
		}
		fine := &Pattern{kind: s.Kind, f: f, w: p.w, dB: p.dB}
		fine.solveWires(s.defaults(), 3)
		e := math.Abs(p.lossDB - fine.lossDB)
		worstLoss = max(worstLoss, e)
		if e > 0.01 {
			t.Errorf("%+v at %.3f MHz: loss %.4f dB, with three times the nodes %.4f", s, f.MHz(), p.lossDB, fine.lossDB)
		}
		worstUp = max(worstUp, math.Abs(10*math.Log10(p.pin/fine.pin)))
		for range 200 {
			az, el := r.Float64()*360, r.Float64()*90
			want := max(p.exact(az, el), p.floor)
			e := math.Abs(p.GainDBi(az, el) - 10*math.Log10(want))
			worst = max(worst, e)
			sum2 += e * e
			count++
			if e > 0.02 {
				over++
			}
			if e > 0.5 {
				t.Errorf("%+v at %.3f MHz, %.1f/%.1f: off by %.3f dB", s, f.MHz(), az, el, e)
			}
		}
	}
	t.Logf("loss: worst %.5f dB; power in: worst %.5f dB; lookup of %d gains: rms %.5f, worst %.4f dB, %.3f %% over 0.02 dB",
		worstLoss, worstUp, count, math.Sqrt(sum2/float64(count)), worst, 100*float64(over)/float64(count))
}

// The table of decibels against math.Log10, over the whole range and at its seams.
func TestDecibels(t *testing.T) {
	d := decibels{dbStep()}
	if d.of(1) != 0 {
		t.Errorf("1 is %g dB", d.of(1))
	}
	check := func(x float64) {
		if got, want := d.of(x), 10*math.Log10(x); math.Abs(got-want) > 3e-10 {
			t.Fatalf("%g is %.12f dB, want %.12f", x, got, want)
		}
	}
	for x := 1e-12; x < 1e6; x *= 1.000_37 {
		check(x)
	}
	for i := range 257 {
		c := 1 + float64(i)/256
		check(c)
		check(math.Nextafter(c, 0))
	}
}
