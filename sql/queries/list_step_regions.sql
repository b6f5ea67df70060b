-- list_step_regions gives the regions that steps name, by recipe, step and position.
-- No parameters.
SELECT recipe, step, left_out, name
FROM halfpot.step_region
ORDER BY recipe, step, left_out, position
