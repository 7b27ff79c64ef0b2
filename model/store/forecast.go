package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"osier/model"
)

// PutForecast keeps one issue of a forecast. Every issue is kept, since a plan
// is judged by what was forecast then; the same issue again is confirmed, and
// keeps its content and the earliest time it was fetched: one fetched while our
// clock ran ahead would otherwise stay hidden until the clock caught up.
func (db *DB) PutForecast(ctx context.Context, f model.Forecast) error {
	body, err := encode("forecast of "+f.Source, f)
	if err != nil {
		return err
	}
	return db.change(ctx, "forecast", `INSERT INTO forecasts (source, lat, lon, issued_at, fetched_at, confirmed_at, body)
		VALUES ($1, $2, $3, $4, $5, $6, $7)
		ON CONFLICT (source, lat, lon, issued_at) DO UPDATE SET
		confirmed_at = CASE WHEN excluded.confirmed_at > forecasts.confirmed_at THEN excluded.confirmed_at ELSE forecasts.confirmed_at END,
		fetched_at = CASE WHEN excluded.fetched_at < forecasts.fetched_at THEN excluded.fetched_at ELSE forecasts.fetched_at END
		WHERE forecasts.confirmed_at < excluded.confirmed_at OR forecasts.fetched_at > excluded.fetched_at`,
		f.Source, f.LatDeg, f.LonDeg, unix(f.IssuedAt), unix(f.FetchedAt), unix(f.ConfirmedAt), body)
}

// ConfirmForecast notes that the newest issue for a cell is still the feed's
// current one.
func (db *DB) ConfirmForecast(ctx context.Context, source string, latDeg, lonDeg float64, at time.Time) error {
	return db.change(ctx, "forecast", `UPDATE forecasts SET confirmed_at = $4 WHERE source = $1 AND lat = $2 AND lon = $3 AND confirmed_at < $4
		AND issued_at = (SELECT MAX(issued_at) FROM forecasts WHERE source = $1 AND lat = $2 AND lon = $3)`,
		source, latDeg, lonDeg, unix(at))
}

// Forecasts lists the issues for one cell fetched at or before an instant, the
// newest first, at most limit of each source: a feed that issues often must not
// crowd out one that issues seldom.
func (db *DB) Forecasts(ctx context.Context, latDeg, lonDeg float64, at time.Time, limit int) (out []model.Forecast, err error) {
	rows, err := db.read.QueryContext(ctx, `SELECT body, fetched_at, confirmed_at FROM (
		SELECT body, fetched_at, confirmed_at, issued_at, source,
		ROW_NUMBER() OVER (PARTITION BY source ORDER BY issued_at DESC) AS place
		FROM forecasts WHERE lat = $1 AND lon = $2 AND fetched_at <= $3) AS ranked
		WHERE place <= $4 ORDER BY issued_at DESC, source`, latDeg, lonDeg, unix(at), limit)
	if err != nil {
		return nil, unavailable("list forecasts", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		f, err := scanForecast(rows, at)
		if err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, ended("list forecasts", rows)
}

func scanForecast(rows *sql.Rows, at time.Time) (model.Forecast, error) {
	var f model.Forecast
	var body string
	var fetched, confirmed int64
	if err := rows.Scan(&body, &fetched, &confirmed); err != nil {
		return f, unavailable("list forecasts", err)
	}
	if err := json.Unmarshal([]byte(body), &f); err != nil {
		return f, fmt.Errorf("read stored forecast: %w", err)
	}
	f.FetchedAt, f.ConfirmedAt = fromUnix(fetched), fromUnix(confirmed)
	if f.ConfirmedAt.After(at) { // asked as of an earlier time: it was not yet confirmed then
		f.ConfirmedAt = f.FetchedAt
	}
	return f, nil
}
