-- remove_offer takes away an offer.
-- $1 product, $2 shop; no rows.
DELETE FROM halfpot.offer WHERE product = $1 AND shop = $2
