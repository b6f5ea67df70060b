-- update_stand_in changes how well one paint stands in for another.
-- $1 paint asked for, $2 paint used, $3 compromise, $4 either way, $5 note, $6 other kind.
UPDATE halfpot.stand_in
SET compromise = $3, either_way = $4, note = $5, other_kind = $6
WHERE asked = $1 AND use = $2
