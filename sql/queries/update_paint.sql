-- update_paint changes all of a paint but its id.
-- $1 id, $2 maker, $3 range, $4 name, $5 code, $6 type, $7 colour, $8 volume solids, $9 density in g/ml, $10 finish,
-- $11 carrier, $12 tone.
UPDATE halfpot.paint
SET maker = $2, range = $3, name = $4, code = $5, type = $6, colour = $7, volume_solids = $8, density_g_ml = $9,
    finish = $10, carrier = $11, tone = $12
WHERE id = $1
