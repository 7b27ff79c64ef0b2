-- +goose Up
CREATE TABLE meter_readings (
  id    TEXT COLLATE "C" PRIMARY KEY,
  water TEXT COLLATE "C" NOT NULL,
  at    BIGINT NOT NULL,
  body  TEXT NOT NULL
);
CREATE INDEX meter_readings_by_water ON meter_readings (water, at, id);

-- +goose Down
DROP TABLE meter_readings;
