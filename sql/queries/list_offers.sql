-- list_offers gives every offer, in the order entered.
-- No parameters.
SELECT product, shop, price, currency, stock_limit
FROM halfpot.offer
ORDER BY entered
