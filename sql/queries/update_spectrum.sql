-- update_spectrum measures a paint anew.
-- $1 paint, $2 wavelengths in nm, $3 reflectances.
UPDATE halfpot.spectrum
SET nm = $2, reflectance = $3
WHERE paint = $1
