-- +goose Up
CREATE TABLE meter_readings (
  id    TEXT PRIMARY KEY,
  water TEXT NOT NULL,
  at    INTEGER NOT NULL,
  body  TEXT NOT NULL
) STRICT;
CREATE INDEX meter_readings_by_water ON meter_readings (water, at, id);

-- +goose Down
DROP TABLE meter_readings;
