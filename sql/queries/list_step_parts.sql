-- list_step_parts gives the paints that choices mix, by recipe, step, choice and position.
-- No parameters.
SELECT recipe, step, choice, paint, parts
FROM halfpot.step_part
ORDER BY recipe, step, choice, position
