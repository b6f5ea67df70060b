-- find_pot_numbers gives the numbers of some pots.
-- $1 ids. Rows in the order entered.
SELECT id, number
FROM halfpot.pot
WHERE id = ANY ($1::text[])
ORDER BY number
