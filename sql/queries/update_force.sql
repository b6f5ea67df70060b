-- update_force changes a force's name.
-- $1 id, $2 name.
UPDATE halfpot.force
SET name = $2
WHERE id = $1
