-- has_schema tells whether any migration has been run on the database.
-- No parameters; one row.
SELECT to_regclass('halfpot.migration') IS NOT NULL
