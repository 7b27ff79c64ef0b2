-- +goose Up
-- What devices logged of sessions, before and after they became records. The
-- first event of a name stays.
CREATE TABLE events (
  session  TEXT NOT NULL,
  id       TEXT NOT NULL,
  seq      INTEGER NOT NULL,
  body     TEXT NOT NULL,
  PRIMARY KEY (session, id)
) STRICT;
CREATE INDEX events_by_receipt ON events (session, seq, id);

-- +goose Down
DROP TABLE events;
