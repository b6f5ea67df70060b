-- list_job_work gives the work of jobs, by job and position.
-- $1 ids of the jobs.
SELECT w.job, w.unit, w.step, w.figures, w.mix, j.at, j.day, j.minutes
FROM halfpot.work AS w
JOIN halfpot.job AS j ON j.id = w.job
WHERE w.job = ANY ($1::text[])
ORDER BY j.number, w.position
