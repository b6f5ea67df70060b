-- find_event_keys gives the events that bear some keys.
-- $1 keys. Rows in no order.
SELECT pot, id, kind, at, volume_ul, fraction, gross_g, tare_g, estimated, undoes, job, note, day, key
FROM halfpot.pot_event
WHERE key = ANY ($1::uuid[])
