-- +goose Up
-- How issued plans fared. A session follows one plan at most.
CREATE TABLE scores (
  session TEXT PRIMARY KEY REFERENCES sessions (id) ON DELETE CASCADE,
  plan    TEXT NOT NULL,
  water   TEXT NOT NULL,
  grp     TEXT NOT NULL,
  starts  INTEGER NOT NULL,
  body    TEXT NOT NULL
) STRICT;
CREATE INDEX scores_by_water ON scores (water, grp, starts);

-- +goose Down
DROP TABLE scores;
