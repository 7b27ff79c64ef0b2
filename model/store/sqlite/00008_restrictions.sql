-- +goose Up
-- What clubs decided about their waters. A row is written once, and once more
-- when it is lifted. One without an end has that of all time.
CREATE TABLE restrictions (
  id        TEXT NOT NULL PRIMARY KEY,
  club      TEXT NOT NULL,
  water     TEXT NOT NULL,
  starts    INTEGER NOT NULL,
  ends      INTEGER NOT NULL,
  lifted_at INTEGER,
  body      TEXT NOT NULL
) STRICT;
CREATE INDEX restrictions_by_water ON restrictions (water, starts, id);
CREATE INDEX restrictions_by_club ON restrictions (club, starts, id);

-- +goose Down
DROP TABLE restrictions;
