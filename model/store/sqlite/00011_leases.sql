-- +goose Up
-- Who runs, or ran, a job that was due at an instant, so that of several programs
-- one does.
CREATE TABLE leases (
  job     TEXT NOT NULL,
  due     INTEGER NOT NULL,
  holder  TEXT NOT NULL,
  fence   INTEGER NOT NULL,
  expires INTEGER NOT NULL,
  outcome TEXT NOT NULL,
  PRIMARY KEY (job, due)
) STRICT;

-- +goose Down
DROP TABLE leases;
