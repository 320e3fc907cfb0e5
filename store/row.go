package store

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"farhail/hf/earth"
	"farhail/logbook"
	"farhail/unit"
)

// row is an entry as the table holds it, without its deliveries. Two rows are the
// same entry if they are ==.
type row struct {
	ID, Kind    string
	At, Written int64

	Station, Waveform, Outcome sql.Null[string]
	FreqHz, Out, In, TookMs    sql.Null[int64]
	SNROut, SNRIn, PowerW      sql.Null[float64]
	LatDeg, LonDeg             sql.Null[float64]

	Promised      sql.Null[float64]
	PromisedBytes sql.Null[int64]
	IndexName     sql.Null[string]
	IndexValue    sql.Null[float64]
	Forecast      sql.Null[string]

	Strikes sql.Null[string]
	Remark  string
}

const columns = `id, kind, at, written, station, waveform, outcome, freq_hz, bytes_out, bytes_in, took_ms,
	snr_out_db, snr_in_db, power_w, lat_deg, lon_deg, promised, promised_bytes, index_name, index_value, forecast, strikes, remark`

// targets are the fields in the order of columns.
func (r *row) targets() []any {
	return []any{&r.ID, &r.Kind, &r.At, &r.Written, &r.Station, &r.Waveform, &r.Outcome, &r.FreqHz, &r.Out, &r.In, &r.TookMs,
		&r.SNROut, &r.SNRIn, &r.PowerW, &r.LatDeg, &r.LonDeg, &r.Promised, &r.PromisedBytes, &r.IndexName, &r.IndexValue, &r.Forecast, &r.Strikes, &r.Remark}
}

func (r *row) args() []any {
	return []any{r.ID, r.Kind, r.At, r.Written, r.Station, r.Waveform, r.Outcome, r.FreqHz, r.Out, r.In, r.TookMs,
		r.SNROut, r.SNRIn, r.PowerW, r.LatDeg, r.LonDeg, r.Promised, r.PromisedBytes, r.IndexName, r.IndexValue, r.Forecast, r.Strikes, r.Remark}
}

var insertRow = func() string {
	n := len(new(row).args())
	marks := make([]string, n)
	for i := range marks {
		marks[i] = fmt.Sprintf("$%d", i+1)
	}
	return "INSERT INTO log (" + columns + ") VALUES (" + strings.Join(marks, ", ") + ")"
}()

func toRow(e logbook.Entry) (r row, delivered []string) {
	r = row{ID: e.ID, Kind: e.Kind(), At: e.At.UnixMilli(), Written: e.Written.UnixMilli()}
	switch {
	case e.Attempt != nil:
		a := e.Attempt
		r.station(a.Station, a.Freq, string(a.Outcome))
		r.Waveform = optional(a.Waveform != "", a.Waveform)
		r.Out, r.In = optional(true, int64(a.Out)), optional(true, int64(a.In))
		r.TookMs = optional(true, a.Took.Milliseconds())
		r.SNROut, r.SNRIn = ratio(a.SNROut), ratio(a.SNRIn)
		r.PowerW = optional(a.Power > 0, a.Power.W())
		r.place(a.Position)
		r.promise(a.Promised)
		r.Remark, delivered = a.Remark, a.Delivered
	case e.Listening != nil:
		l := e.Listening
		r.station(l.Station, l.Freq, string(l.Heard))
		r.SNRIn = ratio(l.SNR)
		r.place(l.Position)
		r.promise(l.Promised)
		r.Remark = l.Remark
	default:
		r.Strikes, r.Remark = optional(true, e.Strike.Of), e.Strike.Reason
	}
	return r, delivered
}

func (r *row) station(name string, f unit.Freq, outcome string) {
	r.Station, r.Outcome = optional(true, name), optional(true, outcome)
	r.FreqHz = optional(true, int64(math.Round(f.Hz())))
}

func ratio(x *unit.DB) sql.Null[float64] {
	if x == nil {
		return sql.Null[float64]{}
	}
	return optional(true, float64(*x))
}

// place keeps 1e-7 degree, one centimetre: what comes back from radians differs in
// the last binary place, and the same entry must give the same row.
func (r *row) place(p *earth.Point) {
	if p != nil {
		r.LatDeg = optional(true, math.Round(p.Lat.Deg()*1e7)/1e7)
		r.LonDeg = optional(true, math.Round(p.Lon.Deg()*1e7)/1e7)
	}
}

func (r *row) promise(f *logbook.Forecast) {
	if f == nil {
		return
	}
	r.Promised, r.PromisedBytes = optional(true, f.Chance), optional(true, int64(f.Bytes))
	r.IndexName, r.IndexValue = optional(true, f.Index), optional(true, f.Value)
	r.Forecast = optional(len(f.Full) > 0, string(f.Full))
}

func (r *row) entry() logbook.Entry {
	e := logbook.Entry{ID: r.ID, At: fromMillis(r.At), Written: fromMillis(r.Written)}
	switch r.Kind {
	case "attempt":
		e.Attempt = &logbook.Attempt{
			Station: r.Station.V, Freq: unit.Freq(r.FreqHz.V), Waveform: r.Waveform.V, Outcome: logbook.Outcome(r.Outcome.V),
			Out: unit.Bytes(r.Out.V), In: unit.Bytes(r.In.V), Took: time.Duration(r.TookMs.V) * time.Millisecond,
			SNROut: decibels(r.SNROut), SNRIn: decibels(r.SNRIn), Power: unit.Power(r.PowerW.V),
			Position: r.point(), Promised: r.forecast(), Remark: r.Remark,
		}
	case "listening":
		e.Listening = &logbook.Listening{
			Station: r.Station.V, Freq: unit.Freq(r.FreqHz.V), Heard: logbook.Heard(r.Outcome.V),
			SNR: decibels(r.SNRIn), Position: r.point(), Promised: r.forecast(), Remark: r.Remark,
		}
	default:
		e.Strike = &logbook.Strike{Of: r.Strikes.V, Reason: r.Remark}
	}
	return e
}

func decibels(x sql.Null[float64]) *unit.DB {
	if !x.Valid {
		return nil
	}
	v := unit.DB(x.V)
	return &v
}

func (r *row) point() *earth.Point {
	if !r.LatDeg.Valid {
		return nil
	}
	p := earth.At(r.LatDeg.V, r.LonDeg.V)
	return &p
}

func (r *row) forecast() *logbook.Forecast {
	if !r.Promised.Valid {
		return nil
	}
	f := &logbook.Forecast{Chance: r.Promised.V, Bytes: unit.Bytes(r.PromisedBytes.V), Index: r.IndexName.V, Value: r.IndexValue.V}
	if r.Forecast.Valid {
		f.Full = json.RawMessage(r.Forecast.V)
	}
	return f
}
