-- list_settings gives the painter's settings, by name.
-- No parameters.
SELECT name, value
FROM halfpot.setting
ORDER BY name
