package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"time"

	"osier/model"
)

// PutObservations keeps reports in one transaction and says how many were new
// or changed. A report of the same station and instant replaces the stored one
// when it is a correction, or when the stored one is not, and anything in it
// differs: archives change values under the same text. So asking a feed twice
// adds nothing, and a late copy of the first text never undoes a correction.
// States of waters that may rest on what changed are deleted along with it.
func (db *DB) PutObservations(ctx context.Context, observations []model.Observation) (changed int, err error) {
	for _, o := range observations {
		if err := finite(o); err != nil {
			return 0, err
		}
	}
	var earliest time.Time
	err = db.inTx(ctx, func(tx *sql.Tx) error {
		stmt, err := tx.PrepareContext(ctx, `INSERT INTO observations (source, station, at,
			air_temp_c, dew_point_c, wind_mps, wind_from_deg, gust_mps, qnh_hpa, sea_level_hpa, station_hpa,
			rain_mm, rain_over_h, cloud_oktas, thunder, whole_hpa, corrected, low_trust, raw)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19)
			ON CONFLICT (source, station, at) DO UPDATE SET
			air_temp_c = excluded.air_temp_c, dew_point_c = excluded.dew_point_c, wind_mps = excluded.wind_mps,
			wind_from_deg = excluded.wind_from_deg, gust_mps = excluded.gust_mps, qnh_hpa = excluded.qnh_hpa,
			sea_level_hpa = excluded.sea_level_hpa, station_hpa = excluded.station_hpa, rain_mm = excluded.rain_mm,
			rain_over_h = excluded.rain_over_h, cloud_oktas = excluded.cloud_oktas, thunder = excluded.thunder,
			whole_hpa = excluded.whole_hpa, corrected = excluded.corrected, low_trust = excluded.low_trust, raw = excluded.raw
			WHERE excluded.corrected > observations.corrected
			OR (excluded.corrected = observations.corrected AND (excluded.raw <> observations.raw
			OR excluded.air_temp_c IS DISTINCT FROM observations.air_temp_c OR excluded.dew_point_c IS DISTINCT FROM observations.dew_point_c
			OR excluded.wind_mps IS DISTINCT FROM observations.wind_mps OR excluded.wind_from_deg IS DISTINCT FROM observations.wind_from_deg
			OR excluded.gust_mps IS DISTINCT FROM observations.gust_mps OR excluded.qnh_hpa IS DISTINCT FROM observations.qnh_hpa
			OR excluded.sea_level_hpa IS DISTINCT FROM observations.sea_level_hpa OR excluded.station_hpa IS DISTINCT FROM observations.station_hpa
			OR excluded.rain_mm IS DISTINCT FROM observations.rain_mm OR excluded.rain_over_h IS DISTINCT FROM observations.rain_over_h
			OR excluded.cloud_oktas IS DISTINCT FROM observations.cloud_oktas OR excluded.thunder <> observations.thunder
			OR excluded.whole_hpa <> observations.whole_hpa OR excluded.low_trust <> observations.low_trust))`)
		if err != nil {
			return unavailable("keep observations", err)
		}
		for _, o := range observations {
			res, err := stmt.ExecContext(ctx, o.Source, o.Station, unix(o.At),
				number(o.AirC), number(o.DewC), number(o.WindMps), number(o.WindFromDeg), number(o.GustMps),
				number(o.QNHHPa), number(o.SeaLevelHPa), number(o.StationHPa),
				sql.NullFloat64{Float64: float64(o.Rain.Value.Mm), Valid: o.Rain.Known},
				sql.NullFloat64{Float64: o.Rain.Value.OverH, Valid: o.Rain.Known},
				sql.NullInt64{Int64: int64(o.CloudOktas.Value), Valid: o.CloudOktas.Known},
				string(o.Thunder), bit(o.WholeHPa), bit(o.Corrected), bit(o.LowTrust), o.Raw)
			if err != nil {
				return unavailable("keep observations", err)
			}
			n, err := res.RowsAffected()
			if err != nil {
				return unavailable("count observations", err)
			}
			if n > 0 && (changed == 0 || o.At.Before(earliest)) {
				earliest = o.At
			}
			changed += int(n)
		}
		if err := stmt.Close(); err != nil || changed == 0 {
			return err
		}
		if err := forgetStatesFrom(ctx, tx, earliest); err != nil {
			return err
		}
		return revise(ctx, tx)
	})
	return changed, err
}

// Observations lists what one station reported in a span of time, both ends
// included, in order of time.
func (db *DB) Observations(ctx context.Context, source, station string, from, to time.Time) (out []model.Observation, err error) {
	rows, err := db.read.QueryContext(ctx, `SELECT at, air_temp_c, dew_point_c, wind_mps, wind_from_deg, gust_mps,
		qnh_hpa, sea_level_hpa, station_hpa, rain_mm, rain_over_h, cloud_oktas, thunder, whole_hpa, corrected, low_trust, raw
		FROM observations WHERE source = $1 AND station = $2 AND at >= $3 AND at <= $4 ORDER BY at`,
		source, station, unix(from), unix(to))
	if err != nil {
		return nil, unavailable("list observations", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	scan := newObservationScan(source, station)
	for rows.Next() {
		o, err := scan.next(rows)
		if err != nil {
			return nil, unavailable("list observations", err)
		}
		out = append(out, o)
	}
	return out, ended("list observations", rows)
}

// observationScan reads rows of reports, of which an answer takes thousands, into
// one place. What a column holds is taken as the engine gives it: whole numbers,
// numbers and text.
type observationScan struct {
	source, station string
	columns         [17]any
	into            [17]any
}

func newObservationScan(source, station string) *observationScan {
	s := &observationScan{source: source, station: station}
	for i := range s.columns {
		s.into[i] = &s.columns[i]
	}
	return s
}

func (s *observationScan) next(rows *sql.Rows) (model.Observation, error) {
	o := model.Observation{Source: s.source, Station: s.station}
	if err := rows.Scan(s.into[:]...); err != nil {
		return o, err
	}
	c := &s.columns
	o.At = fromUnix(whole(c[0]))
	o.AirC, o.DewC = measured[model.Celsius](c[1]), measured[model.Celsius](c[2])
	o.WindMps, o.WindFromDeg, o.GustMps = measured[model.MetresPerSecond](c[3]), measured[model.Degrees](c[4]), measured[model.MetresPerSecond](c[5])
	o.QNHHPa, o.SeaLevelHPa, o.StationHPa = measured[model.Hectopascals](c[6]), measured[model.Hectopascals](c[7]), measured[model.Hectopascals](c[8])
	mm, overH := measured[model.Millimetres](c[9]), measured[float64](c[10])
	o.Rain = model.Maybe[model.Rain]{Known: mm.Known, Value: model.Rain{Mm: mm.Value, OverH: overH.Value}}
	o.CloudOktas = model.Maybe[int]{Known: c[11] != nil, Value: int(whole(c[11]))}
	o.Thunder, o.Raw = model.Thunder(text(c[12])), text(c[16])
	o.WholeHPa, o.Corrected, o.LowTrust = whole(c[13]) != 0, whole(c[14]) != 0, whole(c[15]) != 0
	return o, nil
}

func measured[T ~float64](column any) model.Maybe[T] {
	v, ok := column.(float64)
	return model.Maybe[T]{Known: ok, Value: T(v)}
}

func whole(column any) int64 {
	v, _ := column.(int64)
	return v
}

func text(column any) string {
	switch v := column.(type) {
	case string:
		return v
	case []byte:
		return string(v)
	}
	return ""
}

// finite refuses a report with a number that is not one: SQLite would store it
// as missing and PostgreSQL would keep it. Nor does it take text that is none.
func finite(o model.Observation) error {
	if err := numbers(
		float64(o.AirC.Value), float64(o.DewC.Value), float64(o.WindMps.Value), float64(o.WindFromDeg.Value),
		float64(o.GustMps.Value), float64(o.QNHHPa.Value), float64(o.SeaLevelHPa.Value), float64(o.StationHPa.Value),
		float64(o.Rain.Value.Mm), o.Rain.Value.OverH,
	); err != nil {
		return fmt.Errorf("keep the report of %s at %s: %w", o.Station, o.At.Format(time.RFC3339), err)
	}
	if err := texts("report", o.Source, o.Station, string(o.Thunder), o.Raw); err != nil {
		return fmt.Errorf("keep the report of %q at %s: %w", o.Station, o.At.Format(time.RFC3339), err)
	}
	return nil
}

func numbers(values ...float64) error {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return model.Invalidf("value", "leave a value out that is not known", "it is not a finite number")
		}
	}
	return nil
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}
