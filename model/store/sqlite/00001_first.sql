-- +goose Up
CREATE TABLE waters (
  id    TEXT PRIMARY KEY,
  body  TEXT NOT NULL
) STRICT;

CREATE TABLE kits (
  angler TEXT PRIMARY KEY,
  body   TEXT NOT NULL
) STRICT;

CREATE TABLE reports (
  id    TEXT PRIMARY KEY,
  water TEXT NOT NULL,
  at    INTEGER NOT NULL,
  body  TEXT NOT NULL
) STRICT;
CREATE INDEX reports_by_water ON reports (water, at);

CREATE TABLE stations (
  source      TEXT NOT NULL,
  id          TEXT NOT NULL,
  name        TEXT NOT NULL,
  lat         REAL NOT NULL,
  lon         REAL NOT NULL,
  elevation_m REAL,
  PRIMARY KEY (source, id)
) STRICT;

CREATE TABLE observations (
  source        TEXT NOT NULL,
  station       TEXT NOT NULL,
  at            INTEGER NOT NULL,
  air_temp_c    REAL,
  dew_point_c   REAL,
  wind_mps      REAL,
  wind_from_deg REAL,
  gust_mps      REAL,
  qnh_hpa       REAL,
  sea_level_hpa REAL,
  station_hpa   REAL,
  rain_mm       REAL,
  rain_over_h   REAL,
  cloud_oktas   INTEGER,
  thunder       TEXT NOT NULL,
  whole_hpa     INTEGER NOT NULL,
  corrected     INTEGER NOT NULL,
  low_trust     INTEGER NOT NULL,
  raw           TEXT NOT NULL,
  PRIMARY KEY (source, station, at)
) STRICT, WITHOUT ROWID;

CREATE TABLE forecasts (
  source     TEXT NOT NULL,
  lat        REAL NOT NULL,
  lon        REAL NOT NULL,
  issued_at  INTEGER NOT NULL,
  fetched_at INTEGER NOT NULL,
  confirmed_at INTEGER NOT NULL,
  body       TEXT NOT NULL,
  PRIMARY KEY (source, lat, lon, issued_at)
) STRICT;

CREATE TABLE feed_states (
  url          TEXT PRIMARY KEY,
  next_attempt INTEGER NOT NULL,
  body         TEXT NOT NULL
) STRICT;

CREATE TABLE sessions (
  id       TEXT PRIMARY KEY,
  identity TEXT NOT NULL UNIQUE,
  water    TEXT NOT NULL,
  angler   TEXT NOT NULL,
  grp      TEXT NOT NULL,
  starts   INTEGER NOT NULL,
  ends     INTEGER NOT NULL,
  version  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;
CREATE INDEX sessions_by_start ON sessions (starts, id);
CREATE INDEX sessions_by_water ON sessions (water, starts);
CREATE INDEX sessions_by_angler ON sessions (angler, starts);

CREATE TABLE joined (
  session TEXT PRIMARY KEY REFERENCES sessions (id) ON DELETE CASCADE,
  water   TEXT NOT NULL,
  starts  INTEGER NOT NULL,
  body    TEXT NOT NULL
) STRICT;

CREATE TABLE fits (
  id      TEXT PRIMARY KEY,
  made_at INTEGER NOT NULL,
  seq     INTEGER NOT NULL,
  body    TEXT NOT NULL
) STRICT;

CREATE TABLE plans (
  id        TEXT PRIMARY KEY,
  water     TEXT NOT NULL,
  starts    INTEGER NOT NULL,
  issued_at INTEGER NOT NULL,
  body      TEXT NOT NULL
) STRICT;

CREATE TABLE imports (
  id   TEXT PRIMARY KEY,
  at   INTEGER NOT NULL,
  body TEXT NOT NULL
) STRICT;

CREATE TABLE job_runs (
  id         TEXT PRIMARY KEY,
  job        TEXT NOT NULL,
  started_at INTEGER NOT NULL,
  body       TEXT NOT NULL
) STRICT;
CREATE INDEX job_runs_by_job ON job_runs (job, started_at);

CREATE TABLE answers (
  idempotency_key TEXT NOT NULL,
  operation       TEXT NOT NULL,
  request_digest  TEXT NOT NULL,
  status          INTEGER NOT NULL,
  at              INTEGER NOT NULL,
  body            TEXT NOT NULL,
  PRIMARY KEY (idempotency_key, operation)
) STRICT;

-- One row: which store this is, and how often anything that a plan may depend
-- on has changed.
CREATE TABLE revision (
  only  INTEGER PRIMARY KEY CHECK (only = 1),
  store TEXT NOT NULL,
  n     INTEGER NOT NULL
) STRICT;
INSERT INTO revision (only, store, n) VALUES (1, lower(hex(randomblob(16))), 0);

-- +goose Down
DROP TABLE revision;
DROP TABLE answers; DROP TABLE job_runs; DROP TABLE imports; DROP TABLE plans; DROP TABLE fits;
DROP TABLE joined; DROP TABLE sessions; DROP TABLE feed_states; DROP TABLE forecasts;
DROP TABLE observations; DROP TABLE stations; DROP TABLE reports; DROP TABLE kits; DROP TABLE waters;
