-- update_offer changes the price and stock of an offer.
-- $1 product, $2 shop, $3 price, $4 currency, $5 boxes the shop has.
UPDATE halfpot.offer
SET price = $3, currency = $4, stock_limit = $5
WHERE product = $1 AND shop = $2
