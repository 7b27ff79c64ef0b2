package store

import (
	"context"
	"time"

	"osier/model"
)

// AddMeterReading keeps what a meter showed. What is stored under the same
// identifier stays as it is.
func (db *DB) AddMeterReading(ctx context.Context, m model.MeterReading) error {
	body, err := encode("reading "+m.ID, m)
	if err != nil {
		return err
	}
	return db.change(ctx, "reading", `INSERT INTO meter_readings (id, water, at, body) VALUES ($1, $2, $3, $4)
		ON CONFLICT DO NOTHING`, m.ID, m.Water, unix(m.At), body)
}

// MeterReading finds one reading.
func (db *DB) MeterReading(ctx context.Context, id string) (model.MeterReading, error) {
	return one[model.MeterReading](ctx, db.read, "reading", id, `SELECT body FROM meter_readings WHERE id = $1`, id)
}

// MeterReadings lists the readings of a water in a span of time, both ends
// included, in order of time.
func (db *DB) MeterReadings(ctx context.Context, water string, from, to time.Time) ([]model.MeterReading, error) {
	return list[model.MeterReading](ctx, db.read, "readings", `SELECT body FROM meter_readings
		WHERE water = $1 AND at >= $2 AND at <= $3 ORDER BY at, id`, water, unix(from), unix(to))
}

// NewestMeterReadings lists the readings of a water in a span of time, both ends
// included, the newest first and at most limit. Those of the instant to are
// listed only as far as their identifiers lie before the given one, where one
// is given: so a page follows the last reading of the page before.
func (db *DB) NewestMeterReadings(ctx context.Context, water string, from, to time.Time, before string, limit int) ([]model.MeterReading, error) {
	return list[model.MeterReading](ctx, db.read, "readings", `SELECT body FROM meter_readings
		WHERE water = $1 AND at >= $2 AND (at < $3 OR at = $3 AND ($4 = '' OR id < $4))
		ORDER BY at DESC, id DESC LIMIT $5`, water, unix(from), unix(to), before, limit)
}
