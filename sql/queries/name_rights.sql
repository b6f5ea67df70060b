-- name_rights tells grant_rights in the same transaction what edition of it is run.
-- $1 the edition. One row.
SELECT set_config('halfpot.rights', $1, true)
