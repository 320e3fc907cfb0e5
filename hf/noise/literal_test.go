package noise

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/hf/earth"
)

// A second road, written as the formulas are printed: powers instead of Chebyshev
// series, one sine a term, the sum of §6 without shortcuts. It shares the tables only.

func literalAtmospheric(k *Coefficients, latDeg, lonDeg float64, month int, utcH, fMHz float64) (Fam float64, dev [5]float64) {
	poly := func(c []float64, x float64) (y float64) {
		for i, v := range c {
			y += v * math.Pow(x, float64(len(c)-1-i))
		}
		return y
	}
	S := map[int]int{12: 0, 1: 0, 2: 0, 3: 1, 4: 1, 5: 1, 6: 2, 7: 2, 8: 2, 9: 3, 10: 3, 11: 3}[month]
	H := 0
	if latDeg < 0 {
		H = 1
	}
	for lonDeg < 0 {
		lonDeg += 360
	}
	u := (8*math.Pow(2, math.Log10(fMHz)) - 11) / 4
	block := func(b int) (float64, [5]float64) {
		θ, ℓ := (latDeg+90)*math.Pi/180, lonDeg/2*math.Pi/180
		Fam1 := k.Alpha[S][b] + k.Beta[S][b]*θ
		for j := 1; j <= 29; j++ {
			g := k.Map[S][b][15][j-1]
			for n := 1; n <= 15; n++ {
				g += k.Map[S][b][n-1][j-1] * math.Sin(float64(n)*ℓ)
			}
			Fam1 += g * math.Sin(float64(j)*θ)
		}
		A, B := k.A[S][H][b][:], k.B[S][H][b][:]
		z := Fam1*(2-poly(A, -0.75)) - poly(B, -0.75)
		var d [5]float64
		for i := range d {
			x := math.Log10(fMHz)
			if i == 4 && x > 1 {
				x = 1
			}
			d[i] = poly(k.Deviations[S][H][b][i][:], x)
		}
		return z*poly(A, u) + poly(B, u), d
	}
	lt := math.Mod(utcH+lonDeg/15, 24)
	for b := range 6 {
		// hat functions round the day: 1 at the block's centre, 0 at its neighbours'
		away := math.Abs(lt - float64(4*b+2))
		away = math.Min(away, 24-away)
		if w := 1 - away/4; w > 0 {
			F, d := block(b)
			Fam += w * F
			for i := range d {
				dev[i] += w * d[i]
			}
		}
	}
	return Fam, dev
}

func literalCombine(field bool, parts []Source) Source {
	c := 10 / math.Log(10)
	set := func(σ func(Source) float64) (median, σT, limit float64) {
		var α, β, γ float64
		for _, p := range parts {
			a := math.Exp(p.Fam/c + σ(p)*σ(p)/(2*c*c))
			α += a
			β += a * a * (math.Exp(σ(p)*σ(p)/(c*c)) - 1)
			γ += math.Exp(p.Fam / c)
		}
		σT = c * math.Sqrt(math.Log(1+β/(α*α)))
		return c * (math.Log(α) - σT*σT/(2*c*c)), σT, c * math.Sqrt(2*math.Log(α/γ))
	}
	F, σu, limit := set(func(s Source) float64 { return s.Du / 1.282 })
	_, σl, _ := set(func(s Source) float64 { return s.Dl / 1.282 })
	heavy, largest, power := false, math.Inf(-1), 0.0
	for _, p := range parts {
		heavy = heavy || p.Du > 12
		largest = math.Max(largest, p.Fam)
		power += math.Pow(10, p.Fam/10)
	}
	if heavy && σu > limit {
		σu = limit
		F = 10 * math.Log10(power) // what the median becomes there, our notes §6
	}
	if field {
		F = math.Max(F, largest)
	}
	return Source{F, 1.282 * σu, 1.282 * σl}
}

func TestAgainstLiteral(t *testing.T) {
	k := Deck()
	rng := rand.New(rand.NewPCG(3, 72))
	same := func(what string, in any, got, want float64) {
		if !(math.Abs(got-want) <= 1e-9*math.Max(1, math.Abs(want))) {
			t.Errorf("%v: %s is %.12g, want %.12g within 1e-9", in, what, got, want)
		}
	}
	for range 3000 {
		in := struct {
			lat, lon float64
			month    int
			ut, f    float64
			env      Environment
			foF2     float64
			field    bool
		}{
			180*rng.Float64() - 90, 360*rng.Float64() - 180, 1 + rng.IntN(12), 24 * rng.Float64(),
			1.6 * math.Pow(30/1.6, rng.Float64()), Environment(rng.IntN(4)), 1 + 14*rng.Float64(), rng.IntN(2) == 1,
		}
		s, b := NewSite(earth.At(in.lat, in.lon), in.month), NewBand(in.f)
		src, σDu, σDl, σFam := s.Atmospheric(in.ut, &b)
		F, dev := literalAtmospheric(k, in.lat, in.lon, in.month, in.ut, in.f)
		same("Fam", in, src.Fam, F)
		for i, got := range []float64{src.Du, src.Dl, σDu, σDl, σFam} {
			same([]string{"Du", "Dl", "σDu", "σDl", "σFam"}[i], in, got, dev[i])
		}
		parts := []Source{{F, dev[0], dev[1]}, ManMade(in.env, in.f), Galactic(in.f)}
		if in.f < in.foF2 {
			parts = parts[:2]
		}
		want := literalCombine(in.field, parts)
		for _, got := range []Source{s.Total(in.ut, &b, in.env, in.foF2, in.field), Combine(in.field, parts...)} {
			same("total Fam", in, got.Fam, want.Fam)
			same("total Du", in, got.Du, want.Du)
			same("total Dl", in, got.Dl, want.Dl)
		}
	}
}
