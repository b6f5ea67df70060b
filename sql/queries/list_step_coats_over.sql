-- list_step_coats_over gives the coats over certain undercoats, by recipe, step and position.
-- No parameters.
SELECT recipe, step, undercoat, coats
FROM halfpot.step_coats_over
ORDER BY recipe, step, position
