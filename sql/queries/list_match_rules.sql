-- list_match_rules gives what must look alike, by force and position.
-- No parameters.
SELECT force, position, label
FROM halfpot.match_rule
ORDER BY force, position
