-- +goose Up
-- What clubs decided about their waters. A row is written once, and once more
-- when it is lifted. One without an end has that of all time.
CREATE TABLE restrictions (
  id        TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  club      TEXT COLLATE "C" NOT NULL,
  water     TEXT COLLATE "C" NOT NULL,
  starts    BIGINT NOT NULL,
  ends      BIGINT NOT NULL,
  lifted_at BIGINT,
  body      TEXT NOT NULL
);
CREATE INDEX restrictions_by_water ON restrictions (water, starts, id);
CREATE INDEX restrictions_by_club ON restrictions (club, starts, id);

-- +goose Down
DROP TABLE restrictions;
