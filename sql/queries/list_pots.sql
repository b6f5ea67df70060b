-- list_pots gives every pot without its events, in the order entered.
-- No parameters.
SELECT number, id, paint, product, nominal_ul, cost, cost_currency, place, opened, opened_day, tare_g
FROM halfpot.pot
ORDER BY number
