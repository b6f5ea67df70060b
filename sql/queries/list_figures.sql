-- list_figures gives every figure type, in the order entered.
-- No parameters.
SELECT id, name, area_cm2, stature_cm, mass_kg, scale, formula, clo, kit, heroic, source, note, material
FROM halfpot.figure
ORDER BY entered
