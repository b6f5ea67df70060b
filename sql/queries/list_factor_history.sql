-- list_factor_history gives what became of factors, in the order recorded.
-- $1 level, or empty for all; $2 key, or empty for all.
SELECT level, key, change, log_mean, log_sd, observations, pinned, observed, job, note, at
FROM halfpot.factor_history
WHERE ($1::text = '' OR level = $1::text) AND ($2::text = '' OR key = $2::text)
ORDER BY number
