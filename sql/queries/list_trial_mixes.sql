-- list_trial_mixes gives the mixes that were made and seen, in the order entered.
-- No parameters.
SELECT mix, seen, note
FROM halfpot.trial_mix
ORDER BY entered
