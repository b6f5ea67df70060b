-- find_change gives the change that a command made.
-- $1 key.
SELECT what, at
FROM halfpot.change
WHERE key = $1
