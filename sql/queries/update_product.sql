-- update_product changes a product's name and code.
-- $1 id, $2 name, $3 code.
UPDATE halfpot.product
SET name = $2, code = $3
WHERE id = $1
