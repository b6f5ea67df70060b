-- last_event gives the number of the last event there is, 0 where there is none.
-- No parameters; one row.
SELECT coalesce(max(id), 0)
FROM halfpot.pot_event
