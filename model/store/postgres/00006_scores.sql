-- +goose Up
-- How issued plans fared. A session follows one plan at most.
CREATE TABLE scores (
  session TEXT COLLATE "C" PRIMARY KEY REFERENCES sessions (id) ON DELETE CASCADE,
  plan    TEXT COLLATE "C" NOT NULL,
  water   TEXT COLLATE "C" NOT NULL,
  grp     TEXT COLLATE "C" NOT NULL,
  starts  BIGINT NOT NULL,
  body    TEXT NOT NULL
);
CREATE INDEX scores_by_water ON scores (water, grp, starts);

-- +goose Down
DROP TABLE scores;
