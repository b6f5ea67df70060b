-- schema_version gives the number of the last migration that was run.
-- No parameters; one row.
SELECT version
FROM halfpot.schema_version
