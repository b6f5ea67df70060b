-- list_match_units gives the units that match rules name, by force, rule and position.
-- No parameters.
SELECT force, rule, unit
FROM halfpot.match_unit
ORDER BY force, rule, position
