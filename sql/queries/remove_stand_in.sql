-- remove_stand_in takes away that one paint may stand in for another.
-- $1 the paint asked for, $2 the one used instead; no rows.
DELETE FROM halfpot.stand_in WHERE asked = $1 AND use = $2
