-- update_recipe changes a recipe's name.
-- $1 id, $2 name.
UPDATE halfpot.recipe
SET name = $2
WHERE id = $1
