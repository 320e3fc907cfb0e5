package practice

import "farhail/station"

// A World holds the parameters of the air. Marks: [V] measured on soundings and [A]
// from abstracts, both by way of our notes (day_to_day §6, where the temporal part was
// checked on 2,800 simulated days); [P] proposed there, unchecked; [O] our assumption.
type World struct {
	// IndexAge is how old the index is that the operator was told, in months; the
	// truth is off by a difference of real IG12 over that time.
	IndexAge int

	// ln foF2, standard deviation of each coefficient [P]: constant, 24 h, 12 h.
	Bias, Bias24, Bias12 float64
	SigmaSpread          float64 // sd of ln of the run's factor on the decile table's σ [V]

	Low, High Law // of |μ| < 30° and > 55°, mixed between [V low and high, P mid]
	Winter    Law // poleward of 55° in local winter [V]

	// Lengths over which the parts are alike, km: e-folding.
	BiasKm, PatternKm, EpisodeKm, LossKm float64

	LossHours float64 // e-folding time of a lost F2 path [O]

	// Everything about the SNR that foF2 does not make.
	Site         map[station.Environment]float64 // dB, sd of a site's offset [P.372 location deciles/1.282]
	NoiseHours   float64                         // how long the noise stays off its median [O]
	CircuitSD    float64                         // dB, of a station's path and antennas against the model [O]
	SlowSD       float64                         // dB, of the signal over hours [O]
	SlowHours    float64                         // [O]
	QuickSD      float64                         // dB, within the call, above the fading [O]
	QuickMinutes float64                         // [O]

	// Fadeouts: absorption by solar flares, on paths in daylight. All [O].
	Fadeouts   float64 // a day at R12 = 100, in proportion
	FadeoutDB  float64 // mean of the peak at 10 MHz under an overhead sun; exponential
	FadeoutMin float64 // mean e-folding minutes

	// Stations. All [O] but the mean presence, which is what the planner believes.
	ThereA, ThereB float64 // Beta law of a station's share of hours on the air
	AwayHours      float64 // mean length of an absence
	Busy           float64 // share of time busy with others, mean over the day
	BusyMinutes    float64 // mean length
	BusyEvening    float64 // swing of Busy about its mean, highest at 20 h local

	ReportSD  float64 // dB, error of the SNR by which a link chooses its level [O]
	LostAfter int     // transmissions without acknowledgement that end a call [O]
}

// A Law is the memory of day-to-day foF2: shares of variance and times.
type Law struct {
	Pattern, Episodes, Waves float64 // shares, sum 1
	Carry                    float64 // of a day's pattern into the next
	DecayH                   float64 // of an episode
	HalfDays                 bool    // the pattern is a 12 h swing alone, drawn afresh each day
}

// Usual is the air that the yardsticks are measured in, with an index so many months
// old.
//
// Sources: day_to_day §6 of our notes for foF2, its biases and lengths; location deciles
// of ITU-R P.372 (our notes, choices) for sites. The winter law: "no day part, decay
// 2.5 h, night and morning anticorrelated (−0.3 at 6 h)" becomes a 12 h swing of share
// 0.35. The rest are our assumptions: orders of magnitude of common practice, set once
// and never tuned to any policy's result.
func Usual(indexAge int) World {
	return World{
		IndexAge: indexAge,
		Bias:     0.07, Bias24: 0.06, Bias12: 0.04, SigmaSpread: 0.22,
		Low:    Law{Pattern: 0.40, Episodes: 0.54, Waves: 0.06, Carry: 0.40, DecayH: 1.2},
		High:   Law{Pattern: 0.55, Episodes: 0.42, Waves: 0.03, Carry: 0.55, DecayH: 3},
		Winter: Law{Pattern: 0.35, Episodes: 0.62, Waves: 0.03, DecayH: 2.5, HalfDays: true},
		BiasKm: 1500, PatternKm: 2000, EpisodeKm: 700, LossKm: 1000,
		LossHours:  4,
		Site:       map[station.Environment]float64{station.City: 6.6, station.Residential: 4.5, station.Rural: 5.3, station.QuietRural: 5.3},
		NoiseHours: 3, CircuitSD: 3, SlowSD: 2.5, SlowHours: 3, QuickSD: 1.5, QuickMinutes: 10,
		Fadeouts: 0.5, FadeoutDB: 12, FadeoutMin: 25,
		ThereA: 8, ThereB: 2, AwayHours: 4,
		Busy: 0.1, BusyMinutes: 8, BusyEvening: 0.5,
		ReportSD: 1, LostAfter: 4,
	}
}
