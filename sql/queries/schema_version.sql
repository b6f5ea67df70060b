-- schema_version gives the number of the last migration that was run.
-- No parameters; one row.
SELECT max(version_id)::integer
FROM halfpot.migration
WHERE is_applied
