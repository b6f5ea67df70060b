-- list_paints gives every paint, in the order they were first entered.
-- No parameters.
SELECT id, maker, range, name, code, type, colour, volume_solids, density_g_ml, finish, carrier, tone
FROM halfpot.paint
ORDER BY entered
