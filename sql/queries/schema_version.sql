-- schema_version gives the number of the last migration that was run.
-- No parameters; one row.
SELECT coalesce(max(version_id), 0)::integer
FROM halfpot.migration
WHERE is_applied
