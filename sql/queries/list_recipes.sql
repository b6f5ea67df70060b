-- list_recipes gives every recipe, in the order entered.
-- No parameters.
SELECT id, name
FROM halfpot.recipe
ORDER BY entered
