-- remove_force takes away a force that nothing else names, and its parts.
-- $1 id; no rows.
DELETE FROM halfpot.force WHERE id = $1
