-- add_retired retires a thing.
-- $1 kind, $2 id, $3 when; no rows.
INSERT INTO halfpot.retired (kind, id, at) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING
