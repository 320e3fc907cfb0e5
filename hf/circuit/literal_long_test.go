package circuit

import "math"

// literalInterpolate is E_ti of p533 §10.
func literalInterpolate(Es, El, D float64) float64 {
	Xs := math.Pow(10, 0.01*Es)
	Xl := math.Pow(10, 0.01*El)
	return 100 * math.Log10(Xs+(D-7000)/2000*(Xl-Xs))
}

// literalLongHops is the smallest number of equal hops not exceeding 4000 km.
func (w *literalWatch) longHops(D float64) int {
	n := 1
	for ; D/float64(n) > 4000; n++ {
		w.at(D/float64(n), 4000)
	}
	w.at(D/float64(n), 4000)
	return n
}

func literalGap(D float64) float64 {
	return math.Min(10*math.Log10(D/(literalR0*math.Abs(math.Sin(D/literalR0)))), 15)
}

// literalEtl is the field of p533 §11; Ly and the constant of the newer editions.
func literalEtl(f, fM, fL, fH, Pt, Gtl, slant, D float64) float64 {
	E0 := 139.6 - 20*math.Log10(slant)
	M2 := math.Pow(fM+fH, 2)
	L2 := math.Pow(fL+fH, 2)
	f2 := math.Pow(f+fH, 2)
	bracket := 1 - M2/(M2+L2)*(L2/f2+f2/M2)
	Ly := -0.14
	return E0*bracket - 30.0 + Pt + Gtl + literalGap(D) - Ly
}

// literalK is the factor of p533 §11.1; azimuth at the centre of the path.
func literalK(fg, fgNoon, fgMin, azimuth float64) float64 {
	angle := math.Mod(azimuth, 180) // from the meridian, 0–90
	if angle > 90 {
		angle = 180 - angle
	}
	t := angle / 90 // 0 north–south, 1 east–west
	W := 0.2 + t*(0.1-0.2)
	X := 0.2 + t*(1.2-0.2)
	Y := 0.4 + t*(0.6-0.4)
	return 1.2 + W*(fg/fgNoon) + X*(math.Cbrt(fgNoon/fg)-1) + Y*math.Pow(fgMin/fgNoon, 2)
}

// upperReference is fM: the lower of the two control points of Table 1a (p533 §11.1).
//
// open: in the strict reading dmax of M may reach 7400 km; a path between 7000 km and
// it has the one point M, as Table 1a says. The alternative is two points always.
// open: local noon is 12 h local mean time, UT = 12 − λ/15; the alternative is the
// Sun's own noon.
func (r *literalRun) upperReference(points []literalPoint, azimuth float64) float64 {
	fg := func(at literalPoint) float64 { return 1.1 * at.foF2 * at.M3000 }
	low := math.Inf(1)
	for _, at := range points {
		noon := fg(r.over(at.φ, at.λ, 12-at.λ/15))
		least := math.Inf(1)
		for hour := 0; hour < 24; hour++ {
			least = math.Min(least, fg(r.over(at.φ, at.λ, float64(hour))))
		}
		low = math.Min(low, literalK(fg(at), noon, least, azimuth)*fg(at))
	}
	return low
}

// literalTerminals is I of p533 §11.2, by the terminals' latitudes.
func (w *literalWatch) terminals(φ1, φ2 float64, month int) float64 {
	zone := func(φ float64) int {
		w.at(math.Abs(φ), 35)
		switch {
		case φ >= 35:
			return 0
		case φ > -35:
			return 1
		}
		return 2
	}
	table := [3][3][12]float64{}
	table[0][0] = [12]float64{1.1, 1.05, 1, 1, 1, 1, 1, 1, 1, 1, 1.05, 1.1}
	table[0][1] = [12]float64{1.05, 1.02, 1, 1, 1, 1, 1, 1, 1, 1, 1.02, 1.05}
	table[0][2] = [12]float64{1.05, 1.02, 1, 1, 1.02, 1.05, 1.05, 1.02, 1, 1, 1.02, 1.05}
	table[1][1] = [12]float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
	table[1][2] = [12]float64{1, 1, 1, 1, 1.02, 1.05, 1.05, 1.02, 1, 1, 1, 1}
	table[2][2] = [12]float64{1, 1, 1, 1, 1.05, 1.1, 1.1, 1.05, 1, 1, 1, 1}
	a, b := zone(φ1), zone(φ2)
	return table[min(a, b)][max(a, b)][month-1]
}

// literalAw is the winter anomaly at mid-path (p533 §11.2).
func literalAw(φ float64, month int) float64 {
	north := [12]float64{1.30, 1.15, 1.03, 1, 1, 1, 1, 1, 1, 1.03, 1.15, 1.30}
	south := [12]float64{1, 1, 1, 1.03, 1.15, 1.30, 1.30, 1.15, 1.03, 1, 1, 1}
	at60 := north[month-1]
	if φ < 0 {
		at60 = south[month-1]
	}
	switch φ = math.Abs(φ); {
	case φ <= 30:
		return 1
	case φ <= 60:
		return 1 + (at60-1)*(φ-30)/30
	}
	return at60 + (1-at60)*(φ-60)/30
}

// literalFL is the formula of p533 §11.2, before the night rule.
func literalFL(I, R12 float64, χ []float64, i90, slant, fH, Aw float64) float64 {
	sum := 0.0
	for _, one := range χ {
		if one <= 90 {
			sum += math.Sqrt(math.Max(literalCos(one), 0))
		}
	}
	inner := (1 + 0.009*R12) * sum / (literalCos(i90) * math.Log(9.5e6/slant))
	return (5.3*I*math.Sqrt(inner) - fH) * Aw
}

// lowerReference is fL with its night rule at a UT hour (p533 §11.2).
//
// open: the formula may fall below zero; the night rule's fLN takes over. fH is the
// mean of Table 1a at 300 km, as in E_tl; the alternative is 100 km.
// open: inside the three hours the decay stands even where the formula gives more, as
// long as the formula stays below 2 fLN; the alternative is the larger of the two.
func (r *literalRun) lowerReference(UT, fH float64) float64 {
	n := r.longHops(r.D)
	d := r.D / float64(n)
	Δ := literalElevation(d, 300)
	i90 := literalIncidence(Δ, 90)
	slant := literalSlant(n, d, Δ)
	I := r.terminals(r.FromLat, r.ToLat, r.Month)
	φM, _ := r.place(r.D / 2)
	Aw := literalAw(φM, r.Month)

	formula := func(UT float64) float64 {
		// The ray crosses 90 km twice a hop, an arc of 90° − Δ − i90 from the ground.
		arc := literalR0 * (90 - Δ - i90) * literalDeg
		χ := []float64{}
		for hop := range n {
			for _, s := range []float64{float64(hop)*d + arc, float64(hop+1)*d - arc} {
				φ, λ := r.place(s)
				one := literalZenith(φ, r.δ, literalHourAngle(UT, λ, r.eot))
				r.within(one, 90, 1e-7)
				χ = append(χ, one)
			}
		}
		return literalFL(I, r.SSN, χ, i90, slant, fH, Aw)
	}

	fLN := math.Sqrt(r.D / 3000)
	hourly := make([]float64, 25)
	for hour := range hourly {
		hourly[hour] = formula(float64(hour % 24))
		r.at(hourly[hour], 2*fLN)
	}
	return r.nightRule(UT, hourly, formula(UT), fLN)
}

// nightRule is the last paragraph of p533 §11.2, with the formula's values at the
// whole hours 0…24 and now.
func (w *literalWatch) nightRule(UT float64, hourly []float64, now, fLN float64) float64 {
	w.at(now, 2*fLN)
	if now > 2*fLN {
		return now
	}
	since := math.Inf(1) // hours since the last t_r
	for hour := 0; hour < 24; hour++ {
		if hourly[hour] > 2*fLN && hourly[hour+1] <= 2*fLN {
			tr := float64(hour) + (hourly[hour]-2*fLN)/(hourly[hour]-hourly[hour+1])
			t := math.Mod(UT-tr+48, 24)
			w.at(t, 0)
			w.at(t, 24)
			since = math.Min(since, t)
		}
	}
	w.at(since, 3)
	if since <= 3 {
		return 2 * fLN * math.Exp(-0.23*since)
	}
	return math.Max(now, fLN)
}

// long is E_tl at a frequency (p533 §11).
func (r *literalRun) long(p literalPath, UT, f float64) float64 {
	n := r.longHops(r.D)
	d := r.D / float64(n)
	slant := literalSlant(n, d, literalElevation(d, 300))

	fH := 0.0
	for _, at := range p.tableA {
		fH += at.fH300
	}
	fH /= float64(len(p.tableA))

	_, azimuth := literalDistance(p.M.φ, p.M.λ, r.ToLat, r.ToLon)
	fM := r.upperReference(p.tableA, azimuth)
	fL := r.lowerReference(UT, fH)
	return literalEtl(f, fM, fL, fH, r.powerDBkW(), 0, slant, r.D)
}
