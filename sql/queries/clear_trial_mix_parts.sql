-- clear_trial_mix_parts removes what went into mixes, before it is written anew.
-- $1 mixes; no rows.
DELETE FROM halfpot.trial_mix_part WHERE mix = ANY ($1::text[])
