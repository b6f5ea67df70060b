-- write_plainly makes the rest of the transaction write times in UTC and everything else
-- so that it is read back as it was, wherever that is.
-- No parameters; one row.
SELECT set_config('TimeZone', 'UTC', true), set_config('IntervalStyle', 'iso_8601', true), set_config('extra_float_digits', '1', true)
