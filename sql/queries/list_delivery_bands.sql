-- list_delivery_bands gives what delivery costs, by shop and rising amount.
-- No parameters.
SELECT b.shop, b.from_amount, b.fee, s.currency
FROM halfpot.delivery_band AS b
JOIN halfpot.shop AS s ON s.id = b.shop
ORDER BY b.shop, b.from_amount
