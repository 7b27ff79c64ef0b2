-- +goose Up
-- The sessions that the public fit in force read, as they were joined then. Own
-- fits read other people's from here, so that a correction shows in nobody else's
-- plan before the public fit has taken it in.
CREATE TABLE public_rows (
  session TEXT COLLATE "C" PRIMARY KEY REFERENCES sessions (id) ON DELETE CASCADE,
  body    TEXT NOT NULL
);
INSERT INTO public_rows (session, body)
SELECT joined.session, joined.body FROM joined WHERE joined.session IN (
  SELECT admitted.value FROM fits, json_array_elements_text(COALESCE(fits.body::json -> 'admitted', '[]'::json)) AS admitted (value)
  WHERE fits.seq = (SELECT MAX(seq) FROM fits WHERE angler = ''));

-- +goose Down
DROP TABLE public_rows;
