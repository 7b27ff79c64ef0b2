-- +goose Up
-- What each feed of official warnings last answered for a cell, and when.
CREATE TABLE warnings (
  source   TEXT NOT NULL,
  lat      REAL NOT NULL,
  lon      REAL NOT NULL,
  asked_at INTEGER NOT NULL,
  body     TEXT NOT NULL,
  PRIMARY KEY (source, lat, lon)
) STRICT;
CREATE INDEX warnings_by_cell ON warnings (lat, lon, source);

-- +goose Down
DROP TABLE warnings;
