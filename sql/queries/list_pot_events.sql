-- list_pot_events gives the events of all pots, by pot and in the order recorded.
-- No parameters.
SELECT pot, id, kind, at, volume_ul, fraction, gross_g, tare_g, estimated, undoes, job, note, day, key
FROM halfpot.pot_event
ORDER BY pot, id
