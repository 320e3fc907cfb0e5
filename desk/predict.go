package desk

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"farhail/forecast"
	"farhail/hf/antenna"
	"farhail/hf/circuit"
	"farhail/hf/earth"
	"farhail/hf/ground"
	"farhail/hf/iono"
	"farhail/hf/noise"
	"farhail/unit"
)

// A CircuitQuery asks for one circuit's month. The zero value of an optional field
// means what is said beside it.
type CircuitQuery struct {
	From, To    earth.Point
	Year, Month int
	Day         int      // 0: the middle of the month
	UTC         *float64 // nil: the 24 whole hours
	SSN         *float64 // nil: the product's own index of the month
	Power       unit.Power
	FreqMHz     []float64
	Bandwidth   unit.Freq
	NeedSNR     unit.DB
	Noise       string
	Tx, Rx      antenna.Spec // Kind "" or isotropic: 0 dBi at every angle
	Reading     string
	Way         string  // "", short, long, best
	Window      *Window // digital system; nil: not asked
	NoLUF       bool    // leave the search for the LUF out
	Ground      string  // ground wave: "" or none, auto by the coast lines, or a kind of ground
	SporadicE   bool    // count modes by sporadic E
}

// Window is what a digital receiver bears (circuit.Window), as flags give it.
type Window = circuit.Window

// A CircuitAnswer is what `farhail circuit --json` prints.
type CircuitAnswer struct {
	Path  PathAnswer   `json:"path"`
	Note  string       `json:"note,omitempty"`
	Hours []HourAnswer `json:"hours"`
}

type PathAnswer struct {
	DistanceKm     float64 `json:"distance_km"`
	AzimuthDeg     float64 `json:"azimuth_deg"`
	BackAzimuthDeg float64 `json:"back_azimuth_deg"`
	Way            string  `json:"way"`
}

type HourAnswer struct {
	UTC            float64           `json:"utc"`
	BasicMUF       float64           `json:"basic_muf_mhz"`
	OperationalMUF float64           `json:"operational_muf_mhz"`
	OWF            float64           `json:"owf_mhz"`
	LUF            *float64          `json:"luf_mhz"`
	Frequencies    []FrequencyAnswer `json:"frequencies"`
}

type FrequencyAnswer struct {
	MHz         float64  `json:"mhz"`
	Mode        *string  `json:"mode"`
	Elevation   *float64 `json:"elevation_deg"`
	Field       *float64 `json:"field_dbuvm"`
	Signal      *float64 `json:"signal_dbw"`
	Noise       float64  `json:"noise_dbw"`
	SNR         *float64 `json:"snr_db"`
	Upper       *float64 `json:"snr_upper_decile_db"`
	Lower       *float64 `json:"snr_lower_decile_db"`
	Reliability float64  `json:"reliability"`
	DelaySpread *float64 `json:"delay_spread_ms"`
	Way         string   `json:"way,omitempty"`
	Note        string   `json:"note,omitempty"`

	Meeting
	SporadicE []EsAnswer `json:"sporadic_e,omitempty"`

	Overall *float64 `json:"overall_reliability,omitempty"`
	Scatter *float64 `json:"scatter_probability,omitempty"`
}

// EsAnswer is one mode by sporadic E at a frequency, whether or not it is the strongest.
type EsAnswer struct {
	Mode      string   `json:"mode"`
	Chance    float64  `json:"chance"`  // share of days on which foEs is enough
	MUF       float64  `json:"muf_mhz"` // at median foEs
	Elevation float64  `json:"elevation_deg"`
	Loss      *float64 `json:"loss_db"` // of its reflections at median foEs; null: no layer
}

// drive is the index a query names, or the product's own of each month.
func drive(ssn *float64) circuit.Driver {
	if ssn != nil {
		return circuit.Constant(*ssn)
	}
	return func(y, m int) (float64, float64) {
		x := iono.IndexOf(y, m)
		return x.IG12, x.R12
	}
}

func checkMonth(year, month, day int, ssn *float64) error {
	if err := unit.Check("year", float64(year), 1900, 2100, ""); err != nil {
		return err
	}
	if err := unit.Check("month", float64(month), 1, 12, ""); err != nil {
		return err
	}
	if last := time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day(); day != 0 {
		if err := unit.Check("day", float64(day), 1, float64(last), ""); err != nil {
			return err
		}
	}
	if ssn != nil {
		return unit.Check("sunspot number", *ssn, circuit.MinIndex, circuit.MaxIndex, "")
	}
	return nil
}

func checkUTC(utc *float64) error {
	if utc != nil {
		return unit.Check("UTC hour", *utc, 0, 24, "h")
	}
	return nil
}

// PredictCircuit answers a query: the month's medians by hour and frequency.
func PredictCircuit(q CircuitQuery) (*CircuitAnswer, error) {
	r, err := circuit.ParseReading(q.Reading)
	if err != nil {
		return nil, &InputError{err.Error(), ""}
	}
	if err := checkMonth(q.Year, q.Month, q.Day, q.SSN); err != nil {
		return nil, err
	}
	if err := checkUTC(q.UTC); err != nil {
		return nil, err
	}
	if len(q.FreqMHz) == 0 {
		return nil, &InputError{"no frequency given: name at least one, in MHz", ""}
	}
	for _, f := range q.FreqMHz {
		if err := unit.Check("frequency", f, circuit.MinMHz, circuit.MaxMHz, "MHz"); err != nil {
			return nil, err
		}
	}
	if w := q.Window; w != nil {
		if err := cmp.Or(unit.Check("time window", w.TimeMs, 0, 1000, "ms"), unit.Check("spread window", w.SpreadHz, 0, 1000, "Hz"), unit.Check("ratio", w.RatioDB, 0, 100, "dB")); err != nil {
			return nil, err
		}
	}
	env, err := noise.ParseEnvironment(q.Noise)
	if err != nil {
		return nil, &InputError{err.Error(), ""}
	}
	c := circuit.Circuit{From: q.From, To: q.To, Power: q.Power, Bandwidth: q.Bandwidth, NeedSNR: q.NeedSNR, Noise: env}
	if err := c.Check(); err != nil {
		return nil, &InputError{err.Error(), ""}
	}
	if c.Tx, err = transmitting(q.Tx); err != nil {
		return nil, err
	}
	if c.Rx, err = receiving(q.Rx, 0, unit.DB(DefaultNoiseFigure)); err != nil {
		return nil, err
	}
	sky := circuit.NewSkyWith(circuit.Date{Year: q.Year, Month: q.Month, Day: q.Day}, drive(q.SSN), r, circuit.Options{SporadicE: q.SporadicE})
	var ways []*circuit.Path
	var names []string
	add := func(long bool, name string) {
		c.Long = long
		ways, names = append(ways, sky.Path(c)), append(names, name)
	}
	switch q.Way {
	case "", "short":
		add(false, "short")
	case "long":
		add(true, "long")
	case "best":
		add(false, "short")
		add(true, "long")
	default:
		return nil, &InputError{fmt.Sprintf("unknown way %q: choose short, long or best", q.Way), ""}
	}
	a := &CircuitAnswer{Path: PathAnswer{
		DistanceKm: round(ways[0].DKm), AzimuthDeg: round(ways[0].Arc.Azimuth.Deg()), BackAzimuthDeg: round(ways[0].Arc.Back.Deg()), Way: names[0],
	}}
	if q.Way == "best" {
		a.Path.Way = "best"
	}
	a.Note = notes(sky, q)
	hours := []float64{}
	if q.UTC != nil {
		hours = append(hours, *q.UTC)
	} else {
		for u := range 24 {
			hours = append(hours, float64(u))
		}
	}
	bands := make([]circuit.Band, len(q.FreqMHz))
	for i, f := range q.FreqMHz {
		bands[i] = circuit.NewBand(f)
	}
	gw, err := groundWave(q, ways[0])
	if err != nil {
		return nil, err
	}
	h := make([]circuit.Hour, len(ways))
	for _, u := range hours {
		for i, p := range ways {
			p.At(u, &h[i])
		}
		e := HourAnswer{UTC: u, BasicMUF: round(h[0].BasicMUF), OperationalMUF: round(h[0].OperationalMUF), OWF: round(h[0].OWF)}
		if !q.NoLUF {
			for i := range h {
				if f, ok := h[i].LUF(); ok && (e.LUF == nil || f < *e.LUF) {
					e.LUF = &f
				}
			}
		}
		for k := range bands {
			var best circuit.Prediction
			at := 0
			for i := range h {
				var r circuit.Prediction
				h[i].Predict(&bands[k], &r)
				if i == 0 || r.SNR > best.SNR {
					best, at = r, i
				}
			}
			along := math.Inf(-1)
			if gw != nil {
				along = gw(q.FreqMHz[k])
			}
			m := addGround(&best, along, float64(q.NeedSNR))
			f := frequencyAnswer(q.FreqMHz[k], &best)
			if !math.IsInf(along, -1) {
				f.Meeting = meeting(m, along, ground.DelayMs(best.SlantKm(ways[at].DKm), ways[at].DKm))
			}
			for _, e := range h[at].SporadicE(q.FreqMHz[k]) {
				x := EsAnswer{Mode: e.Mode.String(), Chance: round(e.Chance), MUF: round(e.MUF), Elevation: round(e.ElevationDeg)}
				if e.LossDB < noLayerDB {
					x.Loss = ptr(e.LossDB)
				}
				f.SporadicE = append(f.SporadicE, x)
			}
			if q.Way == "best" {
				f.Way = names[at]
			}
			if q.Window != nil {
				d := h[at].Digital(&bands[k], *q.Window)
				f.Overall, f.Scatter = ptr(d.Overall), ptr(d.Scatter)
			}
			e.Frequencies = append(e.Frequencies, f)
		}
		a.Hours = append(a.Hours, e)
	}
	return a, nil
}

// groundWave returns the power received along the ground at a frequency, dBW; nil when
// none is asked for.
func groundWave(q CircuitQuery, p *circuit.Path) (func(fMHz float64) float64, error) {
	if q.Ground == "" || q.Ground == "none" {
		return nil, nil
	}
	if q.Way == "long" || p.DKm > ground.FarKm {
		return nil, &InputError{fmt.Sprintf("no ground wave is worked out beyond %.0f km", ground.FarKm), "leave --ground out"}
	}
	var sections []ground.Section
	if q.Ground == "auto" {
		for _, st := range p.Arc.Stretches(2 * unit.Km) {
			sections = append(sections, ground.Section{Ground: st.Ground, Length: st.Length})
		}
	} else {
		g, ok := earth.GroundByName(q.Ground)
		if !ok {
			return nil, &InputError{fmt.Sprintf("no ground %q", q.Ground), "choose none, auto, " + groundNames()}
		}
		sections = []ground.Section{{Ground: g, Length: p.Arc.D}}
	}
	tx, err := forecast.NewAerial(q.Tx, 0, 0)
	if err != nil {
		return nil, err
	}
	rx, err := forecast.NewAerial(q.Rx, 0, 0)
	if err != nil {
		return nil, err
	}
	return func(fMHz float64) float64 {
		E := ground.Mixed(unit.Freq(fMHz)*unit.MHz, sections)
		gt, _ := tx.GroundWave(fMHz, p.Arc.Azimuth.Deg())
		_, gr := rx.GroundWave(fMHz, p.Arc.Back.Deg())
		return ground.ReceivedDBW(E, fMHz, gt, gr, q.Power)
	}, nil
}

// noLayerDB is a loss that stands for no layer.
const noLayerDB = 1e4

// addGround puts a ground wave to a prediction. The sky wave moves from day to day and
// within the hour as P.842 has it, the ground wave does not; the noise moves both.
func addGround(r *circuit.Prediction, along, need float64) (m ground.Mix) {
	if math.IsInf(along, -1) {
		return m
	}
	sky, up, down := math.Inf(-1), 0.0, 0.0
	if r.Arrives() {
		only := func(all, noise float64) float64 { return math.Sqrt(max(all*all-noise*noise, 0)) }
		sky, up, down = r.Signal, only(r.Upper-r.SNR, r.NoiseLower), only(r.SNR-r.Lower, r.NoiseUpper)
	}
	m = ground.Mixture(along, sky)
	up = math.Hypot(ground.Mixture(along, sky+up).At50DBW-m.At50DBW, r.NoiseLower)
	down = math.Hypot(m.At50DBW-ground.Mixture(along, sky-down).At50DBW, r.NoiseUpper)
	r.Signal, r.SNR = m.At50DBW, m.At50DBW-r.Noise
	r.Upper, r.Lower = r.SNR+up, r.SNR-down
	r.Reliability = circuit.Reliability(r.SNR, need, up, down)
	return m
}

func frequencyAnswer(mhz float64, r *circuit.Prediction) FrequencyAnswer {
	f := FrequencyAnswer{MHz: mhz, Noise: round(r.Noise), Reliability: round(r.Reliability)}
	if r.SNR > -900 {
		f.Signal, f.SNR, f.Upper, f.Lower = ptr(r.Signal), ptr(r.SNR), ptr(r.Upper), ptr(r.Lower)
	}
	if !r.Arrives() {
		f.Note = "nothing arrives by the sky"
		return f
	}
	name := r.Mode.String()
	f.Mode = &name
	if !math.IsNaN(r.ElevationDeg) {
		f.Elevation = ptr(r.ElevationDeg)
	}
	f.Field, f.DelaySpread = ptr(r.Field), ptr(r.DelaySpread)
	if r.Below {
		f.Note = "the strongest mode leaves below the horizon"
	}
	return f
}

// FrequencyNotes is a line for each frequency and note of it: the hours that have it.
func (a *CircuitAnswer) FrequencyNotes() (lines []string) {
	if len(a.Hours) == 0 {
		return nil
	}
	for k := range a.Hours[0].Frequencies {
		hours := map[string][]float64{}
		for _, h := range a.Hours {
			if n := h.Frequencies[k].Note; n != "" {
				hours[n] = append(hours[n], h.UTC)
			}
		}
		for _, n := range slices.Sorted(maps.Keys(hours)) {
			lines = append(lines, fmt.Sprintf("%g MHz at %s UTC: %s.", a.Hours[0].Frequencies[k].MHz, spanned(hours[n]), n))
		}
	}
	return lines
}

// notes says what of an answer rests on something extrapolated.
func notes(s *circuit.Sky, q CircuitQuery) string {
	var n []string
	if s.FieldClamped {
		n = append(n, fmt.Sprintf("the field model covers %d to %d; its nearest year stands in", earth.FieldFirstYear, earth.FieldLastYear))
	}
	if q.SSN == nil {
		if x := iono.IndexOf(q.Year, q.Month); x.Clamped {
			n = append(n, "the table of indices ends before; its nearest month stands in")
		} else if x.AgeMonths > 0 {
			n = append(n, fmt.Sprintf("index continued %d months beyond the last observed: IG12 %.0f ± %.0f", x.AgeMonths, x.IG12, x.SD))
		}
	}
	if q.SporadicE {
		n = append(n, "modes by sporadic E (1Es …) are a bonus that nobody can foretell, counted at the median of foEs; the chance beside each is the share of days on which the layer is enough, at most")
	}
	return strings.Join(n, "; ")
}

// A SkyQuery asks for the ionosphere above one place.
type SkyQuery struct {
	At               earth.Point
	Year, Month, Day int
	UTC              *float64
	SSN              *float64
	Reading          string
}

// A SkyAnswer is what `farhail sky --json` prints.
type SkyAnswer struct {
	Note  string    `json:"note,omitempty"`
	Hours []SkyHour `json:"hours"`
}

type SkyHour struct {
	UTC     float64 `json:"utc"`
	FoF2    float64 `json:"fof2_mhz"`
	M3000F2 float64 `json:"m3000f2"`
	FoE     float64 `json:"foe_mhz"`
	FoEs    float64 `json:"foes_mhz"`
	HmF2    float64 `json:"hmf2_km"`
	Dip     float64 `json:"dip_deg"`
	Modip   float64 `json:"modip_deg"`
	Gyro    float64 `json:"gyro_mhz"`
	Zenith  float64 `json:"solar_zenith_deg"`

	FoF1      *float64 `json:"fof1_mhz,omitempty"`
	FoEsUpper float64  `json:"foes_upper_decile_mhz"`
	FoEsLower float64  `json:"foes_lower_decile_mhz"`
}

// PredictSky answers a query.
func PredictSky(q SkyQuery) (*SkyAnswer, error) {
	r, err := circuit.ParseReading(q.Reading)
	if err != nil {
		return nil, &InputError{err.Error(), ""}
	}
	if err := checkMonth(q.Year, q.Month, q.Day, q.SSN); err != nil {
		return nil, err
	}
	if err := checkUTC(q.UTC); err != nil {
		return nil, err
	}
	if err := unit.Check("latitude", q.At.Lat.Deg(), -90, 90, "degrees"); err != nil {
		return nil, err
	}
	if err := unit.Check("longitude", q.At.Lon.Deg(), -360, 360, "degrees"); err != nil {
		return nil, err
	}
	sky := circuit.NewSky(circuit.Date{Year: q.Year, Month: q.Month, Day: q.Day}, drive(q.SSN), r)
	a := &SkyAnswer{Note: notes(sky, CircuitQuery{Year: q.Year, Month: q.Month, SSN: q.SSN})}
	one := func(u float64) {
		o := sky.Overhead(q.At, u)
		e := SkyHour{UTC: u, FoF2: round(o.FoF2MHz), M3000F2: round(o.M3000F2), FoE: round(o.FoEMHz), FoEs: round(o.FoEsMHz),
			HmF2: round(o.HmF2Km), Dip: round(o.DipDeg), Modip: round(o.ModipDeg), Gyro: round(o.GyroMHz), Zenith: round(o.ZenithDeg),
			FoEsUpper: round(o.FoEsUpperMHz), FoEsLower: round(o.FoEsLowerMHz)}
		if o.FoF1MHz > 0 {
			e.FoF1 = ptr(o.FoF1MHz)
		}
		a.Hours = append(a.Hours, e)
	}
	if q.UTC != nil {
		one(*q.UTC)
		return a, nil
	}
	for u := range 24 {
		one(float64(u))
	}
	return a, nil
}

// round keeps the digits that mean something, and a few more for those who compare.
// round keeps four decimals, and knows no zero below zero.
func round(x float64) float64 {
	return math.Round(x*1e4)/1e4 + 0
}

// Bearing writes a bearing in three figures; 359.7 is 000.
func Bearing(deg float64) string {
	return fmt.Sprintf("%03.0f", math.Mod(math.Mod(math.Round(deg), 360)+360, 360))
}

func ptr(x float64) *float64 { x = round(x); return &x }
