-- list_units gives the units of forces, by force and position.
-- No parameters.
SELECT force, id, name, figures, figure, recipe, undercoat, batch, worth, after_units
FROM halfpot.unit
ORDER BY force, position
