-- list_work gives the work that stands (its job is not undone), in the order logged.
-- No parameters.
SELECT w.force, w.unit, w.step, w.figures, w.mix, j.at, j.day, j.id AS job, j.minutes
FROM halfpot.work AS w
JOIN halfpot.job AS j ON j.id = w.job
WHERE NOT EXISTS (SELECT FROM halfpot.job AS undo WHERE undo.undoes = j.id)
ORDER BY j.number, w.position
