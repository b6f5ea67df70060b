-- update_figure changes all of a figure type but its id and regions.
-- $1 id, $2 name, $3 area in cm2, $4 stature in cm, $5 mass in kg, $6 scale,
-- $7 formula, $8 clo, $9 kit, $10 heroic, $11 source, $12 note, $13 material.
UPDATE halfpot.figure
SET name = $2, area_cm2 = $3, stature_cm = $4, mass_kg = $5, scale = $6, formula = $7, clo = $8, kit = $9, heroic = $10,
    source = $11, note = $12, material = $13
WHERE id = $1
