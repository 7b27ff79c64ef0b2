-- +goose Up
-- Credentials. Secrets are kept as their SHA-256 only.
CREATE TABLE tokens (
  id         TEXT NOT NULL PRIMARY KEY,
  digest     TEXT NOT NULL UNIQUE,
  angler     TEXT NOT NULL,
  made_by    TEXT NOT NULL,
  revoked_at INTEGER,
  last_used  INTEGER,
  body       TEXT NOT NULL
) STRICT;
CREATE INDEX tokens_by_angler ON tokens (angler, id);
CREATE INDEX tokens_by_maker ON tokens (made_by);

CREATE TABLE members (
  id         TEXT NOT NULL PRIMARY KEY,
  removed_at INTEGER,
  body       TEXT NOT NULL
) STRICT;

-- Browsers that are signed in, by the digest of what their cookie holds.
CREATE TABLE sign_ins (
  digest  TEXT NOT NULL PRIMARY KEY,
  expires INTEGER NOT NULL,
  body    TEXT NOT NULL
) STRICT;
CREATE INDEX sign_ins_by_end ON sign_ins (expires);

-- Sign-ins that were sent to the sign-in service: each row is read once.
CREATE TABLE pending_sign_ins (
  digest  TEXT NOT NULL PRIMARY KEY,
  expires INTEGER NOT NULL,
  body    TEXT NOT NULL
) STRICT;
CREATE INDEX pending_sign_ins_by_end ON pending_sign_ins (expires);

-- Which clubs an angler shared a session with.
CREATE TABLE session_shares (
  session TEXT NOT NULL,
  club    TEXT NOT NULL,
  starts  INTEGER NOT NULL,
  PRIMARY KEY (session, club)
) STRICT;
CREATE INDEX session_shares_by_club ON session_shares (club, starts, session);

-- Whose a session is that so far only its events tell of: the first to send one.
CREATE TABLE session_claims (
  session TEXT NOT NULL PRIMARY KEY,
  angler  TEXT NOT NULL
) STRICT;

-- +goose Down
DROP TABLE session_claims; DROP TABLE session_shares; DROP TABLE pending_sign_ins;
DROP TABLE sign_ins; DROP TABLE members; DROP TABLE tokens;
