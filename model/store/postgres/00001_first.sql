-- +goose Up
CREATE TABLE waters (
  id    TEXT COLLATE "C" PRIMARY KEY,
  body  TEXT NOT NULL
);

CREATE TABLE kits (
  angler TEXT COLLATE "C" PRIMARY KEY,
  body   TEXT NOT NULL
);

CREATE TABLE reports (
  id    TEXT COLLATE "C" PRIMARY KEY,
  water TEXT COLLATE "C" NOT NULL,
  at    BIGINT NOT NULL,
  body  TEXT NOT NULL
);
CREATE INDEX reports_by_water ON reports (water, at);

CREATE TABLE stations (
  source      TEXT COLLATE "C" NOT NULL,
  id          TEXT COLLATE "C" NOT NULL,
  name        TEXT NOT NULL,
  lat         DOUBLE PRECISION NOT NULL,
  lon         DOUBLE PRECISION NOT NULL,
  elevation_m DOUBLE PRECISION,
  PRIMARY KEY (source, id)
);

CREATE TABLE observations (
  source        TEXT COLLATE "C" NOT NULL,
  station       TEXT COLLATE "C" NOT NULL,
  at            BIGINT NOT NULL,
  air_temp_c    DOUBLE PRECISION,
  dew_point_c   DOUBLE PRECISION,
  wind_mps      DOUBLE PRECISION,
  wind_from_deg DOUBLE PRECISION,
  gust_mps      DOUBLE PRECISION,
  qnh_hpa       DOUBLE PRECISION,
  sea_level_hpa DOUBLE PRECISION,
  station_hpa   DOUBLE PRECISION,
  rain_mm       DOUBLE PRECISION,
  rain_over_h   DOUBLE PRECISION,
  cloud_oktas   BIGINT,
  thunder       TEXT COLLATE "C" NOT NULL,
  whole_hpa     BIGINT NOT NULL,
  corrected     BIGINT NOT NULL,
  low_trust     BIGINT NOT NULL,
  raw           TEXT NOT NULL,
  PRIMARY KEY (source, station, at)
);

CREATE TABLE forecasts (
  source     TEXT COLLATE "C" NOT NULL,
  lat        DOUBLE PRECISION NOT NULL,
  lon        DOUBLE PRECISION NOT NULL,
  issued_at  BIGINT NOT NULL,
  fetched_at BIGINT NOT NULL,
  confirmed_at BIGINT NOT NULL,
  body       TEXT NOT NULL,
  PRIMARY KEY (source, lat, lon, issued_at)
);

CREATE TABLE feed_states (
  url          TEXT COLLATE "C" PRIMARY KEY,
  next_attempt BIGINT NOT NULL,
  body         TEXT NOT NULL
);

CREATE TABLE sessions (
  id       TEXT COLLATE "C" PRIMARY KEY,
  identity TEXT COLLATE "C" NOT NULL UNIQUE,
  water    TEXT COLLATE "C" NOT NULL,
  angler   TEXT COLLATE "C" NOT NULL,
  grp      TEXT COLLATE "C" NOT NULL,
  starts   BIGINT NOT NULL,
  ends     BIGINT NOT NULL,
  version  BIGINT NOT NULL,
  body     TEXT NOT NULL
);
CREATE INDEX sessions_by_start ON sessions (starts, id);
CREATE INDEX sessions_by_water ON sessions (water, starts);
CREATE INDEX sessions_by_angler ON sessions (angler, starts);

CREATE TABLE joined (
  session TEXT COLLATE "C" PRIMARY KEY REFERENCES sessions (id) ON DELETE CASCADE,
  water   TEXT COLLATE "C" NOT NULL,
  starts  BIGINT NOT NULL,
  body    TEXT NOT NULL
);

CREATE TABLE fits (
  id      TEXT COLLATE "C" PRIMARY KEY,
  made_at BIGINT NOT NULL,
  seq     BIGINT NOT NULL,
  body    TEXT NOT NULL
);

CREATE TABLE plans (
  id        TEXT COLLATE "C" PRIMARY KEY,
  water     TEXT COLLATE "C" NOT NULL,
  starts    BIGINT NOT NULL,
  issued_at BIGINT NOT NULL,
  body      TEXT NOT NULL
);

CREATE TABLE imports (
  id   TEXT COLLATE "C" PRIMARY KEY,
  at   BIGINT NOT NULL,
  body TEXT NOT NULL
);

CREATE TABLE job_runs (
  id         TEXT COLLATE "C" PRIMARY KEY,
  job        TEXT COLLATE "C" NOT NULL,
  started_at BIGINT NOT NULL,
  body       TEXT NOT NULL
);
CREATE INDEX job_runs_by_job ON job_runs (job, started_at);

CREATE TABLE answers (
  idempotency_key TEXT COLLATE "C" NOT NULL,
  operation       TEXT COLLATE "C" NOT NULL,
  request_digest  TEXT COLLATE "C" NOT NULL,
  status          BIGINT NOT NULL,
  at              BIGINT NOT NULL,
  body            TEXT NOT NULL,
  PRIMARY KEY (idempotency_key, operation)
);

-- One row: which store this is, and how often anything that a plan may depend
-- on has changed.
CREATE TABLE revision (
  "only" BIGINT PRIMARY KEY CHECK ("only" = 1),
  store  TEXT COLLATE "C" NOT NULL,
  n     BIGINT NOT NULL
);
INSERT INTO revision ("only", store, n) VALUES (1, replace(gen_random_uuid()::text, '-', ''), 0);

-- +goose Down
DROP TABLE revision;
DROP TABLE answers; DROP TABLE job_runs; DROP TABLE imports; DROP TABLE plans; DROP TABLE fits;
DROP TABLE joined; DROP TABLE sessions; DROP TABLE feed_states; DROP TABLE forecasts;
DROP TABLE observations; DROP TABLE stations; DROP TABLE reports; DROP TABLE kits; DROP TABLE waters;
