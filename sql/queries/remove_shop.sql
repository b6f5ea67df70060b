-- remove_shop takes away a shop that nothing else names, and its parts.
-- $1 id; no rows.
DELETE FROM halfpot.shop WHERE id = $1
