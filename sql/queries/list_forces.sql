-- list_forces gives every force, in the order entered.
-- No parameters.
SELECT id, name
FROM halfpot.force
ORDER BY entered
