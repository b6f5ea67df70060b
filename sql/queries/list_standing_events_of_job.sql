-- list_standing_events_of_job gives the events of a job that nothing has undone yet, by pot
-- and in the order recorded.
-- $1 job.
SELECT e.pot, e.id
FROM halfpot.pot_event AS e
WHERE e.job = $1::text AND e.kind <> 'corrected'
  AND NOT EXISTS (SELECT FROM halfpot.pot_event AS undo WHERE undo.undoes = e.id)
ORDER BY e.pot, e.id
