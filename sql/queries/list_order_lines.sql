-- list_order_lines gives the lines of orders.
-- $1 ids of the orders. Rows by order and position.
SELECT shop_order, product, count, price
FROM halfpot.order_line
WHERE shop_order = ANY ($1::text[])
ORDER BY shop_order, position
