-- remove_setting gives a setting its default back.
-- $1 name.
DELETE FROM halfpot.setting
WHERE name = $1
