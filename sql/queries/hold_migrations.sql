-- hold_migrations lets one program at a time bring the schema up to date.
-- The number is halfpot's own; release_migrations lets go.
-- No parameters; one row.
SELECT pg_advisory_lock(7305813424550163422)
