-- add_job appends an entry to the work log and gives its id: the one asked
-- for, or job-NUMBER.
-- $1 id or empty, $2 force, $3 when, $4 note, $5 job undone, $6 minutes or 0.
INSERT INTO halfpot.job (number, id, force, at, note, undoes, minutes)
OVERRIDING SYSTEM VALUE
SELECT n, coalesce(nullif($1::text, ''), 'job-' || n), $2, $3, $4, $5, $6
FROM nextval(pg_get_serial_sequence('halfpot.job', 'number')) AS n
RETURNING id
