-- remove_recipe takes away a recipe that nothing else names, and its parts.
-- $1 id; no rows.
DELETE FROM halfpot.recipe WHERE id = $1
