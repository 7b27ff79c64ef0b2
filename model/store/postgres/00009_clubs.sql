-- +goose Up
CREATE TABLE clubs (
  id   TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  body TEXT NOT NULL
);

-- What clubs tell of their waters. The body of a draft may change; that of a
-- published one never does, and seq, the order in which they were published,
-- says which of them is in force. The basis is what expectations were computed
-- from, which the body holds rounded.
CREATE TABLE outlooks (
  id        TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  club      TEXT COLLATE "C" NOT NULL,
  state     TEXT COLLATE "C" NOT NULL,
  edited    BIGINT NOT NULL,
  listed_at BIGINT NOT NULL,
  seq       BIGINT,
  follows   TEXT COLLATE "C",
  body      TEXT NOT NULL,
  basis     TEXT COLLATE "C" NOT NULL
);
CREATE INDEX outlooks_by_club ON outlooks (club, state, listed_at, id);
CREATE UNIQUE INDEX outlooks_by_follows ON outlooks (follows);

-- The waters and days that published outlooks are about.
CREATE TABLE outlook_days (
  outlook TEXT COLLATE "C" NOT NULL REFERENCES outlooks (id),
  water   TEXT COLLATE "C" NOT NULL,
  day     TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (water, day, outlook)
);

-- How they fared, by water and day and group, and by water and month. The
-- sessions behind a figure that is shown are named, so that it can be withdrawn
-- when too few of them are left.
CREATE TABLE outlook_scores (
  id       TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  club     TEXT COLLATE "C" NOT NULL,
  body     TEXT NOT NULL,
  sessions TEXT COLLATE "C" NOT NULL
);
CREATE INDEX outlook_scores_by_club ON outlook_scores (club, id);

-- +goose Down
DROP TABLE outlook_scores;
DROP TABLE outlook_days;
DROP TABLE outlooks;
DROP TABLE clubs;
