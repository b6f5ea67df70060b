-- take_numbers takes the next numbers of a table and gives the last of them.
-- $1 table with its schema, $2 the numbered column, $3 how many; one row.
SELECT max(nextval(pg_get_serial_sequence($1, $2)))
FROM generate_series(1, $3::bigint)
