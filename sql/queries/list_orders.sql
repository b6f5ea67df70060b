-- list_orders gives orders in the order entered.
-- $1 an order, or empty for all.
SELECT id, key, shop, force, at, day, currency, delivery, note
FROM halfpot.shop_order
WHERE $1::text = '' OR id = $1::text
ORDER BY number
