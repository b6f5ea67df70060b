-- clear_recipe_steps removes the rows of some recipes and what belongs to them, before they are written anew.
-- $1 ids of the recipes.
DELETE FROM halfpot.recipe_step
WHERE recipe = ANY ($1::text[])
