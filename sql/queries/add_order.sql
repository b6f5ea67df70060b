-- add_order appends an order and gives its id: the one asked for, or the next
-- free order-NUMBER, which a loaded copy may have moved on.
-- $1 id or empty, $2 key, $3 shop, $4 force or null, $5 when, $6 day where only that is known, $7 currency,
-- $8 delivery or null, $9 note.
INSERT INTO halfpot.shop_order (number, id, key, shop, force, at, day, currency, delivery, note)
OVERRIDING SYSTEM VALUE
SELECT n, coalesce(nullif($1::text, ''), 'order-' || greatest(n, free)), $2, $3, $4, $5, $6, $7, $8, $9
FROM nextval(pg_get_serial_sequence('halfpot.shop_order', 'number')) AS n,
    (SELECT coalesce(max(substr(id, 7)::bigint), 0) + 1 AS free FROM halfpot.shop_order WHERE id ~ '^order-[0-9]{1,15}$') AS named
RETURNING id
