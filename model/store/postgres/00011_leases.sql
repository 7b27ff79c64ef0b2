-- +goose Up
-- Who runs, or ran, a job that was due at an instant, so that of several programs
-- one does.
CREATE TABLE leases (
  job     TEXT COLLATE "C" NOT NULL,
  due     BIGINT NOT NULL,
  holder  TEXT NOT NULL,
  fence   BIGINT NOT NULL,
  expires BIGINT NOT NULL,
  outcome TEXT NOT NULL,
  PRIMARY KEY (job, due)
);

-- +goose Down
DROP TABLE leases;
