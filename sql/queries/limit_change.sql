-- limit_change lets a writer wait no longer than that for others, and drops one
-- that has gone to sleep on the writers' lock; both for this transaction only.
-- $1 how long to wait, $2 how long to do nothing, such as 60s. One row.
SELECT set_config('lock_timeout', $1, true), set_config('idle_in_transaction_session_timeout', $2, true)
