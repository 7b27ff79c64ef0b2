-- +goose Up
-- Whose own fit it is; none for the public one.
ALTER TABLE fits ADD COLUMN angler TEXT COLLATE "C" NOT NULL DEFAULT '';
CREATE INDEX fits_by_angler ON fits (angler, seq);

-- +goose Down
DROP INDEX fits_by_angler;
ALTER TABLE fits DROP COLUMN angler;
