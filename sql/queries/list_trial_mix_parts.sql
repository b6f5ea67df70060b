-- list_trial_mix_parts gives what went into the mixes that were made, in order.
-- No parameters.
SELECT mix, paint, parts
FROM halfpot.trial_mix_part
ORDER BY mix, position
