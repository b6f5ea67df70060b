-- describe_columns lists the columns of halfpot's tables in their order, and which are
-- numbered by the database.
-- No parameters.
SELECT c.relname::text AS "table", a.attname::text AS "column", a.attidentity <> '' AS numbered,
    EXISTS (SELECT FROM pg_trigger AS t JOIN pg_proc AS p ON p.oid = t.tgfoid WHERE t.tgrelid = c.oid AND p.proname = 'refuse_change') AS append_only
FROM pg_class AS c
JOIN pg_attribute AS a ON a.attrelid = c.oid
WHERE c.relnamespace = to_regnamespace('halfpot') AND c.relkind IN ('r', 'p') AND c.relname NOT IN ('migration', 'schema_version')
    AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = ''
ORDER BY c.relname, a.attnum
