-- list_recipe_steps gives the steps of recipes, by recipe and position.
-- No parameters.
SELECT recipe, position, id, name, label, all_regions, share, method, no_stand_ins, coats, optional, wait_after, film_um, loss, kind, per_item, allow, next_within, after_steps
FROM halfpot.recipe_step
ORDER BY recipe, position
