-- list_pot_events gives the events of the pots in a span of numbers, by pot
-- and in the order recorded.
-- $1 first number, $2 last number.
SELECT pot, id, kind, at, volume_ul, fraction, gross_g, tare_g, estimated, undoes, job, note
FROM halfpot.pot_event
WHERE pot BETWEEN $1 AND $2
ORDER BY pot, id
