-- +goose Up
-- Where the model of a water stood at an instant of the settled past. A copy of
-- what stored weather makes: any row may be deleted, and is made again.
CREATE TABLE water_states (
  water TEXT COLLATE "C" NOT NULL,
  at    BIGINT NOT NULL,
  body  TEXT NOT NULL,
  PRIMARY KEY (water, at)
);
CREATE INDEX water_states_by_time ON water_states (at);

-- +goose Down
DROP TABLE water_states;
