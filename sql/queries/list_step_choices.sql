-- list_step_choices gives each step's own mix (choice 0) and its alternatives,
-- by recipe, step and choice.
-- No parameters.
SELECT recipe, step, choice, label, compromise, medium, paint_parts, medium_parts
FROM halfpot.step_choice
ORDER BY recipe, step, choice
