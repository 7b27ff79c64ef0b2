-- +goose Up
-- Whom a plan was issued to; empty where it was for anybody.
ALTER TABLE plans ADD COLUMN angler TEXT COLLATE "C" NOT NULL DEFAULT '';
UPDATE plans SET angler = COALESCE(body::json #>> '{question,angler}', '');
CREATE INDEX plans_by_angler ON plans (angler, starts);

-- +goose Down
DROP INDEX plans_by_angler;
ALTER TABLE plans DROP COLUMN angler;
