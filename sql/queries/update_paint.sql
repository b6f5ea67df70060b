-- update_paint changes all of a paint but its id.
-- $1 id, $2 maker, $3 range, $4 name, $5 code, $6 type, $7 colour, $8 volume solids, $9 density in g/ml.
UPDATE halfpot.paint
SET maker = $2, range = $3, name = $4, code = $5, type = $6, colour = $7, volume_solids = $8, density_g_ml = $9
WHERE id = $1
