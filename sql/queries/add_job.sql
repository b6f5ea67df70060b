-- add_job appends an entry to the work log and gives its id: the one asked
-- for, or the next free job-NUMBER, which a loaded copy may have moved on.
-- $1 id or empty, $2 force, $3 when, $4 note, $5 job undone, $6 day where only that is known, $7 key, $8 minutes or 0.
INSERT INTO halfpot.job (number, id, force, at, note, undoes, day, key, minutes)
OVERRIDING SYSTEM VALUE
SELECT n, coalesce(nullif($1::text, ''), 'job-' || greatest(n, free)), $2, $3, $4, $5, $6, $7, $8
FROM nextval(pg_get_serial_sequence('halfpot.job', 'number')) AS n,
    (SELECT coalesce(max(substr(id, 5)::bigint), 0) + 1 AS free FROM halfpot.job WHERE id ~ '^job-[0-9]{1,15}$') AS named
RETURNING id
