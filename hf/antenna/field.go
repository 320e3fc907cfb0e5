package antenna

import "math"

// ray is a direction's elevation with all that depends on it alone.
type ray struct {
	s, c   float64 // sin Δ, cos Δ
	ρv, ρh complex128
	start  [2]complex128 // e^{jk z0 s} of each arm
}

func (w *wires) ray(Δ float64) ray {
	r := ray{}
	r.s, r.c = math.Sincos(Δ)
	r.ρv, r.ρh = fresnel(w.ε, r.s)
	for i := range w.n {
		r.start[i] = unitPhase(w.k * w.arms[i].z0 * r.s)
	}
	return r
}

// moments are the parts of the radiation vector in one direction: direct wave and
// image, N_θ = θd + ρ_v θi and N_φ = φd + ρ_h φi.
type moments struct{ θd, θi, φd, φi complex128 }

// moments integrates the currents of all arms, with φ given by its cosine and sine.
//
//	N_θ = ∫ I [ û·θ̂ e^{jk r̂·r'} + ρ_v û''·θ̂ e^{jk r̂·r''} ] dl
//	N_φ = ∫ I [ û·φ̂ e^{jk r̂·r'} + ρ_h û·φ̂ e^{jk r̂·r''} ] dl
//
// with r” = (x', y', −z'), û” = (−u_x, −u_y, u_z). Source: §2.
func (w *wires) moments(r *ray, cosφ, sinφ float64) (m moments) {
	for i := range w.n {
		a := &w.arms[i]
		along, up := r.c*cosφ*a.ux, r.s*a.uz
		st := r.start[i]
		d := a.integral(w.k, w.k*(along+up))
		im := d
		if a.uz != 0 {
			im = a.integral(w.k, w.k*(along-up))
		}
		d *= complex(a.sign, 0) * st
		im *= complex(a.sign*real(st), -a.sign*imag(st))
		x, z := r.s*cosφ*a.ux, r.c*a.uz
		m.θd += complex(x-z, 0) * d
		m.θi += complex(-x-z, 0) * im
		if y := -sinφ * a.ux; y != 0 {
			m.φd += complex(y, 0) * d
			m.φi += complex(y, 0) * im
		}
	}
	return m
}

// real2 is |N_θ|² + |N_φ|² over the real ground.
func (m *moments) real2(r *ray) float64 {
	return abs2(m.θd+r.ρv*m.θi) + abs2(m.φd+r.ρh*m.φi)
}

// perfect2 is the same over a perfect conductor, ρ_v = 1 and ρ_h = −1.
func (m *moments) perfect2() float64 {
	return abs2(m.θd+m.θi) + abs2(m.φd-m.φi)
}

// intensity returns the radiant intensity U in W/sr for I_m = 1 A.
//
//	U = η0 k²/(32π²) ( |N_θ|² + |N_φ|² )      Source: §2.
func (w *wires) intensity(Δ, φ float64) float64 {
	r := w.ray(Δ)
	sinφ, cosφ := math.Sincos(φ)
	m := w.moments(&r, cosφ, sinφ)
	return w.perN2() * m.real2(&r)
}

// perN2 is U/|N|².
func (w *wires) perN2() float64 { return eta0 * w.k * w.k / (32 * math.Pi * math.Pi) }

// groundWave returns the intensity towards the horizon that a wave along the
// ground starts from: perfect image of the vertical currents, and of the
// horizontal ones what the tilt of that wave picks up.
//
//	N = −2 ∫ I [ u_z − Δ_s û·r̂ ] e^{jk r̂·r'} dl      at Δ = 0
//
// Source: §8 for the vertical part, "groundwave.md, as in our notes", §8 for the
// tilt; the sign from the limit of N_θ of §2 for Δ → 0.
func (w *wires) groundWave(φ float64) float64 {
	var N complex128
	cosφ := math.Cos(φ)
	tilt := waveTilt(w.ε)
	for i := range w.n {
		a := &w.arms[i]
		A := complex(-2*a.sign, 0) * a.integral(w.k, w.k*cosφ*a.ux)
		N += A * (complex(a.uz, 0) - tilt*complex(cosφ*a.ux, 0))
	}
	return w.perN2() * abs2(N)
}
