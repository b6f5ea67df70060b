-- add_pot_event appends one event and gives its number.
-- $1 number of the pot, $2 kind, $3 when, $4 volume in ul, $5 fraction, $6 gross in g, $7 tare in g,
-- $8 estimated, $9 event undone, $10 job, $11 note, $12 day where only that is known, $13 key.
INSERT INTO halfpot.pot_event (pot, kind, at, volume_ul, fraction, gross_g, tare_g, estimated, undoes, job, note, day, key)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)
RETURNING id
