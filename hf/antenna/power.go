package antenna

import (
	"math"
	"math/cmplx"
)

// grid is a pattern sampled for interpolation: U (later the gain) at elevations
// Δ = (π/2)t², t = i/nt, and azimuths φ = πj/nφ from the antenna's own axis, which
// is a plane of symmetry. One more row and column on each side, and a second
// column at the end, let the interpolation run to the edge.
type grid struct {
	nt, nφ int // intervals; nφ = 0: the same at every azimuth
	cols   int
	u      []float64
}

// at returns the place of row i and column j, each from −1.
func (g *grid) at(i, j int) *float64 { return &g.u[(i+1)*g.cols+j+1] }

// steps chooses the sampling of a grid. The lobes of |N|² turn by at most 2kh in sin Δ
// and k times the wires' length in the cosine of the angle from them; a step turns them
// by a third of a radian, which keeps the interpolation within 3·10⁻⁴ of the greatest gain.
func (w *wires) steps(scale float64) (nt, nφ int) {
	const turn = 1.0 / 3
	kh, kl := w.k*w.highest, w.k*w.extent
	if w.axial {
		return 2 * int(scale*(30+1.6*kh/turn)), 0
	}
	return 2 * int(scale*(14+(1.6*kh+math.Pi/2*kl)/turn)), 2 * int(scale*(4+math.Pi/2*kl/turn))
}

// sample fills a grid with U for I_m = 1 A, and integrates it on the way.
//
//	P = ∫_0^{2π} ∫_0^{π/2} U cos Δ dΔ dφ      Source: §2.
//
// Simpson's rule in t and the trapezoidal rule round the circle (periodic, so of
// spectral accuracy). up is the power over the real ground, perfect that of the
// same currents over a perfect conductor, in W.
func (w *wires) sample(scale float64) (g grid, up, perfect float64) {
	nt, nφ := w.steps(scale)
	g = grid{nt: nt, nφ: nφ, cols: 1}
	if !w.axial {
		g.cols = nφ + 3
	}
	g.u = make([]float64, (nt+3)*g.cols)
	last := nφ
	if w.mirror {
		last = nφ / 2
	}
	sin, cos := make([]float64, last+1), make([]float64, last+1)
	for j := range sin {
		sin[j], cos[j] = math.Sincos(math.Pi * float64(j) / math.Max(1, float64(nφ)))
	}
	for i := 0; i <= nt+1; i++ { // one row beyond the zenith, where the formulas simply go on
		t := float64(i) / float64(nt)
		r := w.ray(math.Pi / 2 * t * t)
		weight := math.Pi * t * r.c * simpson(i, nt)
		for j := 0; j <= last; j++ {
			m := w.moments(&r, cos[j], sin[j])
			u := w.perN2() * m.real2(&r)
			if w.axial {
				g.u[i+1] = u
			} else {
				*g.at(i, j) = u
				if w.mirror {
					*g.at(i, nφ-j) = u
				}
			}
			around := weight * w.around(j, nφ)
			up += around * u
			if w.grounded {
				perfect += around * w.perN2() * m.perfect2()
			}
		}
	}
	g.edges()
	return g, up, perfect
}

// simpson is the weight of sample i of n intervals on [0, 1].
func simpson(i, n int) float64 {
	switch {
	case i > n:
		return 0
	case i == 0 || i == n:
		return 1 / (3 * float64(n))
	case i%2 == 1:
		return 4 / (3 * float64(n))
	}
	return 2 / (3 * float64(n))
}

// around is the weight of column j in the integral over the whole circle.
func (w *wires) around(j, nφ int) float64 {
	switch {
	case w.axial:
		return 2 * math.Pi
	case w.mirror && j == nφ/2: // its image at −φ only
		return 2 * math.Pi / float64(nφ)
	case w.mirror && j == 0: // its image at 180° only
		return 2 * math.Pi / float64(nφ)
	case w.mirror:
		return 4 * math.Pi / float64(nφ)
	case j == 0 || j == nφ:
		return math.Pi / float64(nφ)
	}
	return 2 * math.Pi / float64(nφ)
}

// edges fills the borders: U is even in t and in φ, and even about φ = 180°.
func (g *grid) edges() {
	copy(g.u[:g.cols], g.u[2*g.cols:3*g.cols])
	if g.nφ == 0 {
		return
	}
	for i := -1; i <= g.nt+1; i++ {
		*g.at(i, -1) = *g.at(i, 1)
		*g.at(i, g.nφ+1) = *g.at(i, g.nφ-1)
	}
}

// intoGround returns the power in W that currents which do not touch the ground
// send into it, exact for the assumed currents: a sum over plane waves
// k_ρ(cos α, sin α), those that travel (k_ρ < k) and those that only reach (k_ρ > k).
//
//	k_z = √(k² − k_ρ²)    k_g = √(ε_c k² − k_ρ²), Im k_g ≤ 0
//	J = ∫ I û e^{j(k_x x' + k_y y')} e^{−j k_z z'} dl
//	J_te = −sin α J_x + cos α J_y
//	J_tm = [ k_z (cos α J_x + sin α J_y) + k_ρ J_z ]/k
//	P_g = (k η0/8π²) ∫∫ { |J_te|² Re k_g/|k_z + k_g|²
//	      + |J_tm|² |ε_c|² Re(k_g/ε_c)/|ε_c k_z + k_g|² } k_ρ dk_ρ dα
//
// Source: §3, v up to where e^{−2 h k_ρ} is e^{−22}. Departs: only in where the nodes
// lie. k_ρ = k cos Δ below k and k cosh v above; |ε_c k_z + k_g| is least at
// k_z ≈ k/√ε_c, very near k over the sea, so Δ and v are spread on that scale; k_g
// has its branch at k_ρ = k√ε_r; and the azimuth is α = 90° + β, β = b sinh u, because
// far above k the currents answer in a narrow range of α only: to |k_x| ≲ k.
func (w *wires) intoGround(scale float64) float64 {
	kl, kh := w.k*w.extent, w.k*w.highest
	a := 1 / math.Sqrt(cmplx.Abs(w.ε)) // how near k_ρ = k the ground answers sharply
	sum := 0.0
	travel := math.Log1p(math.Pi / 2 / a)
	rt := gauss(scale * (10 + 2*travel + 0.6*kl + 0.5*kh))
	for i, x := range rt.x { // k_ρ = k cos Δ, k_z = k sin Δ
		Δ, dΔ := spread(a, travel, x)
		sin, cos := math.Sincos(Δ)
		sum += rt.w[i] * dΔ * w.k * sin * w.spectrum(w.k*cos, complex(w.k*sin, 0), scale)
	}
	vMax := math.Asinh(11 / (w.k * w.lowest))
	vBranch := math.Min(vMax, math.Acosh(math.Sqrt(real(w.ε))))
	if vBranch > 0 { // up to where waves in the ground stop travelling, dense there too
		evanescent := math.Log1p(vBranch / a)
		rv := gauss(scale * (10 + 2*evanescent + 0.4*kl))
		for i, x := range rv.x {
			v, dv := spread(a, evanescent, x*(2-x))
			sum += rv.w[i] * dv * 2 * (1 - x) * w.reach(v, scale)
		}
	}
	if vMax > vBranch {
		rv := gauss(scale * (6 + 3*(vMax-vBranch)))
		for i, x := range rv.x {
			sum += rv.w[i] * 2 * (vMax - vBranch) * x * w.reach(vBranch+(vMax-vBranch)*x*x, scale)
		}
	}
	return w.k * eta0 / (8 * math.Pi * math.Pi) * sum
}

// spread maps x in [0, 1] to y = a(e^{ux} − 1), dense near 0 on the scale a, and gives dy/dx.
func spread(a, u, x float64) (y, dy float64) {
	return a * math.Expm1(u*x), a * u * math.Exp(u*x)
}

// reach is the evanescent integrand, k_ρ = k cosh v.
func (w *wires) reach(v, scale float64) float64 {
	sinh := math.Sinh(v)
	return w.k * sinh * w.spectrum(w.k*math.Sqrt(1+sinh*sinh), complex(0, -w.k*sinh), scale)
}

// waves are the plane waves of one k_ρ: what of them is the same at every α.
type waves struct {
	kρ     float64
	kz     complex128
	te, tm float64       // absorption of the two polarisations
	q      float64       // −Im k_z; 0 for waves that travel
	start  [2]complex128 // e^{−jk_z z} at the start of each arm, with its sign
	e0, el [2]float64    // e^{−qz} at its start and end
}

func (w *wires) waves(kρ float64, kz complex128) waves {
	kg := cmplx.Sqrt(w.ε*complex(w.k*w.k, 0) - complex(kρ*kρ, 0))
	if imag(kg) > 0 {
		kg = -kg
	}
	p := waves{kρ: kρ, kz: kz, q: -imag(kz)}
	p.te = real(kg) / abs2(kz+kg)
	p.tm = abs2(w.ε) * real(kg/w.ε) / abs2(w.ε*kz+kg)
	for i := range w.n {
		a := &w.arms[i]
		p.start[i] = complex(a.sign, 0) * unitPhase(-real(kz)*a.z0)
		p.e0[i], p.el[i] = math.Exp(-p.q*a.z0), math.Exp(-p.q*a.end())
	}
	return p
}

// spectrum is the integrand of P_g at one k_ρ, integrated over α, times k_ρ.
func (w *wires) spectrum(kρ float64, kz complex128, scale float64) float64 {
	p := w.waves(kρ, kz)
	b := math.Min(1.5, (w.k+4/w.extent)/kρ)
	uMax := math.Asinh(math.Pi / 2 / b)
	ru := gauss(scale * (8 + 3*uMax + 0.5*w.k*w.extent))
	sum := 0.0
	for i, x := range ru.x {
		u := uMax * x
		e := math.Exp(u)
		sinβ, cosβ := math.Sincos(b * (e - 1/e) / 2)
		weight := ru.w[i] * uMax * b * (e + 1/e) / 2
		// α = 90° + β: cos α = −sin β, sin α = cos β; −k_y mirrors k_y.
		if w.mirror {
			sum += 4 * weight * w.absorbed(&p, -sinβ, cosβ)
		} else {
			sum += 2 * weight * (w.absorbed(&p, -sinβ, cosβ) + w.absorbed(&p, sinβ, cosβ))
		}
	}
	return kρ * sum
}

// absorbed is the integrand of P_g for one plane wave.
func (w *wires) absorbed(p *waves, cosα, sinα float64) float64 {
	var Jx, Jz complex128
	for i := range w.n {
		a := &w.arms[i]
		κr := p.kρ * cosα * a.ux
		var J complex128
		if p.q == 0 {
			J = a.integral(w.k, κr-real(p.kz)*a.uz)
		} else {
			J = a.evanescent(w.k, κr, p.q, p.e0[i], p.el[i])
		}
		J *= p.start[i]
		Jx += complex(a.ux, 0) * J
		Jz += complex(a.uz, 0) * J
	}
	Jtm := (p.kz*complex(cosα, 0)*Jx + complex(p.kρ, 0)*Jz) * complex(1/w.k, 0)
	return abs2(Jx)*sinα*sinα*p.te + abs2(Jtm)*p.tm
}
