-- remove_retired brings a retired thing back.
-- $1 kind, $2 id; no rows.
DELETE FROM halfpot.retired WHERE kind = $1 AND id = $2
