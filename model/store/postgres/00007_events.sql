-- +goose Up
-- What devices logged of sessions, before and after they became records. The
-- first event of a name stays.
CREATE TABLE events (
  session  TEXT COLLATE "C" NOT NULL,
  id       TEXT COLLATE "C" NOT NULL,
  seq      BIGINT NOT NULL,
  body     TEXT NOT NULL,
  PRIMARY KEY (session, id)
);
CREATE INDEX events_by_receipt ON events (session, seq, id);

-- +goose Down
DROP TABLE events;
