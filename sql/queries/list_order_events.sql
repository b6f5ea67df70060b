-- list_order_events gives what happened to orders, with the pots that came.
-- $1 ids of the orders. Rows in the order recorded.
SELECT e.shop_order, e.id, e.key, e.kind, e.at, e.day, e.product, e.count, e.came, e.price, e.undoes, e.note, e.delivery, e.remark,
    ARRAY(SELECT p.pot::text FROM halfpot.order_pot AS p WHERE p.event = e.id ORDER BY p.position) AS pots
FROM halfpot.order_event AS e
WHERE e.shop_order = ANY ($1::text[])
ORDER BY e.id
