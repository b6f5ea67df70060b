-- is_halfpots tells whether a schema of halfpot's name, where there is one, is
-- halfpot's own: it holds the list of migrations, in one of its two forms, or nothing.
-- No parameters; one row.
SELECT NOT EXISTS (SELECT FROM pg_class WHERE relnamespace = to_regnamespace('halfpot') AND relkind IN ('r', 'p', 'v', 'm', 'f'))
    OR EXISTS (
        SELECT FROM pg_attribute
        WHERE attrelid = to_regclass('halfpot.migration') AND attnum > 0 AND NOT attisdropped
        HAVING array_agg(attname::text ORDER BY attname) = ARRAY['id', 'is_applied', 'tstamp', 'version_id'])
    OR EXISTS (
        SELECT FROM pg_attribute
        WHERE attrelid = to_regclass('halfpot.schema_version') AND attnum > 0 AND NOT attisdropped
            AND to_regclass('halfpot.pot_event') IS NOT NULL
        HAVING array_agg(attname || ' ' || atttypid::regtype) = ARRAY['version integer'])
