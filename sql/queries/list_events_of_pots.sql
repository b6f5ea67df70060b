-- list_events_of_pots gives the events of some pots, by pot and in the order recorded.
-- $1 numbers of the pots.
SELECT pot, id, kind, at, volume_ul, fraction, gross_g, tare_g, estimated, undoes, job, note, day, key
FROM halfpot.pot_event
WHERE pot = ANY ($1::bigint[])
ORDER BY pot, id
