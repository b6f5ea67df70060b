-- remove_product takes away a product that nothing else names, and its parts.
-- $1 id; no rows.
DELETE FROM halfpot.product WHERE id = $1
