-- find_pots_of_paint gives the ids of the pots of a paint, in the order entered.
-- $1 paint.
SELECT id FROM halfpot.pot WHERE paint = $1 ORDER BY number
