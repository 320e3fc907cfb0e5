package noise

import "math"

const (
	neper     = 10 / math.Ln10 // the source's c = 4.342945 dB: dB in a factor e of power
	decileToσ = 1.282          // decile of a normal variable over its σ, as the source rounds it
	limitFrom = 12.0           // dB: a Du above this brings the limit on σ_T
)

// Combine adds up independent sources, each log-normal: the median and deciles of
// their sum. With field set the median is never below the largest part's own.
//
//	c    = 10/ln 10
//	σ_i  = D_ui/1.282 (upper set) or D_li/1.282 (lower set)
//	α_i  = exp(F_ami/c + σ_i²/2c²) ,  α_T = Σ α_i
//	β_T  = Σ α_i² [exp(σ_i²/c²) − 1]
//	σ_T  = c [ln(1 + β_T/α_T²)]^½
//	F_amT = c (ln α_T − σ_T²/2c²)    (upper set) ,  D_T = 1.282 σ_T
//
// and, if any D_ui exceeds 12 dB, the upper σ_T is at most c [2 ln(α_T/γ_T)]^½ with
// γ_T = Σ exp(F_ami/c). The lower σ_T has no limit.
//
// Source:   ITU-R P.372-17, combination of noises (§8 of older editions), as in our
// notes §6 (from memory, high).
// Domain:   |F_am| ≤ 1000 dB; a part that is absent may have F_am = −∞.
// Accuracy: the upper and the lower set give medians up to 9 dB apart (random sites).
// Where a part's Du passes 12 dB the limit sets in with a step of up to 2 dB.
// Departs:  field: a sum cannot have a median below that of one part, which the upper
// set's sometimes is. The deciles stay those of the two sets. Strict: no.
func Combine(field bool, parts ...Source) Source {
	var t sum
	var x term
	for i := range parts {
		x.set(&parts[i])
		t.add(&x)
	}
	return t.source(field)
}

// A term is what one source gives to the sums, upper and lower set.
type term struct {
	αu, βu float64
	αl, βl float64
	γ      float64
	Fam    float64
	Du     float64
}

func (x *term) set(s *Source) {
	const perDecile2 = 1 / (2 * neper * neper * decileToσ * decileToσ) // σ²/2c² over D²
	γ := math.Exp(s.Fam * (1 / neper))
	eu := math.Exp(s.Du * s.Du * perDecile2)
	el := eu
	if s.Dl != s.Du {
		el = math.Exp(s.Dl * s.Dl * perDecile2)
	}
	x.αu, x.αl, x.γ = γ*eu, γ*el, γ
	x.βu, x.βl = x.αu*x.αu*(eu*eu-1), x.αl*x.αl*(el*el-1)
	x.Fam, x.Du = s.Fam, s.Du
}

// sum holds the totals; its zero value is the sum of nothing.
type sum struct {
	αu, βu, αl, βl, γ float64
	largest           float64 // F_am; not set while γ is 0
	limit             bool    // a part has D_u > 12 dB
}

func (t *sum) add(x *term) {
	if t.γ == 0 || x.Fam > t.largest {
		t.largest = x.Fam
	}
	t.αu += x.αu
	t.βu += x.βu
	t.αl += x.αl
	t.βl += x.βl
	t.γ += x.γ
	t.limit = t.limit || x.Du > limitFrom
}

func (t *sum) source(field bool) Source {
	if t.γ == 0 {
		return Source{Fam: math.Inf(-1)}
	}
	lnα := math.Log(t.αu)
	v := math.Log(1 + t.βu/(t.αu*t.αu)) // (σ_T/c)², upper set
	if t.limit {
		v = min(v, max(0, 2*(lnα-math.Log(t.γ))))
	}
	F := neper * (lnα - v/2)
	if field {
		F = max(F, t.largest)
	}
	vl := math.Log(1 + t.βl/(t.αl*t.αl))
	return Source{F, decileToσ * neper * math.Sqrt(v), decileToσ * neper * math.Sqrt(vl)}
}
