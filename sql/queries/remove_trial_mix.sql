-- remove_trial_mix takes away a mix that was made.
-- $1 the mix; no rows.
DELETE FROM halfpot.trial_mix WHERE mix = $1
