-- describe_constraints lists the keys of halfpot's tables (p: primary, u: unique) and what
-- they refer to (f: then with the table and columns referred to, and whether the rows are
-- parts that go with what they belong to). Of a key it tells whether it is of one uuid, and
-- whether a row may lack it.
-- No parameters.
SELECT c.relname::text AS "table", k.contype::text AS kind, cols.names AS columns,
    coalesce(r.relname::text, '') AS ref, coalesce(refs.names, '{}') AS ref_columns, k.confdeltype = 'c' AS part,
    cols.types = ARRAY['uuid'] AS is_uuid, cols.nullable
FROM pg_constraint AS k
JOIN pg_class AS c ON c.oid = k.conrelid
LEFT JOIN pg_class AS r ON r.oid = k.confrelid
CROSS JOIN LATERAL (
    SELECT array_agg(a.attname::text ORDER BY u.i) AS names, array_agg(format_type(a.atttypid, NULL) ORDER BY u.i) AS types, bool_or(NOT a.attnotnull) AS nullable
    FROM unnest(k.conkey) WITH ORDINALITY AS u(n, i)
    JOIN pg_attribute AS a ON a.attrelid = k.conrelid AND a.attnum = u.n) AS cols
LEFT JOIN LATERAL (
    SELECT array_agg(a.attname::text ORDER BY u.i) AS names
    FROM unnest(k.confkey) WITH ORDINALITY AS u(n, i)
    JOIN pg_attribute AS a ON a.attrelid = k.confrelid AND a.attnum = u.n) AS refs ON true
WHERE c.relnamespace = to_regnamespace('halfpot') AND c.relname NOT IN ('migration', 'schema_version') AND k.contype IN ('p', 'u', 'f')
ORDER BY c.relname, k.contype, k.conname
