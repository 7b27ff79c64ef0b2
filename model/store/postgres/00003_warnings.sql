-- +goose Up
-- What each feed of official warnings last answered for a cell, and when.
CREATE TABLE warnings (
  source   TEXT COLLATE "C" NOT NULL,
  lat      DOUBLE PRECISION NOT NULL,
  lon      DOUBLE PRECISION NOT NULL,
  asked_at BIGINT NOT NULL,
  body     TEXT NOT NULL,
  PRIMARY KEY (source, lat, lon)
);
CREATE INDEX warnings_by_cell ON warnings (lat, lon, source);

-- +goose Down
DROP TABLE warnings;
