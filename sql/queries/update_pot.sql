-- update_pot changes all of a pot but its id and events.
-- $1 id, $2 paint, $3 product, $4 nominal volume in ul, $5 cost, $6 its currency,
-- $7 place, $8 when opened, $9 the day where only that is known, $10 mass of the empty pot in g.
UPDATE halfpot.pot
SET paint = $2, product = $3, nominal_ul = $4, cost = $5, cost_currency = $6, place = $7, opened = $8, opened_day = $9, tare_g = $10
WHERE id = $1
