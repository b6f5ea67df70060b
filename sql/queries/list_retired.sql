-- list_retired gives what is retired, by kind and id.
-- No parameters.
SELECT kind, id FROM halfpot.retired ORDER BY kind, id
