-- clear_delivery_bands removes the rows of some shops and what belongs to them, before they are written anew.
-- $1 ids of the shops.
DELETE FROM halfpot.delivery_band
WHERE shop = ANY ($1::text[])
