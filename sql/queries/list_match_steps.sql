-- list_match_steps gives the steps that match rules name, by force, rule and position.
-- No parameters.
SELECT force, rule, step
FROM halfpot.match_step
ORDER BY force, rule, position
