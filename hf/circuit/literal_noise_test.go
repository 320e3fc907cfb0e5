package circuit

import "math"

// literalSource is one noise source: median and decile deviations, dB.
type literalSource struct{ Fam, Du, Dl float64 }

const literalC = 10 / math.Ln10

// literalManMade is p372 §2, deciles in time only (choices 14).
func literalManMade(env string, f float64) literalSource {
	switch env {
	case "city":
		return literalSource{76.8 - 27.7*math.Log10(f), 11.0, 6.7}
	case "residential":
		return literalSource{72.5 - 27.7*math.Log10(f), 10.6, 5.3}
	case "rural":
		return literalSource{67.2 - 27.7*math.Log10(f), 9.2, 4.6}
	case "quiet-rural":
		return literalSource{53.6 - 28.6*math.Log10(f), 9.2, 4.6}
	}
	panic("literal: no such noise environment: " + env)
}

// literalGalactic is p372 §3.
func literalGalactic(f float64) literalSource {
	return literalSource{52 - 23*math.Log10(f), 2, 2}
}

// literalSum is the log-normal sum of p372 §6 over one set of deviations.
func literalSum(Fam, D []float64, limited bool) (F, σT float64) {
	α, β, γ := 0.0, 0.0, 0.0
	for i := range Fam {
		σ := D[i] / 1.282
		one := math.Exp(Fam[i]/literalC + σ*σ/(2*literalC*literalC))
		α += one
		β += one * one * (math.Exp(σ*σ/(literalC*literalC)) - 1)
		γ += math.Exp(Fam[i] / literalC)
	}
	σT = literalC * math.Sqrt(math.Log(1+β/(α*α)))
	if limited {
		σT = math.Min(σT, literalC*math.Sqrt(2*math.Log(α/γ)))
	}
	return literalC * (math.Log(α) - σT*σT/(2*literalC*literalC)), σT
}

// combine is the whole of p372 §6 with choices 13.
//
// open: the limit of σ_T where an upper deviation exceeds 12 dB works on the upper set
// alone; the alternative is on both.
func (w *literalWatch) combine(sources []literalSource, strict bool) (F, DuN, DlN float64) {
	var Fam, Du, Dl []float64
	limited, largest := false, math.Inf(-1)
	for _, s := range sources {
		Fam, Du, Dl = append(Fam, s.Fam), append(Du, s.Du), append(Dl, s.Dl)
		w.at(s.Du, 12)
		limited = limited || s.Du > 12
		largest = math.Max(largest, s.Fam)
	}
	F, σu := literalSum(Fam, Du, limited)
	_, σl := literalSum(Fam, Dl, false)
	if !strict {
		F = math.Max(F, largest)
	}
	return F, 1.282 * σu, 1.282 * σl
}

// noise is F_a at the receiver with its decile deviations.
func (r *literalRun) noise(UT, f float64) (F, DuN, DlN float64) {
	sources := []literalSource{
		literalAtmospheric(r.Month, r.ToLat, r.ToLon, UT, f),
		literalManMade(r.Env, f),
	}
	// choices 15: not below the receiver's foF2.
	foF2 := r.over(r.ToLat, r.ToLon, UT).foF2
	r.at(f, foF2)
	if f >= foF2 {
		sources = append(sources, literalGalactic(f))
	}
	return r.combine(sources, r.Strict)
}

// literalAtmospheric is the atmospheric source at a place and moment (p372 §5): season
// 0–3 from December, block 0–5, hemisphere 0 north.
func literalAtmospheric(month int, φ, λ, UT, f float64) literalSource {
	season := month % 12 / 3 // Dec–Feb, Mar–May, Jun–Aug, Sep–Nov
	LT := literalLocalTime(UT, λ)
	// Between the centres 2, 6 … 22 h.
	before := math.Floor((LT - 2) / 4)
	weight := (LT - 2 - 4*before) / 4
	one := (int(before) + 6) % 6
	two := (one + 1) % 6
	a := literalBlockNoise(season, one, φ, λ, f)
	b := literalBlockNoise(season, two, φ, λ, f)
	return literalSource{
		a.Fam + weight*(b.Fam-a.Fam),
		a.Du + weight*(b.Du-a.Du),
		a.Dl + weight*(b.Dl-a.Dl),
	}
}

// literalMap1 is Fam at 1 MHz.
func literalMap1(season, block int, φ, λ float64) float64 {
	t := literalNoiseTable()
	θ := φ + 90
	ℓ := math.Mod(λ+720, 360) / 2
	Fam1 := t.Alpha[season][block] + t.Beta[season][block]*θ*literalDeg
	for j := 1; j <= 29; j++ {
		g := t.Map[season][block][15][j-1]
		for k := 1; k <= 15; k++ {
			g += t.Map[season][block][k-1][j-1] * literalSin(float64(k)*ℓ)
		}
		Fam1 += g * literalSin(float64(j)*θ)
	}
	return Fam1
}

func literalPolynomial(c []float64, x float64) float64 {
	sum := 0.0
	for i, one := range c {
		sum += one * math.Pow(x, float64(len(c)-1-i))
	}
	return sum
}

func literalBlockNoise(season, block int, φ, λ, f float64) literalSource {
	t := literalNoiseTable()
	hemisphere := 0
	if φ < 0 {
		hemisphere = 1
	}
	p := func(u float64) float64 { return literalPolynomial(t.A[season][hemisphere][block][:], u) }
	q := func(u float64) float64 { return literalPolynomial(t.B[season][hemisphere][block][:], u) }
	u := (8*math.Pow(2, math.Log10(f)) - 11) / 4
	z := literalMap1(season, block, φ, λ)*(2-p(-0.75)) - q(-0.75)
	x := math.Log10(f)
	return literalSource{
		z*p(u) + q(u),
		literalPolynomial(t.Deviations[season][hemisphere][block][0][:], x),
		literalPolynomial(t.Deviations[season][hemisphere][block][1][:], x),
	}
}
