-- list_job_events gives what jobs drew from pots, in the order recorded.
-- $1 ids of the jobs.
SELECT p.id AS pot_id, e.pot, e.id, e.kind, e.at, e.volume_ul, e.fraction, e.gross_g, e.tare_g, e.estimated, e.undoes, e.job, e.note, e.day, e.key
FROM halfpot.pot_event AS e
JOIN halfpot.pot AS p ON p.number = e.pot
WHERE e.job = ANY ($1::text[])
ORDER BY e.id
