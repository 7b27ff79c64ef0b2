package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"osier/model"
)

// PutStations keeps stations, replacing what was known of each. States of waters
// that may rest on what changed are deleted along with it.
func (db *DB) PutStations(ctx context.Context, stations []model.Station) error {
	for _, s := range stations {
		if err := numbers(s.LatDeg, s.LonDeg, float64(s.ElevationM.Value)); err != nil {
			return fmt.Errorf("keep station %s: %w", s.ID, err)
		}
	}
	return db.inTx(ctx, func(tx *sql.Tx) error {
		var changed int64
		for _, s := range stations {
			n, err := exec(ctx, tx, "station "+s.ID, `INSERT INTO stations (source, id, name, lat, lon, elevation_m)
				VALUES ($1, $2, $3, $4, $5, $6)
				ON CONFLICT (source, id) DO UPDATE SET name = excluded.name, lat = excluded.lat,
				lon = excluded.lon, elevation_m = excluded.elevation_m
				WHERE stations.name <> excluded.name OR stations.lat <> excluded.lat OR stations.lon <> excluded.lon
				OR stations.elevation_m IS DISTINCT FROM excluded.elevation_m`,
				s.Source, s.ID, s.Name, s.LatDeg, s.LonDeg, number(s.ElevationM))
			if err != nil {
				return err
			}
			changed += n
		}
		if changed == 0 {
			return nil
		}
		if err := forgetStates(ctx, tx); err != nil {
			return err
		}
		return revise(ctx, tx)
	})
}

// StationsWithin lists the stations inside a box of degrees, by source and
// identifier.
func (db *DB) StationsWithin(ctx context.Context, latLow, latHigh, lonLow, lonHigh float64) (out []model.Station, err error) {
	rows, err := db.read.QueryContext(ctx, `SELECT source, id, name, lat, lon, elevation_m FROM stations
		WHERE lat >= $1 AND lat <= $2 AND lon >= $3 AND lon <= $4 ORDER BY source, id`, latLow, latHigh, lonLow, lonHigh)
	if err != nil {
		return nil, unavailable("list stations", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var s model.Station
		var elevation sql.NullFloat64
		if err := rows.Scan(&s.Source, &s.ID, &s.Name, &s.LatDeg, &s.LonDeg, &elevation); err != nil {
			return nil, unavailable("list stations", err)
		}
		s.ElevationM = maybe[model.Metres](elevation)
		out = append(out, s)
	}
	return out, ended("list stations", rows)
}

// number turns a value that may be missing into a column: NULL when it is.
func number[T ~float64](m model.Maybe[T]) sql.NullFloat64 {
	return sql.NullFloat64{Float64: float64(m.Value), Valid: m.Known}
}

func maybe[T ~float64](n sql.NullFloat64) model.Maybe[T] {
	return model.Maybe[T]{Value: T(n.Float64), Known: n.Valid}
}
