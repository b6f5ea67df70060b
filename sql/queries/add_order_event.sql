-- add_order_event appends what happened to an order and gives its number.
-- $1 key, $2 order, $3 kind, $4 when, $5 day where only that is known, $6 product of the line, $7 count,
-- $8 product that came instead, $9 price, $10 event undone, $11 note,
-- $12 delivery charge and $13 note of the order, said anew.
INSERT INTO halfpot.order_event (key, shop_order, kind, at, day, product, count, came, price, undoes, note, delivery, remark)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)
RETURNING id
