-- remove_spectrum takes away what was measured of a paint.
-- $1 the paint; no rows.
DELETE FROM halfpot.spectrum WHERE paint = $1
