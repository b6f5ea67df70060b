-- list_version lists the migrations of a schema that was made anew as run, up to a number.
-- $1 the number of the last; no rows.
INSERT INTO halfpot.migration (version_id, is_applied)
SELECT n, true
FROM generate_series(0, $1::integer) AS n
ORDER BY n
