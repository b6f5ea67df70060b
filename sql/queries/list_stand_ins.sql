-- list_stand_ins gives what may stand in for what, in the order entered.
-- No parameters.
SELECT asked, use, compromise, either_way, note, other_kind
FROM halfpot.stand_in
ORDER BY entered
