-- lock_pots gives the numbers of some pots and holds the pots until the
-- transaction ends, always in the same order, so that no two writers wait for
-- each other.
-- $1 ids. Rows in the order entered.
SELECT id, number
FROM halfpot.pot
WHERE id = ANY ($1::text[])
ORDER BY number
FOR UPDATE
