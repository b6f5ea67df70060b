-- list_factors gives the factors that hold now, from wide to narrow and by key.
-- No parameters.
SELECT level, key, log_mean, log_sd, observations, pinned, at
FROM halfpot.factor
ORDER BY array_position(ARRAY['method', 'type', 'paint'], level), key
