-- drop_schema takes everything of halfpot's away, before it is made anew from a backup
-- in the same transaction. Only the owner of the tables runs it.
-- No parameters, no rows.
DROP SCHEMA IF EXISTS halfpot CASCADE
