-- find_pots gives the pots of some ids, in the order entered.
-- $1 ids.
SELECT number, id, paint, product, nominal_ul, cost, cost_currency, place, opened, opened_day, tare_g
FROM halfpot.pot
WHERE id = ANY ($1::text[])
ORDER BY number
