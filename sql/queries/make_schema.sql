-- make_schema makes the schema that holds everything of halfpot's.
-- No parameters, no rows.
CREATE SCHEMA IF NOT EXISTS halfpot
