-- remove_figure takes away a figure that nothing else names, and its parts.
-- $1 id; no rows.
DELETE FROM halfpot.figure WHERE id = $1
