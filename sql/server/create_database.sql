-- create_database makes halfpot's own database within a private cluster.
-- No parameters, no rows. Fails with 42P04 when it exists.
CREATE DATABASE halfpot
