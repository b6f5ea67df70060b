-- add_work appends the work of a job.
-- $1 job, $2 position, $3 force, $4 unit, $5 step, $6 figures, $7 key of the mix.
INSERT INTO halfpot.work (job, position, force, unit, step, figures, mix)
VALUES ($1, $2, $3, $4, $5, $6, $7)
