-- list_pots gives the next pots, in the order entered.
-- $1 number of the last pot already had, 0 for none; $2 how many at most.
SELECT number, id, paint, product, nominal_ul, cost, cost_currency, place, opened, tare_g
FROM halfpot.pot
WHERE number > $1
ORDER BY number
LIMIT $2
