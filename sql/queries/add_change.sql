-- add_change notes that a command changed something, unless its transaction has
-- written nothing: it then has no number yet.
-- $1 key, $2 what it did, $3 when.
INSERT INTO halfpot.change (key, what, at)
SELECT $1::uuid, $2::text, $3::timestamptz
WHERE pg_current_xact_id_if_assigned() IS NOT NULL
