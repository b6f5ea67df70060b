-- hold_writers lets one change at a time read what it rests on and write: others
-- wait until the transaction ends. It must come before anything is read, and under
-- READ COMMITTED, so that what is read after it is what others have committed.
-- The number is halfpot's own.
-- No parameters; one row.
SELECT pg_advisory_xact_lock(7305813424550163421)
