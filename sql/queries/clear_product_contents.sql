-- clear_product_contents removes the rows of some products and what belongs to them, before they are written anew.
-- $1 ids of the products.
DELETE FROM halfpot.product_content
WHERE product = ANY ($1::text[])
