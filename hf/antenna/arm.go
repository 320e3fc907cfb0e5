package antenna

import (
	"math"
	"math/cmplx"

	"farhail/unit"
)

// arm is a straight thin wire in the plane y = 0 that starts on the z axis. Its
// current is a standing wave, I(s) = sin k(e − s) for s in [0, l] from the start;
// e is the length from the start to where the current vanishes (l for an open end).
type arm struct {
	z0     float64 // height of the start, m
	ux, uz float64 // direction
	l, e   float64 // m
	sign   float64 // −1: current counted towards the start

	// k cos and sin of the standing wave at the start and the end.
	kC0, S0, kCl, Sl float64
}

func newArm(k, z0, ux, uz, l, e, sign float64) arm {
	S0, C0 := math.Sincos(k * e)
	Sl, Cl := math.Sincos(k * (e - l))
	return arm{z0: z0, ux: ux, uz: uz, l: l, e: e, sign: sign, kC0: k * C0, S0: S0, kCl: k * Cl, Sl: Sl}
}

// end is the height of the far end, m.
func (a *arm) end() float64 { return a.z0 + a.l*a.uz }

// integral returns the closed arm integral for a real wave-vector component κ.
//
//	A(κ) = ∫_0^l sin k(e−s) e^{jκs} ds
//	     = { e^{jκl} [k cos k(e−l) + jκ sin k(e−l)] − [k cos ke + jκ sin ke] } / (k² − κ²)
//
// Source: §2, there for e = l; the general e by the same antiderivative.
// Departs: near κ = ±k, where that is 0/0, the two exponentials of the sine are
// integrated each by itself.
func (a *arm) integral(k, κ float64) complex128 {
	d := k*k - κ*κ
	if math.Abs(d) < 1e-4*k*k {
		return a.resonant(k, complex(κ, 0))
	}
	s, c := math.Sincos(κ * a.l)
	p, q := a.kCl, κ*a.Sl
	return complex((c*p-s*q-a.kC0)/d, (s*p+c*q-κ*a.S0)/d)
}

// evanescent is the arm integral times e^{−qz} at the start, for κ = κr + jq u_z;
// e0 and el are e^{−qz} at the start and the end (so nothing overflows on a
// descending wire).
func (a *arm) evanescent(k, κr, q, e0, el float64) complex128 {
	κ := complex(κr, q*a.uz)
	d := complex(k*k, 0) - κ*κ
	n := abs2(d)
	if n < 1e-8*k*k*k*k {
		return a.resonant(k, κ) * complex(e0, 0)
	}
	s, c := math.Sincos(κr * a.l)
	jκ := complex(-imag(κ), κr)
	far := complex(el*c, el*s) * (complex(a.kCl, 0) + jκ*complex(a.Sl, 0))
	near := complex(e0, 0) * (complex(a.kC0, 0) + jκ*complex(a.S0, 0))
	return (far - near) * complex(real(d)/n, -imag(d)/n)
}

// resonant is A(κ) for κ near ±k.
//
//	A = (1/2j) [ e^{jke} E(κ−k) − e^{−jke} E(κ+k) ],   E(x) = ∫_0^l e^{jxs} ds
func (a *arm) resonant(k float64, κ complex128) complex128 {
	E := func(x complex128) complex128 {
		y := complex(0, a.l/2) * x
		if cmplx.Abs(y) < 1e-3 {
			y2 := y * y
			return complex(a.l, 0) * cmplx.Exp(y) * (1 + y2/6*(1+y2/20))
		}
		return complex(a.l, 0) * cmplx.Exp(y) * cmplx.Sinh(y) / y
	}
	kc := complex(k, 0)
	e := unitPhase(k * a.e)
	return complex(0, -0.5) * (e*E(κ-kc) - cmplx.Conj(e)*E(κ+kc))
}

// current2 is ∫ I² dl, m·A².
func (a *arm) current2(k float64) float64 {
	return a.l/2 - (math.Sin(2*k*a.e)-math.Sin(2*k*(a.e-a.l)))/(4*k)
}

// wires is an antenna as the field formulas see it.
type wires struct {
	k        float64 // rad/m
	ε        complex128
	arms     [2]arm
	n        int
	grounded bool    // the foot stands in the ground
	axial    bool    // the same at every azimuth
	mirror   bool    // the same at φ and 180° − φ
	feedI    float64 // current at the feed for I_m = 1
	lowest   float64 // height of the lowest end of an antenna that is not grounded, m
	extent   float64 // length of all arms together, m
	highest  float64 // m
}

// layout places the wires of an antenna at a frequency. s has its defaults.
func layout(s Spec, f unit.Freq) (wires, error) {
	λ := c0 / f.MHz()
	w := wires{k: 2 * math.Pi / λ, ε: permittivity(s.Ground, f)}
	h, length := s.Height.M(), s.length(f)
	switch s.Kind {
	case Vertical, Whip:
		w.grounded, w.axial = true, true
		w.add(newArm(w.k, 0, 0, 1, length, length, 1))
		w.feedI = w.arms[0].S0
	case Dipole, InvertedV:
		half := s.Apex.Rad() / 2
		if s.Kind == Dipole {
			half = math.Pi / 2
		}
		ux, uz := math.Sin(half), -math.Cos(half)
		if math.Abs(uz) < 1e-12 {
			ux, uz = 1, 0
		}
		w.mirror = true
		w.add(newArm(w.k, h, ux, uz, length/2, length/2, 1))
		w.add(newArm(w.k, h, -ux, uz, length/2, length/2, -1))
		w.feedI = w.arms[0].S0
	case Wire:
		uz := math.Max(-1, math.Min(1, (s.Top.M()-h)/length))
		ux := math.Sqrt(1 - uz*uz)
		w.add(newArm(w.k, h, ux, uz, length, length, 1))
		w.feedI = w.arms[0].S0
		if s.EarthLead {
			w.grounded = true
			w.add(newArm(w.k, 0, 0, 1, h, length+h, 1))
			w.feedI = w.arms[1].S0 // at the foot of the lead
		}
	}
	return w, w.check(s.Kind, λ)
}

func (w *wires) add(a arm) {
	if w.n == 0 {
		w.lowest = a.z0
	}
	w.arms[w.n] = a
	w.n++
	w.lowest = math.Min(w.lowest, math.Min(a.z0, a.end()))
	w.highest = math.Max(w.highest, math.Max(a.z0, a.end()))
	w.extent += a.l
}

// aboveGround leaves out the arms that touch the ground, for which P_g has no bound.
func (w *wires) aboveGround() (above wires, any bool) {
	above = wires{k: w.k, ε: w.ε, mirror: w.mirror}
	for _, a := range w.arms[:w.n] {
		if a.z0 > 0 {
			above.add(a)
		}
	}
	return above, above.n > 0
}

// check refuses what only shows at the frequency in use.
func (w *wires) check(kind Kind, λ float64) error {
	if !w.grounded {
		what := "height of the wire"
		if kind == InvertedV {
			what = "height of the inverted V's ends"
		}
		if err := unit.Check(what, w.lowest, minHeightM, maxHeightM, "m"); err != nil {
			return err
		}
	}
	return firstError(
		unit.Check("length of the antenna in wavelengths", w.extent/λ, 0, maxWavelengths, ""),
		unit.Check("height of the antenna in wavelengths", w.highest/λ, 0, maxWavelengths, ""),
	)
}

// length is the whole conductor's length at a frequency, m.
func (s Spec) length(f unit.Freq) float64 {
	if s.Length > 0 {
		return s.Length.M()
	}
	if s.Design > 0 {
		f = s.Design
	}
	λ := c0 / f.MHz()
	switch s.Kind {
	case Dipole, InvertedV:
		return λ / 2
	}
	return λ / 4
}
