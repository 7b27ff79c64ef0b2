-- +goose Up
-- Credentials. Secrets are kept as their SHA-256 only.
CREATE TABLE tokens (
  id         TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  digest     TEXT COLLATE "C" NOT NULL UNIQUE,
  angler     TEXT COLLATE "C" NOT NULL,
  made_by    TEXT COLLATE "C" NOT NULL,
  revoked_at BIGINT,
  last_used  BIGINT,
  body       TEXT NOT NULL
);
CREATE INDEX tokens_by_angler ON tokens (angler, id);
CREATE INDEX tokens_by_maker ON tokens (made_by);

CREATE TABLE members (
  id         TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  removed_at BIGINT,
  body       TEXT NOT NULL
);

-- Browsers that are signed in, by the digest of what their cookie holds.
CREATE TABLE sign_ins (
  digest  TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  expires BIGINT NOT NULL,
  body    TEXT NOT NULL
);
CREATE INDEX sign_ins_by_end ON sign_ins (expires);

-- Sign-ins that were sent to the sign-in service: each row is read once.
CREATE TABLE pending_sign_ins (
  digest  TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  expires BIGINT NOT NULL,
  body    TEXT NOT NULL
);
CREATE INDEX pending_sign_ins_by_end ON pending_sign_ins (expires);

-- Which clubs an angler shared a session with.
CREATE TABLE session_shares (
  session TEXT COLLATE "C" NOT NULL,
  club    TEXT COLLATE "C" NOT NULL,
  starts  BIGINT NOT NULL,
  PRIMARY KEY (session, club)
);
CREATE INDEX session_shares_by_club ON session_shares (club, starts, session);

-- Whose a session is that so far only its events tell of: the first to send one.
CREATE TABLE session_claims (
  session TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  angler  TEXT COLLATE "C" NOT NULL
);

-- +goose Down
DROP TABLE session_claims; DROP TABLE session_shares; DROP TABLE pending_sign_ins;
DROP TABLE sign_ins; DROP TABLE members; DROP TABLE tokens;
