-- rights_given tells which edition of grant_rights was run on the database last.
-- No parameters; one row, empty for none.
SELECT coalesce(obj_description(to_regnamespace('halfpot'), 'pg_namespace'), '')
