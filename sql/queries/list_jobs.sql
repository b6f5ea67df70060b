-- list_jobs gives the work log, in the order logged.
-- $1 force, or empty for all; $2 job, or empty for all.
SELECT j.id, j.key, j.force, j.at, j.day, j.note, j.undoes, undo.id AS undone_by
FROM halfpot.job AS j
LEFT JOIN halfpot.job AS undo ON undo.undoes = j.id
WHERE ($1::text = '' OR j.force = $1::text) AND ($2::text = '' OR j.id = $2::text)
ORDER BY j.number
