-- list_spectra gives measured spectra, in the order entered.
-- No parameters.
SELECT paint, nm, reflectance
FROM halfpot.spectrum
ORDER BY entered
