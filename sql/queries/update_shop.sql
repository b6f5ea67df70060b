-- update_shop changes all of a shop but its id and delivery.
-- $1 id, $2 name, $3 currency, $4 least order.
UPDATE halfpot.shop
SET name = $2, currency = $3, min_order = $4
WHERE id = $1
