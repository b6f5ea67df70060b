-- update_trial_mix says anew what a mix looked like.
-- $1 mix, $2 colour seen, $3 note.
UPDATE halfpot.trial_mix
SET seen = $2, note = $3
WHERE mix = $1
