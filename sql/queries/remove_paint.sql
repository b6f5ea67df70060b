-- remove_paint takes away a paint that nothing else names, and its parts.
-- $1 id; no rows.
DELETE FROM halfpot.paint WHERE id = $1
