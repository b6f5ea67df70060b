-- list_work gives the work that stands (its job is not undone), in the order logged.
-- $1 as it stood at a time: what is dated until then; null for now.
SELECT w.force, w.unit, w.step, w.figures, w.mix, j.at, j.day, j.id AS job, j.minutes
FROM halfpot.work AS w
JOIN halfpot.job AS j ON j.id = w.job
WHERE ($1::timestamptz IS NULL OR j.at <= $1)
    AND NOT EXISTS (SELECT FROM halfpot.job AS undo WHERE undo.undoes = j.id AND ($1::timestamptz IS NULL OR undo.at <= $1))
ORDER BY j.number, w.position
