-- add_factor_change appends to the history of a factor.
-- $1 level, $2 key, $3 change, $4 mean of the log, $5 its standard deviation, $6 observations,
-- $7 pinned, $8 actual over estimated use as observed, $9 job, $10 note, $11 when, $12 key.
INSERT INTO halfpot.factor_history (level, key, change, log_mean, log_sd, observations, pinned, observed, job, note, at, event_key)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
