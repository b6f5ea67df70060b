-- clear_match_rules removes the rows of some forces and what belongs to them, before they are written anew.
-- $1 ids of the forces.
DELETE FROM halfpot.match_rule
WHERE force = ANY ($1::text[])
