-- release_migrations lets go of what hold_migrations holds.
-- No parameters; one row.
SELECT pg_advisory_unlock(7305813424550163422)
