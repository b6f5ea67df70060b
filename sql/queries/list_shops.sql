-- list_shops gives every shop, in the order entered.
-- No parameters.
SELECT id, name, currency, min_order
FROM halfpot.shop
ORDER BY entered
