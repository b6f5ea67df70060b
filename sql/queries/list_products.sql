-- list_products gives every product, in the order entered.
-- No parameters.
SELECT id, name, code
FROM halfpot.product
ORDER BY entered
