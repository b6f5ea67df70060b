-- hold_writers lets one load at a time compare and write: others wait until
-- the transaction ends. The number is halfpot's own.
-- No parameters; one row.
SELECT pg_advisory_xact_lock(7305813424550163421)
