-- put_setting sets one setting.
-- $1 name, $2 value, $3 when.
INSERT INTO halfpot.setting (name, value, changed)
VALUES ($1, $2, $3)
ON CONFLICT (name) DO UPDATE SET value = excluded.value, changed = excluded.changed
