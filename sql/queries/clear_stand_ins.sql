-- clear_stand_ins removes stand-ins that others, which hold either way, say already.
-- $1 paints asked for, $2 paints used instead, as pairs.
DELETE FROM halfpot.stand_in
WHERE (asked, use) IN (SELECT a, u FROM unnest($1::text[], $2::text[]) AS t (a, u))
